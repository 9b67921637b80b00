#include "stage/add_looks.h"

#include <algorithm>
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "base/read_log.h"
#include "base/units.h"
#include "image/read_hdr.h"
#include "stage/read_texture.h"

namespace wheatpaste {
namespace {

// White paper returns less than this of every band.
constexpr float kMostAlbedo = 0.97f;

void AddErrors(const Errors& more, Errors& errors) {
  errors.insert(errors.end(), more.begin(), more.end());
}

// Leaves in the material's albedo what the texture is to be multiplied by.
void Tint(bool stated, WorldTexture& texture, WorldMaterial& material) {
  const SceneLinear mean = MeanOf(*texture.colour);
  double tint[3] = {material.albedo.r / std::max(mean.r, 1e-4f),
                    material.albedo.g / std::max(mean.g, 1e-4f),
                    material.albedo.b / std::max(mean.b, 1e-4f)};
  if (!stated && material.kind == WorldMaterialKind::kPaper) std::fill_n(tint, 3, 1.0);
  auto tinted = std::make_shared<Image<SceneLinear>>(texture.colour->size());
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < tinted->height(); ++y) {
      for (int64_t x = 0; x < tinted->width(); ++x) {
        tinted->row(c, y)[x] = std::clamp(
            static_cast<float>(tint[c]) * texture.colour->row(c, y)[x], 0.0f, kMostAlbedo);
      }
    }
  }
  texture.colour = std::move(tinted);
  material.albedo = {1, 1, 1};
}

void AddTexture(const StageTexture& from, bool stated, WorldMaterial& material, Errors& errors) {
  WorldTexture texture;
  texture.tile_mm = {from.tile_mm[0], from.tile_mm[1]};
  texture.turn_rad = RadFromDegrees(from.turn).value;
  texture.normal_strength = from.normal_strength;
  const auto read = [&errors](const auto& file, const auto& reader, auto& to) {
    if (!file) return;
    auto picture = reader(*file);
    if (picture.ok()) {
      to = *std::move(picture);
    } else {
      AddErrors(picture.errors(), errors);
    }
  };
  read(from.colour, ReadColourTexture, texture.colour);
  read(from.normal, ReadNormalTexture, texture.normal);
  read(from.roughness, ReadPlainTexture, texture.roughness);
  if (texture.roughness && material.kind == WorldMaterialKind::kPaper && material.coat == 0) {
    material.coat = 1;
  }
  if (texture.roughness) material.roughness = 1;
  if (texture.colour) Tint(stated, texture, material);
  material.texture = std::move(texture);
}

void AddLightMap(const StageLightMap& map, World& world, Errors& errors) {
  auto picture = ReadHdr(map.file);
  if (!picture.ok()) return AddErrors(picture.errors(), errors);
  Image<SceneLinear> sky = *std::move(picture);
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < sky.height(); ++y) {
      for (int64_t x = 0; x < sky.width(); ++x) {
        sky.row(c, y)[x] *= static_cast<float>(map.scale);
      }
    }
  }
  WorldLightMap placed;
  placed.turn_rad = RadFromDegrees(map.turn).value;
  if (map.shown && map.blur > 0) {
    placed.behind = std::make_shared<const Image<SceneLinear>>(BlurSky(sky, map.blur));
  }
  placed.sky = std::make_shared<const Image<SceneLinear>>(std::move(sky));
  if (map.shown && !placed.behind) placed.behind = placed.sky;
  world.light_map = std::move(placed);
}

}  // namespace

Status AddLooks(const Stage& stage, BuiltStage& built) {
  Errors errors;
  const ReadLog log;
  for (size_t i = 0; i < built.materials.size(); ++i) {
    const StageMaterial* const from = built.materials[i];
    if (from == nullptr || !from->texture) continue;
    AddTexture(*from->texture, from->substrate && from->substrate->value.stated,
               built.world.materials[i], errors);
  }
  if (stage.light_map) AddLightMap(*stage.light_map, built.world, errors);
  // The photograph is kept under the digest of what was read before.
  for (const auto& [path, digest] : log.files()) {
    const auto before = built.files.find(path);
    if (before == built.files.end() || before->second != digest) {
      errors.push_back({{}, "", fmt::format("{}: has changed while it was used", path)});
    }
  }
  if (!errors.empty()) return errors;
  built.has_looks = true;
  return Done{};
}

}  // namespace wheatpaste

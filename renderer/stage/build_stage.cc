#include "stage/build_stage.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <variant>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/read_log.h"
#include "base/units.h"
#include "dieline/blanks.h"
#include "ink/conductor.h"
#include "scene/nearest_name.h"
#include "stage/displace.h"
#include "stage/make_solid.h"
#include "stage/mark_throwers.h"
#include "stage/place_lights.h"
#include "stage/read_texture.h"

namespace wheatpaste {
namespace {

// Raise it whenever the same stage gives another photograph.
constexpr char kTracedBy[] = "stage 2";

constexpr double kBroadestCoat = 0.6;
// White paper returns less than this of every band.
constexpr float kMostAlbedo = 0.97f;

double Radians(double degrees) { return RadFromDegrees(degrees).value; }

void AddErrors(const Errors& more, Errors& errors) {
  errors.insert(errors.end(), more.begin(), more.end());
}

Eigen::Isometry3d PlacedAs(const StageObject& object) {
  const auto about = [](double degrees, const Eigen::Vector3d& axis) {
    return Eigen::AngleAxisd(Radians(degrees), axis);
  };
  Eigen::Isometry3d placed = Eigen::Isometry3d::Identity();
  placed.translate(object.at);
  placed.rotate(about(object.turn, Eigen::Vector3d::UnitY()) *
                about(-object.tilt, Eigen::Vector3d::UnitX()) *
                about(-object.lean, Eigen::Vector3d::UnitZ()));
  return placed;
}

bool IsCarton(const StageObject& object) {
  return std::holds_alternative<CartonSolid>(object.solid);
}

class StageBuilder {
 public:
  explicit StageBuilder(const Stage& stage) : stage_(stage) {}

  Result<BuiltStage> Build() {
    ReadFiles files;
    {
      const ReadLog log;
      for (const StageObject& object : stage_.objects) AddObject(object);
      AddLights(stage_, built_, errors_);
      AddLightMap(stage_, built_, errors_);
      files = log.files();
    }
    for (const auto& [path, digest] : files) ReadLog::NoteDigest(path, digest);
    if (errors_.empty()) AddCamera(stage_, built_, errors_);
    if (errors_.empty()) {
      if (const auto marked = MarkThrowers(stage_, built_); !marked) return marked.errors();
    }
    if (!errors_.empty()) return errors_;
    if (std::any_of(stage_.objects.begin(), stage_.objects.end(), IsCarton)) {
      built_.notes.emplace_back(kBlankCaution);
    }
    built_.digest = Digest(files);
    return std::move(built_);
  }

 private:
  void AddObject(const StageObject& object) {
    auto solid = MakeSolid(object);
    if (!solid.ok()) return AddErrors(solid.errors(), errors_);
    for (const std::string& warning : solid->warnings) {
      built_.warnings.push_back(fmt::format("{}: {}", object.name.value, warning));
    }
    std::vector<int32_t> materials;
    for (const std::string& part : solid->parts) materials.push_back(MaterialOf(object, part));
    for (const StageMaterial& material : object.materials) {
      if (material.part.empty() || std::find(solid->parts.begin(), solid->parts.end(),
                                             material.part) != solid->parts.end()) {
        continue;
      }
      const std::string nearest = NearestName(material.part, solid->parts);
      errors_.push_back({material.place,
                         fmt::format("stage.object.part.name = \"{}\"", material.part),
                         fmt::format("expected a part of \"{}\": {}", object.name.value,
                                     fmt::join(solid->parts, ", "))});
    }
    if (!DisplaceParts(object, *solid)) return;
    BuiltObject placed;
    placed.world_from_object = PlacedAs(object);
    placed.first_chart = built_.chart_count;
    AddTriangles(*solid, placed, materials);
    built_.chart_count += solid->chart_count;
    placed.solid = *std::move(solid);
    built_.objects.push_back(std::move(placed));
  }

  // Every part whose material has heights; false where it could not be.
  bool DisplaceParts(const StageObject& object, Solid& solid) {
    for (size_t part = 0; part < solid.parts.size(); ++part) {
      const StageMaterial* const material = MaterialFor(object, solid.parts[part]);
      if (!material || !material->texture || !material->texture->displacement) continue;
      const StageTexture& texture = *material->texture;
      const auto heights = ReadPlainTexture(*texture.displacement);
      if (!heights.ok()) {
        AddErrors(heights.errors(), errors_);
        return false;
      }
      const Relief relief{(*heights)->view(),
                          {texture.tile_mm[0], texture.tile_mm[1]},
                          Radians(texture.turn),
                          texture.displacement_mm,
                          0};
      auto displaced = Displace(std::move(solid), static_cast<int32_t>(part), relief,
                                {texture.displacement_mm, texture.displacement->place,
                                 "stage.object.texture.displacement_mm"});
      if (!displaced.ok()) {
        AddErrors(displaced.errors(), errors_);
        return false;
      }
      solid = *std::move(displaced);
    }
    return true;
  }

  void AddTriangles(const Solid& solid, const BuiltObject& placed,
                    const std::vector<int32_t>& materials) {
    World& world = built_.world;
    const auto first = static_cast<int32_t>(world.vertices.size());
    for (const Eigen::Vector3d& vertex : solid.vertices) {
      world.vertices.push_back(placed.world_from_object * vertex);
    }
    for (const SolidTriangle& from : solid.triangles) {
      WorldTriangle triangle;
      for (size_t i = 0; i < 3; ++i) {
        triangle.vertices[i] = first + from.vertices[i];
        triangle.normals[i] = (placed.world_from_object.rotation() * from.normals[i]).cast<float>();
        triangle.texture_mm[i] = from.texture_mm[i].cast<float>();
        triangle.sheet_mm[i] = from.sheet[i].vector().cast<float>();
      }
      triangle.material = materials[static_cast<size_t>(from.part)];
      triangle.chart = from.chart < 0 ? -1 : placed.first_chart + from.chart;
      world.triangles.push_back(triangle);
    }
  }

  // Index into the world's materials.
  int32_t MaterialOf(const StageObject& object, const std::string& part) {
    static const StageMaterial kPlain;
    const StageMaterial* const found = MaterialFor(object, part);
    return AddMaterial(found ? *found : kPlain);
  }

  int32_t AddMaterial(const StageMaterial& from) {
    const auto known = materials_.find(&from);
    if (known != materials_.end()) return known->second;
    WorldMaterial material;
    const Substrate substrate = from.substrate ? from.substrate->value : Substrate{};
    material.albedo = substrate.reflectance;
    if (from.metal) {
      material.kind = WorldMaterialKind::kMetal;
      material.albedo = MetalReflectance(*from.metal);
      material.roughness = from.roughness.value_or(0.2);
    } else if (from.glass) {
      material.kind = WorldMaterialKind::kGlass;
      material.roughness = from.roughness.value_or(0);
    } else {
      const double gloss = substrate.gloss.value_or(0);
      material.coat = from.roughness && !substrate.gloss ? 1 : std::sqrt(gloss);
      material.roughness = from.roughness.value_or(kBroadestCoat * (1 - gloss) * (1 - gloss));
    }
    if (from.texture)
      AddTexture(*from.texture, from.substrate && from.substrate->value.stated, material);
    built_.world.materials.push_back(std::move(material));
    const auto index = static_cast<int32_t>(built_.world.materials.size()) - 1;
    materials_[&from] = index;
    return index;
  }

  void AddTexture(const StageTexture& from, bool stated, WorldMaterial& material) {
    WorldTexture texture;
    texture.tile_mm = {from.tile_mm[0], from.tile_mm[1]};
    texture.turn_rad = Radians(from.turn);
    texture.normal_strength = from.normal_strength;
    const auto read = [this](const auto& file, const auto& reader, auto& to) {
      if (!file) return;
      auto picture = reader(*file);
      if (picture.ok()) {
        to = *std::move(picture);
      } else {
        AddErrors(picture.errors(), errors_);
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

  // Leaves in the material's albedo what the texture is to be multiplied by.
  static void Tint(bool stated, WorldTexture& texture, WorldMaterial& material) {
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

  std::string Digest(const ReadFiles& files) const {
    Sha256 digest;
    digest.AddText(kTracedBy);
    digest.AddText(stage_.text);
    for (const StageObject& object : stage_.objects) {
      for (const StageMaterial& material : object.materials) {
        const Substrate s = material.substrate ? material.substrate->value : Substrate{};
        digest.AddText(fmt::format("{:.9g} {:.9g} {:.9g} {:.9g}", s.reflectance.r, s.reflectance.g,
                                   s.reflectance.b, s.gloss.value_or(-1)));
      }
    }
    const auto add_light = [&digest](const StageLightColour& light) {
      const Reflectance& c = light.colour;
      digest.AddText(fmt::format("{:.9g} {:.9g} {:.9g}", c.r, c.g, c.b));
    };
    for (const StageSoftLight& light : stage_.soft_lights) add_light(light.colour);
    if (stage_.sun) add_light(stage_.sun->colour);
    add_light({std::nullopt, stage_.background});
    std::vector<std::string> contents;
    for (const auto& [path, content] : files) contents.push_back(content);
    std::sort(contents.begin(), contents.end());
    for (const std::string& content : contents) digest.AddText(content);
    return digest.Hex();
  }

  const Stage& stage_;
  BuiltStage built_;
  Errors errors_;
  std::map<const StageMaterial*, int32_t> materials_;
};

}  // namespace

const StageMaterial* MaterialFor(const StageObject& object, const std::string& part) {
  const StageMaterial* found = nullptr;
  for (const StageMaterial& material : object.materials) {
    if (material.part == part || (material.part.empty() && !found)) found = &material;
  }
  return found;
}

Result<BuiltStage> BuildStage(const Stage& stage) { return StageBuilder(stage).Build(); }

}  // namespace wheatpaste

#include "stage/build_stage.h"

#include <algorithm>
#include <cmath>
#include <variant>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/files.h"
#include "base/read_log.h"
#include "base/units.h"
#include "dieline/blanks.h"
#include "image/read_bitmap.h"
#include "image/read_hdr.h"
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
constexpr char kTracedBy[] = "stage 3";

constexpr double kBroadestCoat = 0.6;

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
      if (stage_.light_map) NoteFile(stage_.light_map->file, kMaxHdrBytes);
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
    built_.files = std::move(files);
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
    const StageMaterial* const found = MaterialFor(object, part);
    const auto known = std::find(built_.materials.begin(), built_.materials.end(), found);
    if (known != built_.materials.end()) {
      return static_cast<int32_t>(known - built_.materials.begin());
    }
    built_.materials.push_back(found);
    static const StageMaterial kPlain;
    AddMaterial(found ? *found : kPlain);
    return static_cast<int32_t>(built_.materials.size()) - 1;
  }

  void AddMaterial(const StageMaterial& from) {
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
    if (from.texture) NoteTexture(*from.texture);
    built_.world.materials.push_back(std::move(material));
  }

  // Its files decide the photograph; what they hold is read when that is taken (add_looks.h).
  void NoteTexture(const StageTexture& texture) {
    for (const auto& file : {texture.colour, texture.normal, texture.roughness}) {
      if (file) NoteFile(*file, kMaxBitmapBytes);
    }
  }
  void NoteFile(const Placed<std::string>& file, int64_t max_bytes) {
    if (const auto bytes = ReadWholeFile(file, max_bytes); !bytes)
      AddErrors(bytes.errors(), errors_);
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

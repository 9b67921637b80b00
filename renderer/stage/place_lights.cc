#include "stage/place_lights.h"

#include <algorithm>
#include <cmath>
#include <type_traits>
#include <utility>
#include <variant>

#include <fmt/format.h>

#include "base/units.h"
#include "colour/black_body.h"
#include "surface/camera.h"

namespace wheatpaste {
namespace {

Eigen::Vector3d LightOf(const StageLightColour& colour, double strength) {
  Reflectance light = colour.kelvin ? BlackBodyColour(*colour.kelvin) : colour.colour;
  const double y = std::max(Luminance(light.r, light.g, light.b), 1e-9);
  return Eigen::Vector3d(light.r, light.g, light.b) * (strength / y);
}

// Neither flat nor a backdrop; a mesh may be a room.
bool IsHollowOrFull(const StageObject& object) {
  return std::visit(
      []<typename Own>(const Own&) {
        return std::is_same_v<Own, BlockSolid> || std::is_same_v<Own, TubeSolid> ||
               std::is_same_v<Own, CupSolid> || std::is_same_v<Own, CanSolid> ||
               std::is_same_v<Own, ToteSolid> || std::is_same_v<Own, PaperBagSolid> ||
               std::is_same_v<Own, CartonSolid>;
      },
      object.solid);
}

// Within the bounds of the object as it stands in its own axes.
bool Surrounds(const BuiltObject& object, const Eigen::Vector3d& world) {
  const Eigen::Vector3d at = object.world_from_object.inverse() * world;
  Eigen::AlignedBox3d bounds;
  for (const Eigen::Vector3d& vertex : object.solid.vertices) bounds.extend(vertex);
  return bounds.contains(at);
}

// The middle of an object's bounds; (0, 0, 0) with an error where there is none of this name.
Eigen::Vector3d MiddleOf(const Stage& stage, const BuiltStage& built, const StageObjectName& name) {
  for (size_t i = 0; i < stage.objects.size() && i < built.objects.size(); ++i) {
    if (stage.objects[i].name.value != name.value) continue;
    const BuiltObject& object = built.objects[i];
    Eigen::Vector3d low = object.world_from_object * object.solid.vertices.front(), high = low;
    for (const Eigen::Vector3d& vertex : object.solid.vertices) {
      const Eigen::Vector3d at = object.world_from_object * vertex;
      low = low.cwiseMin(at);
      high = high.cwiseMax(at);
    }
    return (low + high) / 2;
  }
  // Where an object could not be built, its error is there already.
  return Eigen::Vector3d::Zero();
}

}  // namespace

void AddLights(const Stage& stage, BuiltStage& built, Errors& errors) {
  for (const StageSoftLight& light : stage.soft_lights) {
    const Eigen::Vector3d aim =
        light.aim_object ? MiddleOf(stage, built, *light.aim_object) : light.aim;
    const Eigen::Vector3d front = (aim - light.at).normalized();
    if (!front.allFinite() || (aim - light.at).norm() == 0) {
      errors.push_back({light.place, "stage.soft_light.aim", "expected another place than `at`"});
      continue;
    }
    const Eigen::Vector3d up =
        std::abs(front.y()) > 0.999 ? Eigen::Vector3d(0, 0, -1) : Eigen::Vector3d(0, 1, 0);
    // right x up points along the front.
    const Eigen::Vector3d right = up.cross(front).normalized();
    const Eigen::Vector3d over = front.cross(right);
    WorldSoftLight placed;
    placed.right = right * light.size[0];
    placed.up = over * light.size[1];
    placed.corner = light.at - (placed.right + placed.up) / 2;
    placed.radiance = LightOf(light.colour, light.strength);
    placed.shown = light.shown;
    built.world.soft_lights.push_back(placed);
  }
  if (stage.sun) {
    const StageSun& sun = *stage.sun;
    const double around = RadFromDegrees(sun.around).value,
                 height = RadFromDegrees(sun.height).value;
    WorldSun placed;
    placed.to_sun = {std::sin(around) * std::cos(height), std::sin(height),
                     std::cos(around) * std::cos(height)};
    placed.cos_radius = std::cos(RadFromDegrees(sun.size / 2).value);
    placed.irradiance = LightOf(sun.colour, sun.strength);
    built.world.sun = placed;
  }
  const Reflectance& behind = stage.background;
  built.world.background = {behind.r, behind.g, behind.b};
}

void AddCamera(const Stage& stage, BuiltStage& built, Errors& errors) {
  const StageCamera& camera = stage.camera;
  const Eigen::Vector3d aim =
      camera.aim_object ? MiddleOf(stage, built, *camera.aim_object) : camera.aim;
  const Eigen::Vector3d at = camera.stand ? PlaceOf(*camera.stand, aim) : camera.at;
  if ((aim - at).norm() < 1e-6) {
    errors.push_back(
        {camera.place, "stage.camera.aim", "expected another place than the camera's"});
    return;
  }
  for (size_t i = 0; i < stage.objects.size(); ++i) {
    if (!IsHollowOrFull(stage.objects[i]) || !Surrounds(built.objects[i], at)) continue;
    built.warnings.push_back(fmt::format("{}: the camera stands within it, and sees its inside",
                                         stage.objects[i].name.value));
  }
  const Eigen::Vector3d along = (aim - at).normalized();
  const Eigen::Vector3d up =
      std::abs(along.y()) > 0.9999 ? Eigen::Vector3d(0, 0, -1) : Eigen::Vector3d(0, 1, 0);
  const Eigen::Vector3d right = along.cross(up).normalized();
  const Eigen::Vector3d down = along.cross(right);
  WorldCamera& placed = built.world.camera;
  placed.rotation.row(0) = right;
  placed.rotation.row(1) = down;
  placed.rotation.row(2) = along;
  // The camera turned clockwise sees the world turned the other way.
  placed.rotation = Eigen::AngleAxisd(-RadFromDegrees(camera.roll).value, Eigen::Vector3d::UnitZ())
                        .toRotationMatrix() *
                    placed.rotation;
  placed.at = at;
  placed.size = stage.size;
  placed.focal_px = FocalPxFrom35mm(camera.focal_35mm, stage.size);
  placed.exposure = std::exp2(camera.exposure);
  placed.focus_mm = (aim - at).norm();
  if (camera.lens.focus_object) {
    placed.focus_mm = along.dot(MiddleOf(stage, built, *camera.lens.focus_object) - at);
  } else if (camera.lens.focus_mm) {
    placed.focus_mm = *camera.lens.focus_mm;
  }
  if (camera.lens.f_number > 0) {
    const double mm = camera.focal_35mm;
    placed.lens_radius_mm = mm / (2 * camera.lens.f_number);
    if (placed.focus_mm <= mm) {
      errors.push_back({camera.place, "stage.camera.focus",
                        fmt::format("expected a distance beyond the focal length, {:.4g} mm", mm)});
    }
  }
}

}  // namespace wheatpaste

// world.h - a stage ready to be traced: triangles, materials, lights and camera in one frame.
//
// Axes    world mm, as scene/stage.h. Light linear in the working primaries, in units of the picture before exposure.
// Split   every first hit of a path returns L = A E + S: A the material's diffuse albedo there (its texture included), E the light that its
//         diffuse part returns over A, S all else (mirrored, emitted, seen through, background). f_diffuse = A / pi T(mu_o, mu_i)
//         is linear in A, so another A needs no new tracing.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "colour/colour.h"
#include "image/image.h"

namespace wheatpaste {

// Repeating; (0, 0) of the picture's bottom left, x right, y up.
struct WorldTexture {
  std::shared_ptr<const Image<SceneLinear>> colour;  // linear; times `tint`
  std::shared_ptr<const Image<SceneLinear>> normal;  // x right, y up, z out, -1 to 1
  std::shared_ptr<const Image<Coverage>> roughness;  // GGX alpha, times WorldMaterial::roughness
  Eigen::Vector2d tile_mm{1000, 1000};
  double turn_rad = 0;
  double normal_strength = 1;
};

// A picture laid once over a sheet, for tests: replaces the albedo of the triangles of one chart. Alpha: its share.
struct WorldPrint {
  std::shared_ptr<const Image<LinearPremul>> artwork;  // diffuse albedo, premultiplied
  Eigen::Vector2d low_mm, high_mm;                     // rectangle on the sheet, y down
};

enum class WorldMaterialKind { kPaper, kMetal, kGlass };

struct WorldMaterial {
  WorldMaterialKind kind = WorldMaterialKind::kPaper;
  Reflectance albedo{0.8, 0.8, 0.8};  // of paper; of metal its reflectance at normal incidence
  // Of paper: a dielectric coat of index 1.5 over the diffuse body; 0: none.
  double coat = 0;         // share of its Fresnel reflection, 0 to 1
  double roughness = 0.5;  // GGX alpha of coat, metal or glass
  std::optional<WorldTexture> texture;
};

struct WorldTriangle {
  std::array<int32_t, 3> vertices{};
  std::array<Eigen::Vector3f, 3> normals{};
  std::array<Eigen::Vector2f, 3> texture_mm{};
  int32_t material = 0;
  int32_t chart = -1;  // of the world; -1: not to be printed on
  std::array<Eigen::Vector2f, 3> sheet_mm{};
};

struct WorldSoftLight {
  Eigen::Vector3d corner, right, up;  // world mm; shines towards right x up
  Eigen::Vector3d radiance{0, 0, 0};
  bool shown = false;  // to the camera; it is always mirrored, and hides nothing
};
struct WorldSun {
  Eigen::Vector3d to_sun{0, 1, 0};
  double cos_radius = 1;                // of its disc; 1: a point, mirrored by nothing
  Eigen::Vector3d irradiance{0, 0, 0};  // over pi, on a surface that faces it
};
struct WorldLightMap {
  std::shared_ptr<const Image<SceneLinear>>
      sky;  // equirectangular, top row up, middle column at -z before turning; scaled
  std::shared_ptr<const Image<SceneLinear>>
      behind;  // what the camera sees of it (blurred), turned too; null: `background`
  double turn_rad = 0;
};

struct WorldCamera {
  // camera from world: x right, y down, z along the view.
  Eigen::Matrix3d rotation = Eigen::Matrix3d::Identity();
  Eigen::Vector3d at{0, 0, 0};  // world mm
  double focal_px = 0;          // principal point: the picture's middle
  SizePx size;
  double lens_radius_mm = 0, focus_mm = 1000;
  double exposure = 1;  // factor
};

struct World {
  std::vector<Eigen::Vector3d> vertices;
  std::vector<WorldTriangle> triangles;
  std::vector<WorldMaterial> materials;
  std::vector<WorldSoftLight> soft_lights;
  std::optional<WorldSun> sun;
  std::optional<WorldLightMap> light_map;
  Eigen::Vector3d background{0, 0, 0};  // seen, lights nothing
  WorldCamera camera;
  std::vector<std::optional<WorldPrint>> prints;  // of each chart; empty: none
  // Of each chart the number of the face whose thrown light is told apart, below `thrower_count`, or -1; empty: of none.
  std::vector<int32_t> throwers;
  int32_t thrower_count = 0;
};

}  // namespace wheatpaste

// folded_stage.h - a folded canvas before a camera, seen obliquely, blank and truly printed: the pair for relief.
//
// Model   a sheet of w x h mm whose points stand h(x, y) mm above its flat rectangle, towards the camera: a few waves of
//         canvas, each with a direction, a length and a phase of its own, drawn by a seeded generator; fading out towards the
//         sides, where it is pinned up. Printed by its flat mm. A perfect diffuser, lit by a lamp (a point) and a weaker one
//         beside the camera; nothing throws a shadow on it.
#pragma once

#include <random>

#include "ref/ray_traced_shapes.h"

namespace wheatpaste::test {

struct FoldedStage {
  ShapeStage shape;
  std::vector<Light> lights;             // ray tracer's world: y up
  Eigen::Vector3d to_light;              // unit, camera axes: the lamp from the sheet's middle
  std::vector<Eigen::Vector2d> outline;  // of the sheet, photo px
  double highest_mm = 0;
};

struct Wave {
  Eigen::Vector2d direction;
  double length_mm, height_mm, phase;
};

inline FoldedStage MakeFolds(uint32_t seed) {
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
  };
  const double w = 300, h = 260;
  FoldedStage stage;
  const double yaw = (random() % 2 == 0 ? 1 : -1) * between(32, 42), pitch = between(8, 18);
  const BodyPose pose = PoseBody(yaw, pitch, between(-4, 4), {0, 0, 620});
  // The longest fold leads; the others run within 40 degrees of it.
  const double lead = between(0, kShapePi);
  std::vector<Wave> waves;
  for (int k = 0; k < 3; ++k) {
    const double turn = lead + (k == 0 ? 0 : between(-0.7, 0.7));
    const double length = k == 0 ? between(90, 120) : between(50, 85);
    waves.push_back({{std::cos(turn), std::sin(turn)},
                     length,
                     length * (k == 0 ? between(0.035, 0.045) : between(0.015, 0.025)),
                     between(0, 2 * kShapePi)});
  }
  const auto height = [=](double s, double t) {
    const auto fade = [](double share) {
      const double x = std::clamp(std::min(share, 1 - share) / 0.15, 0.0, 1.0);
      return x * x * (3 - 2 * x);
    };
    double z = 0;
    for (const Wave& wave : waves) {
      z += wave.height_mm * std::cos(2 * kShapePi / wave.length_mm *
                                         wave.direction.dot(Eigen::Vector2d(w * s, h * t)) +
                                     wave.phase);
    }
    return z * fade(s) * fade(t);
  };
  const auto object = [=](double s, double t) {
    return Eigen::Vector3d(w * (s - 0.5), h * (t - 0.5), -height(s, t));
  };
  for (int i = 0; i <= 100; ++i) {
    for (int j = 0; j <= 100; ++j) {
      stage.highest_mm = std::max(stage.highest_mm, std::abs(height(i / 100.0, j / 100.0)));
    }
  }
  ShapeStage& shape = stage.shape;
  shape.name = fmt::format("folds{}", seed);
  shape.focal_px = 800;
  PrintedPart part;
  part.size = {w, h};
  part.placement = "surface = \"body\"\nfit = \"stretch\"\n";
  part.triangles = Grid(150, 130, [&](double s, double t) {
    return std::pair(pose(object(s, t)), Eigen::Vector2d(s, t));
  });
  shape.printed = {part};
  const auto corner = [&](double s, double t) {
    const PhotoPx p = shape.Seen(pose({w * (s - 0.5), h * (t - 0.5), 0}));
    return fmt::format("[{:.6f},{:.6f}]", p.x, p.y);
  };
  shape.surface = fmt::format("shape = \"plane\"\nsize = [{}, {}]\ncorners = [{},{},{},{}]\n", w, h,
                              corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1));
  for (const auto& [s, t] : {std::pair{0.0, 0.0}, {1.0, 0.0}, {1.0, 1.0}, {0.0, 1.0}}) {
    stage.outline.push_back(shape.Seen(pose({w * (s - 0.5), h * (t - 0.5), 0})).vector());
  }
  shape.centre = pose({0, 0, 0});
  shape.radius = std::hypot(w, h) / 2;
  // The lamp: 35 to 55 degrees off the sheet, from the upper half of the picture, across the leading fold within 45
  // degrees, as folds along the light leave no shading to read.
  Eigen::Vector2d across(std::cos(lead), std::sin(lead));
  if (across.y() > 0) across = -across;  // down the sheet is down the picture
  double tilt = 0;
  do {
    tilt = std::atan2(across.y(), across.x()) + between(-0.8, 0.8);
  } while (std::sin(tilt) > -0.1);
  const double slant = between(35, 55) * kShapePi / 180;
  const Eigen::Vector3d own(std::sin(slant) * std::cos(tilt), std::sin(slant) * std::sin(tilt),
                            -std::cos(slant));
  stage.to_light = pose.rotation * own;
  const Eigen::Vector3d lamp = shape.centre + 1500 * stage.to_light;
  stage.lights = {{{lamp.x(), -lamp.y(), lamp.z()}, {0.72, 0.70, 0.66}, 0},
                  {{0, 0, 0}, {0.12, 0.12, 0.13}, 0}};
  return stage;
}

inline void RayTraceFolds(const FoldedStage& stage, const std::string& pigment,
                          const std::string& png) {
  std::string scene =
      StageText(stage.shape.photo, stage.shape.focal_px, stage.lights, {1, 0, 0}, {0, 1, 0});
  scene += MeshText(stage.shape.printed[0].triangles, pigment, kMattFinish);
  scene += fmt::format(
      "plane {{ <0,0,-1>, {} pigment {{ rgb <0.05,0.06,0.06> }} finish {{ ambient 0 emission 1 "
      "diffuse 0 }} }}\n",
      -(stage.shape.centre.z() + 3 * stage.shape.radius));
  RunRayTracer(scene, stage.shape.photo, png, 2);
}

}  // namespace wheatpaste::test

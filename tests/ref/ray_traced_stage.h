// ray_traced_stage.h - a rectangle before a camera, in light that throws shadows, as a ray tracer sees it:
// once blank and once truly printed.
//
// Model   camera at the origin, looking along +z; x right, y up in the ray tracer's world, so that
//             photo x = width / 2 + f X / Z,  photo y = height / 2 - f Y / Z      (photo px)
//         Every surface is a perfect diffuser without bounced light, so the one equation of the program
//         holds exactly: printed light = printed reflectance x (blank light / blank reflectance).
// Source  POV-Ray 3.7.0 (Debian package povray), a general-purpose ray tracer. Anti-aliasing method 2
//         (+AM2 +R4: up to 16 x 16 subpixels where a pixel is not flat, each the mean of its corners),
//         no jitter; pictures are 16-bit sRGB PNG.
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <numbers>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <fmt/format.h>

#include "base/rect.h"
#include "geometry/coords.h"
#include "support.h"

namespace wheatpaste::test {

struct Light {
  Eigen::Vector3d at;
  Eigen::Vector3d colour;
  double side = 0;  // of a square of light, mm; 0: a point
};

struct Stage {
  SizePx photo{900, 700};
  double focal_px = 0;
  SurfaceMm size;                // mm
  Eigen::Vector3d top_left;      // world mm
  Eigen::Vector3d across, down;  // along the top side, along the left side; whole lengths
  Eigen::Vector3d reflectance;   // of the blank surface
  Eigen::Vector3d wall;          // of the wall behind it
  std::vector<Light> lights;
  std::array<Eigen::Vector3d, 2>
      bar;  // corners of a block that throws the shadow; out of the picture

  PhotoPx Seen(const Eigen::Vector3d& world) const {
    return {static_cast<double>(photo.width) / 2 + focal_px * world.x() / world.z(),
            static_cast<double>(photo.height) / 2 - focal_px * world.y() / world.z()};
  }
  // Clockwise from the surface's own top left.
  std::array<PhotoPx, 4> Corners() const {
    return {Seen(top_left), Seen(top_left + across), Seen(top_left + across + down),
            Seen(top_left + down)};
  }
};

// A stage of its own for each seed: pose, focal length, colours of surface and lights, shadows.
// The blank surface reaches at most about 0.75 of the photo's maximum.
inline Stage MakeStage(uint32_t seed) {
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
  };
  const auto turn = [&](double most_degrees) {
    return between(-most_degrees, most_degrees) * std::numbers::pi / 180;
  };
  Stage stage;
  stage.focal_px = between(800, 1400);
  stage.size = seed % 2 == 0 ? SurfaceMm{594, 420} : SurfaceMm{420, 594};
  const Eigen::Matrix3d pose = (Eigen::AngleAxisd(turn(8), Eigen::Vector3d::UnitZ()) *
                                Eigen::AngleAxisd(turn(40), Eigen::Vector3d::UnitY()) *
                                Eigen::AngleAxisd(turn(25), Eigen::Vector3d::UnitX()))
                                   .toRotationMatrix();
  stage.across = pose * Eigen::Vector3d(stage.size.x, 0, 0);
  stage.down = pose * Eigen::Vector3d(0, -stage.size.y, 0);
  // As large as leaves a margin of 40 px.
  const Eigen::Vector3d half = (stage.across + stage.down) / 2;
  for (double distance = 400;; distance += 10) {
    stage.top_left = Eigen::Vector3d(between(-20, 20), between(-20, 20), distance) - half;
    const auto corners = stage.Corners();
    if (std::all_of(corners.begin(), corners.end(), [&](const PhotoPx& p) {
          return p.x > 40 && p.y > 40 && p.x < static_cast<double>(stage.photo.width) - 40 &&
                 p.y < static_cast<double>(stage.photo.height) - 40;
        })) {
      break;
    }
  }
  stage.reflectance = {between(0.7, 0.85), between(0.7, 0.85), between(0.65, 0.85)};
  stage.wall = {between(0.2, 0.6), between(0.2, 0.6), between(0.2, 0.6)};

  const Eigen::Vector3d centre = stage.top_left + half;
  const Eigen::Vector3d normal = stage.across.cross(stage.down).normalized();  // away from camera
  const Eigen::Vector3d facing = normal.z() > 0 ? Eigen::Vector3d(-normal) : normal;
  const auto tint = [&] {
    return Eigen::Vector3d(between(0.85, 1), between(0.85, 1), between(0.85, 1));
  };
  const auto place = [&](double lean, double distance) {
    const Eigen::Vector3d aside =
        (std::cos(lean) * stage.across.normalized() + std::sin(lean) * stage.down.normalized());
    return Eigen::Vector3d(centre + distance * (facing + 0.6 * aside));
  };
  stage.lights = {{place(between(3.5, 4.2), between(900, 1400)), 0.50 * tint(), 0},
                  {place(between(5.0, 6.0), between(700, 1200)), 0.35 * tint(), 160},
                  {place(between(0, 6.2), 2500), 0.12 * tint(), 0}};
  // Half way between the first light and the surface: a shadow edge crosses the surface.
  const Eigen::Vector3d middle = 0.6 * centre + 0.4 * stage.lights[0].at;
  stage.bar = {middle - Eigen::Vector3d(between(10, 60), 600, 4),
               middle + Eigen::Vector3d(between(10, 60), between(0, 40), 4)};
  return stage;
}

inline std::string PrintVector(const Eigen::Vector3d& v) {
  return fmt::format("<{:.9g},{:.9g},{:.9g}>", v.x(), v.y(), v.z());
}

inline std::string PlainPigment(const Eigen::Vector3d& reflectance) {
  return "rgb " + PrintVector(reflectance);
}

// file  a 16-bit linear PPM. Not interpolated: texels are flat squares, as in a bitmap.
inline std::string PicturePigment(const std::string& file) {
  return fmt::format("image_map {{ ppm \"{}\" gamma 1.0 map_type 0 }}", file);
}

// Camera and lights of a scene file; objects follow.
inline std::string StageText(SizePx photo, double focal_px, const std::vector<Light>& lights,
                             const Eigen::Vector3d& light_across,
                             const Eigen::Vector3d& light_down) {
  std::string scene =
      "#version 3.7;\nglobal_settings { assumed_gamma 1.0 max_trace_level 2 }\n"
      "default { finish { ambient 0 diffuse 1 } }\n";
  scene += fmt::format(
      "camera {{ perspective location <0,0,0> direction <0,0,{:.9g}> right <{},0,0> up <0,{},0> "
      "}}\n",
      focal_px, photo.width, photo.height);
  for (const Light& light : lights) {
    scene += "light_source { " + PrintVector(light.at) + " rgb " + PrintVector(light.colour);
    if (light.side > 0) {
      const Eigen::Vector3d a = light_across * light.side, b = light_down * light.side;
      scene += " area_light " + PrintVector(a) + "," + PrintVector(b) + ",4,4 adaptive 1";
    }
    scene += " }\n";
  }
  return scene;
}

// depth  of anti-aliasing: up to 2^depth x 2^depth subpixels.
inline void RunRayTracer(const std::string& scene, SizePx photo, const std::string& png,
                         int depth = 4) {
  WriteText(png + ".pov", scene);
  const RunResult run =
      Run(fmt::format("povray '+I{0}.pov' '+O{0}' +FN16 File_Gamma=sRGB +W{1} +H{2} +A0.006 +AM2 "
                      "+R{3} -J -D -V -GA +GF +WT2 2>&1",
                      png, photo.width, photo.height, depth));
  if (run.status != 0) {
    throw std::runtime_error(
        "povray: " + run.out.substr(run.out.size() - std::min<size_t>(run.out.size(), 1500)));
  }
}

inline constexpr char kMattFinish[] = "finish { ambient 0 diffuse 1 brilliance 1 }";

// Renders the stage to `png`; `pigment` is the surface's reflectance in the ray tracer's own language.
inline void RayTrace(const Stage& stage, const std::string& pigment, const std::string& png) {
  const Eigen::Vector3d up = -stage.down, bottom_left = stage.top_left + stage.down;
  const Eigen::Vector3d normal = stage.across.cross(up).normalized();
  const Eigen::Vector3d behind = normal.z() > 0 ? normal : Eigen::Vector3d(-normal);
  const auto place = [&](const Eigen::Vector3d& x, const Eigen::Vector3d& y,
                         const Eigen::Vector3d& origin) {
    std::string text;
    for (const Eigen::Vector3d& row : {x, y, behind, origin}) {
      text +=
          fmt::format("{}{:.9g},{:.9g},{:.9g}", text.empty() ? "" : ",", row.x(), row.y(), row.z());
    }
    return "matrix <" + text + ">";
  };
  const std::string matt = kMattFinish;
  std::string scene = StageText(stage.photo, stage.focal_px, stage.lights,
                                stage.across.normalized(), stage.down.normalized());
  const std::string square = "polygon { 5, <0,0>,<1,0>,<1,1>,<0,1>,<0,0> ";
  scene += square + "pigment { " + pigment + " } " + matt + " " +
           place(stage.across, up, bottom_left) + " }\n";
  const Eigen::Vector3d corner = bottom_left - 3 * (stage.across + up) + 1.5 * behind;
  scene += square + "pigment { rgb " + PrintVector(stage.wall) + " } " + matt + " " +
           place(7 * stage.across, 7 * up, corner) + " }\n";
  scene += "box { " + PrintVector(stage.bar[0]) + ", " + PrintVector(stage.bar[1]) +
           " pigment { rgb 0 } no_image }\n";
  RunRayTracer(scene, stage.photo, png);
}

}  // namespace wheatpaste::test

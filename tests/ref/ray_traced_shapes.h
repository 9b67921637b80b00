// ray_traced_shapes.h - a cylinder, a cone, a box and a wavy sheet before a camera, as triangles that a ray
// tracer sees blank and truly printed, with the marks a designer would give.
//
// Model   written here from plain trigonometry, apart from the program's own geometry. Camera frame of pose.h:
//         x right, y down, z away; the ray tracer's y runs up. Flat mm as the scene's contract defines them.
// Facets  azimuth steps of 0.5 degrees stray from the round by r (1 - cos 0.25 deg) = 0.0004 mm at r = 40 mm.
#pragma once

#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <fmt/format.h>

#include "ref/ray_traced_stage.h"

namespace wheatpaste::test {

inline constexpr double kShapePi = std::numbers::pi;
inline constexpr SizePx kShapePhoto{440, 420};

struct Triangles {
  std::vector<Eigen::Vector3d> vertices;  // camera mm
  std::vector<Eigen::Vector2d> uv;        // of the artwork, v down; one for each vertex
  std::vector<std::array<size_t, 3>> faces;
};

// One artwork and what it is printed on.
struct PrintedPart {
  Triangles triangles;
  SurfaceMm size;         // of the artwork, mm
  std::string placement;  // keys of its placement, without the artwork's name
};

struct ShapeStage {
  std::string name;
  SizePx photo = kShapePhoto;
  double focal_px = 0;
  std::vector<PrintedPart> printed;
  std::vector<Triangles> plain;  // the rest of the body
  std::string surface;           // the scene's [[surface]] without substrate
  Eigen::Vector3d centre;        // camera mm
  double radius = 0;             // of the body, mm
  std::function<void(const std::string& folder)> write_files;  // beside the scene; may be empty

  PhotoPx Seen(const Eigen::Vector3d& p) const {
    return {static_cast<double>(photo.width) / 2 + focal_px * p.x() / p.z(),
            static_cast<double>(photo.height) / 2 + focal_px * p.y() / p.z()};
  }
};

// Body pose: pitched by `pitch` as for a camera that looks down on it, rolled, then moved.
struct BodyPose {
  Eigen::Matrix3d rotation;
  Eigen::Vector3d translation;
  Eigen::Vector3d operator()(const Eigen::Vector3d& p) const { return rotation * p + translation; }
};
inline BodyPose PoseBody(double yaw, double pitch, double roll, const Eigen::Vector3d& at) {
  const auto rad = [](double degrees) { return degrees * kShapePi / 180; };
  return {(Eigen::AngleAxisd(rad(roll), Eigen::Vector3d::UnitZ()) *
           Eigen::AngleAxisd(rad(pitch), Eigen::Vector3d::UnitX()) *
           Eigen::AngleAxisd(rad(yaw), Eigen::Vector3d::UnitY()))
              .toRotationMatrix(),
          at};
}

// A grid of (columns + 1) x (rows + 1) vertices over [0, 1] x [0, 1].
inline Triangles Grid(
    int columns, int rows,
    const std::function<std::pair<Eigen::Vector3d, Eigen::Vector2d>(double s, double t)>& vertex) {
  Triangles grid;
  for (int j = 0; j <= rows; ++j) {
    for (int i = 0; i <= columns; ++i) {
      const auto [p, uv] = vertex(static_cast<double>(i) / columns, static_cast<double>(j) / rows);
      grid.vertices.push_back(p);
      grid.uv.push_back(uv);
    }
  }
  const auto at = [&](int i, int j) { return static_cast<size_t>(j * (columns + 1) + i); };
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      grid.faces.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
      grid.faces.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
    }
  }
  return grid;
}

// Leftmost, lowest of the near half, rightmost of a circle about the axis, at height y. `facing`: the azimuth
// that faces the camera.
inline std::string RimText(const ShapeStage& stage, const BodyPose& pose, double radius, double y,
                           double facing) {
  const auto seen = [&](double azimuth) {
    return stage.Seen(pose({radius * std::sin(azimuth), y, -radius * std::cos(azimuth)}));
  };
  const auto extreme = [&](const std::function<double(const PhotoPx&)>& value, double from,
                           double to) {
    constexpr int kSteps = 2000;
    double best = from;
    for (int i = 0; i <= kSteps; ++i) {
      const double azimuth = from + (to - from) * i / kSteps;
      if (value(seen(azimuth)) > value(seen(best))) best = azimuth;
    }
    double low = best - (to - from) / kSteps, high = best + (to - from) / kSteps;
    for (int i = 0; i < 200; ++i) {
      const double a = low + (high - low) / 3, b = high - (high - low) / 3;
      (value(seen(a)) < value(seen(b)) ? low : high) = value(seen(a)) < value(seen(b)) ? a : b;
    }
    return seen((low + high) / 2);
  };
  const PhotoPx left = extreme([](const PhotoPx& p) { return -p.x; }, 0, 2 * kShapePi);
  const PhotoPx low =
      extreme([](const PhotoPx& p) { return p.y; }, facing - kShapePi / 2, facing + kShapePi / 2);
  const PhotoPx right = extreme([](const PhotoPx& p) { return p.x; }, 0, 2 * kShapePi);
  return fmt::format("[[{:.6f},{:.6f}],[{:.6f},{:.6f}],[{:.6f},{:.6f}]]", left.x, left.y, low.x,
                     low.y, right.x, right.y);
}

// Cylinder (equal diameters, wrap) or cone (flat sector); top at y = 0, bottom at y = height.
inline ShapeStage RoundStage(double top, double bottom, double height, double turn_degrees,
                             const BodyPose& pose, double focal_px, SizePx photo = kShapePhoto) {
  ShapeStage stage;
  stage.photo = photo;
  const bool cone = top != bottom;
  stage.name = cone ? "cone" : "cylinder";
  stage.focal_px = focal_px;
  const Eigen::Vector3d camera = pose.rotation.transpose() * -pose.translation;
  const double facing = std::atan2(camera.x(), -camera.z());
  const double centre_line = facing + turn_degrees * kShapePi / 180;
  // Flat pattern of the cone (methods: slant s, radii R from the apex, sector angle phi).
  const double a = top / 2, b = bottom / 2, slant = std::hypot(height, a - b);
  const double apex = cone ? slant / std::abs(a - b) : 0;  // radius in the flat = apex * radius
  const double sector = cone ? 2 * kShapePi / apex : 0;
  const auto flat = [&](double azimuth, double y) -> Eigen::Vector2d {
    const double off = azimuth - centre_line;
    if (!cone) return {kShapePi * a * 2 / 2 + a * off, y};
    const double radius = apex * (a + (b - a) * y / height);
    const double middle = apex * (a + b) / 2, psi = off * sector / (2 * kShapePi);
    // The apex lies below where the cup is narrower at the bottom, above where it is wider.
    const double up = b < a ? 1 : -1;
    return {radius * std::sin(psi), up * (middle - radius * std::cos(psi))};
  };
  Eigen::Vector2d low(0, 0), high(2 * kShapePi * a, height);
  if (cone) {
    low = {1e9, 1e9};
    high = -low;
    for (int i = 0; i <= 20000; ++i) {
      const double azimuth = centre_line + kShapePi * (i / 10000.0 - 1);
      for (const double y : {0.0, height}) {
        low = low.cwiseMin(flat(azimuth, y));
        high = high.cwiseMax(flat(azimuth, y));
      }
    }
  }
  PrintedPart part;
  part.size = {high.x() - low.x(), high.y() - low.y()};
  part.placement = "surface = \"body\"\nfit = \"stretch\"\n";
  part.triangles = Grid(720, 48, [&](double s, double t) {
    // From the seam round to the seam.
    const double azimuth = centre_line + kShapePi * (2 * s - 1), y = height * t;
    const double radius = a + (b - a) * t;
    const Eigen::Vector2d uv = (flat(azimuth, y) - low).cwiseQuotient(high - low);
    return std::pair(pose({radius * std::sin(azimuth), y, -radius * std::cos(azimuth)}), uv);
  });
  stage.printed = {part};
  // Its lid, so that nobody sees the inside.
  stage.plain = {Grid(720, 1, [&](double s, double t) {
    const double azimuth = 2 * kShapePi * s, r = a * (t + 1e-9);
    return std::pair(pose({r * std::sin(azimuth), 0, -r * std::cos(azimuth)}),
                     Eigen::Vector2d(0, 0));
  })};
  stage.surface = fmt::format(
      "shape = \"{}\"\n{}\nheight = {}\nturn = {}\nrim_top = {}\nrim_bottom = {}\n", stage.name,
      cone ? fmt::format("diameter_top = {}\ndiameter_bottom = {}", top, bottom)
           : fmt::format("diameter = {}", top),
      height, turn_degrees, RimText(stage, pose, a, 0, facing),
      RimText(stage, pose, b, height, facing));
  stage.centre = pose({0, height / 2, 0});
  stage.radius = std::hypot(height / 2, std::max(a, b));
  return stage;
}

// A box of w x h x d, its origin at its front top left; artwork runs over the edge from front to right, and
// another lies on the top. Both are seen.
inline ShapeStage BoxStage(double w, double h, double d, const BodyPose& pose, double focal_px,
                           SizePx photo = kShapePhoto) {
  ShapeStage stage;
  stage.photo = photo;
  stage.name = "box";
  stage.focal_px = focal_px;
  const auto face = [&](const Eigen::Vector3d& origin, const Eigen::Vector3d& x,
                        const Eigen::Vector3d& y, double u0, double u1) {
    return Grid(1, 1, [&](double s, double t) {
      return std::pair(pose(origin + s * x + t * y), Eigen::Vector2d(u0 + s * (u1 - u0), t));
    });
  };
  const Eigen::Vector3d right(w, 0, 0), down(0, h, 0), away(0, 0, d);
  const double edge = w / (w + d);
  PrintedPart strip, top;
  strip.size = {w + d, h};
  strip.placement = "surface = [\"body.front\", \"body.right\"]\nfit = \"stretch\"\n";
  strip.triangles = face({0, 0, 0}, right, down, 0, edge);
  const Triangles side = face(right, away, down, edge, 1);
  for (const auto& f : side.faces) {
    strip.triangles.faces.push_back({f[0] + 4, f[1] + 4, f[2] + 4});
  }
  strip.triangles.vertices.insert(strip.triangles.vertices.end(), side.vertices.begin(),
                                  side.vertices.end());
  strip.triangles.uv.insert(strip.triangles.uv.end(), side.uv.begin(), side.uv.end());
  top.size = {w, d};
  top.placement = "surface = \"body.top\"\nfit = \"stretch\"\n";
  top.triangles = face(away, right, -away, 0, 1);
  stage.printed = {strip, top};
  stage.surface =
      "shape = \"box\"\n" + fmt::format("size = [{}, {}, {}]\n", w, h, d) + "[surface.vertices]\n";
  for (int index = 0; index < 8; ++index) {
    if (index == (2 | 4)) continue;  // back bottom left: hidden
    const Eigen::Vector3d corner = (index & 1 ? right : Eigen::Vector3d::Zero()) +
                                   (index & 2 ? down : Eigen::Vector3d::Zero()) +
                                   (index & 4 ? away : Eigen::Vector3d::Zero());
    const PhotoPx p = stage.Seen(pose(corner));
    stage.surface +=
        fmt::format("{}_{}_{} = [{:.6f}, {:.6f}]\n", index & 4 ? "back" : "front",
                    index & 2 ? "bottom" : "top", index & 1 ? "right" : "left", p.x, p.y);
  }
  stage.centre = pose((right + down + away) / 2);
  stage.radius = std::sqrt(w * w + h * h + d * d) / 2;
  return stage;
}

// A sheet with waves, seen as a mesh that its pins tie to the photo. OBJ axes: y up, z to the viewer.
inline ShapeStage WavyStage(double w, double h, const BodyPose& pose, double focal_px,
                            SizePx photo = kShapePhoto, int cells = 64) {
  ShapeStage stage;
  stage.photo = photo;
  stage.name = "mesh";
  stage.focal_px = focal_px;
  const int columns = cells, rows = cells;
  const auto object = [&](double s, double t) {
    return Eigen::Vector3d(
        w * (s - 0.5), h * (t - 0.5),
        10 * std::sin(2 * kShapePi * (1.5 * s + 0.4 * t)) + 5 * std::sin(2 * kShapePi * 1.3 * t));
  };
  PrintedPart part;
  part.size = {w, h};
  part.placement = "surface = \"body\"\nfit = \"stretch\"\n";
  part.triangles = Grid(columns, rows, [&](double s, double t) {
    return std::pair(pose(object(s, t)), Eigen::Vector2d(s, t));
  });
  stage.printed = {part};
  std::string obj = "# a sheet with waves\n";
  for (int j = 0; j <= rows; ++j) {
    for (int i = 0; i <= columns; ++i) {
      const double s = static_cast<double>(i) / columns, t = static_cast<double>(j) / rows;
      const Eigen::Vector3d p = object(s, t);
      obj += fmt::format("v {:.9f} {:.9f} {:.9f}\nvt {:.9f} {:.9f}\n", p.x(), -p.y(), -p.z(), s,
                         1 - t);
    }
  }
  for (const auto& f : part.triangles.faces) {
    obj += fmt::format("f {0}/{0} {1}/{1} {2}/{2}\n", f[0] + 1, f[2] + 1, f[1] + 1);
  }
  stage.write_files = [obj](const std::string& folder) { WriteText(folder + "/body.obj", obj); };
  stage.surface =
      fmt::format("shape = \"mesh\"\nfile = \"body.obj\"\nsize = [{}, {}]\n[surface.pins]\n", w, h);
  int pin = 0;
  for (const auto& [s, t] :
       {std::pair{0.0, 0.0}, {1.0, 0.0}, {1.0, 1.0}, {0.0, 1.0}, {0.5, 0.25}, {0.25, 0.75}}) {
    const Eigen::Vector3d p = object(s, t);
    const PhotoPx seen = stage.Seen(pose(p));
    stage.surface += fmt::format("pin{} = [{:.6f}, {:.6f}, {:.9f}, {:.9f}, {:.9f}]\n", ++pin,
                                 seen.x, seen.y, p.x(), -p.y(), -p.z());
  }
  stage.centre = pose({0, 0, 0});
  stage.radius = std::hypot(w, h) / 2;
  return stage;
}

// finish  of the ray tracer.
inline std::string MeshText(const Triangles& triangles, const std::string& pigment,
                            const std::string& finish) {
  std::string text = fmt::format("mesh2 {{ vertex_vectors {{ {}", triangles.vertices.size());
  for (const Eigen::Vector3d& v : triangles.vertices) {
    text += fmt::format(",<{:.9g},{:.9g},{:.9g}>", v.x(), -v.y(), v.z());
  }
  text += fmt::format(" }} uv_vectors {{ {}", triangles.uv.size());
  for (const Eigen::Vector2d& uv : triangles.uv) {
    // Just inside, as the ray tracer repeats pictures.
    const auto inside = [](double x) { return std::min(1 - 1e-7, std::max(1e-7, x)); };
    text += fmt::format(",<{:.9g},{:.9g}>", inside(uv.x()), inside(1 - uv.y()));
  }
  text += fmt::format(" }} face_indices {{ {}", triangles.faces.size());
  for (const auto& f : triangles.faces) text += fmt::format(",<{},{},{}>", f[0], f[1], f[2]);
  return text + " } texture { uv_mapping pigment { " + pigment + " } " + finish + " } }\n";
}

// Where a light stands: from the body's centre, in its radii; the ray tracer's axes (x right, y up, z away).
inline Eigen::Vector3d LightPlace(const ShapeStage& stage, const Eigen::Vector3d& from_centre) {
  return Eigen::Vector3d(stage.centre.x(), -stage.centre.y(), stage.centre.z()) +
         stage.radius * from_centre;
}
inline std::vector<Light> UsualLights(const ShapeStage& stage) {
  return {{LightPlace(stage, {-4, 5, -6}), {0.50, 0.48, 0.45}, 0},
          {LightPlace(stage, {6, 3, -4}), {0.30, 0.33, 0.36}, 0},
          {{0, 0, 0}, {0.12, 0.12, 0.12}, 0}};
}

// What the printed parts are made of, in the ray tracer's language; one pigment for each. `has_bar`: the first
// light's shadow of a bar lies across the body.
inline void RayTraceShape(const ShapeStage& stage, const std::vector<std::string>& pigments,
                          const std::string& plain, const std::vector<Light>& lights,
                          const std::string& finish, bool has_bar, const std::string& png) {
  const Eigen::Vector3d centre = LightPlace(stage, {0, 0, 0});
  const double r = stage.radius;
  std::string scene = StageText(stage.photo, stage.focal_px, lights, {1, 0, 0}, {0, 1, 0});
  for (size_t i = 0; i < stage.printed.size(); ++i) {
    scene += MeshText(stage.printed[i].triangles, pigments[i], finish);
  }
  for (const Triangles& triangles : stage.plain) {
    scene += MeshText(triangles, plain, finish);
  }
  // A flat ground: it is not looked at, and costs no light.
  scene += fmt::format(
      "plane {{ <0,0,-1>, {} pigment {{ rgb <0.35,0.4,0.38> }} finish {{ ambient 0 emission 1 "
      "diffuse 0 }} }}\n",
      -(stage.centre.z() + 3 * r));
  if (has_bar) {
    // Throws a hard shadow edge across the body.
    const Eigen::Vector3d bar = 0.7 * centre + 0.3 * lights[0].at;
    scene += "box { " + PrintVector(bar - Eigen::Vector3d(3 * r, 0.12 * r, 0.02 * r)) + ", " +
             PrintVector(bar + Eigen::Vector3d(3 * r, 0.12 * r, 0.02 * r)) +
             " pigment { rgb 0 } no_image }\n";
  }
  RunRayTracer(scene, stage.photo, png);
}

// The printed parts white, everything else black: how much of each pixel they fill.
inline void RayTraceMask(const ShapeStage& stage, const std::string& png) {
  std::string scene = StageText(stage.photo, stage.focal_px, {}, {1, 0, 0}, {0, 1, 0});
  for (const PrintedPart& part : stage.printed) {
    scene += MeshText(part.triangles, "rgb 1", "finish { ambient 0 emission 1 diffuse 0 }");
  }
  for (const Triangles& triangles : stage.plain) {
    scene += MeshText(triangles, "rgb 0", "finish { ambient 0 diffuse 0 }");
  }
  RunRayTracer(scene, stage.photo, png);
}

}  // namespace wheatpaste::test

// made_rims.h - cylinders and cones before made cameras, for tests: pictured point by point, with none of the
// program's own formulas.
#pragma once

#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <random>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "geometry/lens.h"
#include "scene/scene.h"

namespace wheatpaste::test {

struct MadeRims {
  double diameter_top = 80, diameter_bottom = 80, height = 96;
  Eigen::Matrix3d rotation =
      Eigen::Matrix3d::Identity();    // camera from object; object y down the axis
  Eigen::Vector3d origin{0, 0, 400};  // centre of the top rim, camera mm
  double focal_px = 1200;
  PhotoPx principal{800, 600};

  Eigen::Vector3d InCamera(double azimuth, double share_down) const {
    const double a = (diameter_top + (diameter_bottom - diameter_top) * share_down) / 2;
    return rotation *
               Eigen::Vector3d(a * std::sin(azimuth), height * share_down, -a * std::cos(azimuth)) +
           origin;
  }
  PhotoPx At(double azimuth, double share_down) const {
    const Eigen::Vector3d p = InCamera(azimuth, share_down);
    return {focal_px * p.x() / p.z() + principal.x, focal_px * p.y() / p.z() + principal.y};
  }
  // Does the side at this azimuth of a rim look at the camera?
  bool Faces(double azimuth, double share_down) const {
    const Eigen::Vector3d outward =
        rotation * Eigen::Vector3d(std::sin(azimuth), 0, -std::cos(azimuth));
    return outward.dot(InCamera(azimuth, share_down)) < 0;
  }
  bool BeforeCamera() const {
    for (int i = 0; i < 360; ++i) {
      for (const double share : {0.0, 1.0}) {
        if (InCamera(i * std::numbers::pi / 180, share).z() < 5) return false;
      }
    }
    return true;
  }
  template <typename Value>
  double LeastAzimuth(double share_down, Value value) const {
    constexpr int kSteps = 720;
    const double step = 2 * std::numbers::pi / kSteps;
    double best = 0;
    for (int i = 1; i < kSteps; ++i) {
      if (value(At(i * step, share_down)) < value(At(best, share_down))) best = i * step;
    }
    double low = best - step, high = best + step;
    const double share = (std::sqrt(5.0) - 1) / 2;
    for (int i = 0; i < 60; ++i) {
      const double a = high - share * (high - low), b = low + share * (high - low);
      const bool left = value(At(a, share_down)) < value(At(b, share_down));
      (left ? high : low) = left ? b : a;
    }
    return (low + high) / 2;
  }
  // Left, extreme of the near arc, right. Nothing where not just one extreme in y faces the camera.
  std::optional<std::vector<PhotoPx>> Marks(double share_down) const {
    const double left = LeastAzimuth(share_down, [](PhotoPx p) { return p.x; });
    const double right = LeastAzimuth(share_down, [](PhotoPx p) { return -p.x; });
    const double lowest = LeastAzimuth(share_down, [](PhotoPx p) { return -p.y; });
    const double highest = LeastAzimuth(share_down, [](PhotoPx p) { return p.y; });
    if (Faces(lowest, share_down) == Faces(highest, share_down)) return std::nullopt;
    const double near = Faces(lowest, share_down) ? lowest : highest;
    return std::vector<PhotoPx>{At(left, share_down), At(near, share_down), At(right, share_down)};
  }
  std::optional<Surface> Marked() const {
    const auto top = Marks(0), bottom = Marks(1);
    if (!top || !bottom) return std::nullopt;
    Surface surface;
    surface.name.value = "cup";
    surface.shape = diameter_top == diameter_bottom ? Shape::kCylinder : Shape::kCone;
    surface.rims.diameter_top = diameter_top;
    surface.rims.diameter_bottom = diameter_bottom;
    surface.rims.height = height;
    surface.rims.height_place = {"cup.toml", 9, 1};
    surface.rims.diameter_place = {"cup.toml", 8, 1};
    surface.rims.diameter_key =
        surface.shape == Shape::kCylinder ? "surface.diameter" : "surface.diameter_top";
    surface.rims.top = {*top, {"cup.toml", 10, 1}, "surface.rim_top"};
    surface.rims.bottom = {*bottom, {"cup.toml", 11, 1}, "surface.rim_bottom"};
    return surface;
  }

  // Turns it so that azimuth 0 faces the camera.
  void FaceCamera() {
    const Eigen::Vector3d camera = rotation.transpose() * -origin;
    rotation =
        rotation * Eigen::AngleAxisd(std::atan2(-camera.x(), -camera.z()), Eigen::Vector3d::UnitY())
                       .toRotationMatrix();
  }

  // Seen from above by `tilt` (radians; negative from below), the picture rolled, off the middle of the photo.
  static MadeRims Seen(double tilt, double roll, double focal, double pictured_px, double x_px,
                       double y_px) {
    MadeRims made;
    made.focal_px = focal;
    made.rotation = (Eigen::AngleAxisd(roll, Eigen::Vector3d::UnitZ()) *
                     Eigen::AngleAxisd(tilt, Eigen::Vector3d::UnitX()))
                        .toRotationMatrix();
    const double away = focal * made.diameter_top / pictured_px;
    made.origin = Eigen::Vector3d(x_px / focal, y_px / focal, 1) * away;
    made.FaceCamera();
    return made;
  }
};

}  // namespace wheatpaste::test

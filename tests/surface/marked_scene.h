// marked_scene.h - a camera written on its own, and things marked before it, for the tests of the camera's fit.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <Eigen/Core>
#include <catch2/catch.hpp>

#include "scene/scene.h"
#include "surface/solve_camera.h"

namespace wheatpaste::test {

// Rotation by Rodrigues' formula, photo px by the pinhole equation: nothing of the program's own.
struct TrueCamera {
  double focal_px = 1000;
  PhotoPx principal{640, 480};
};

struct TruePose {
  Eigen::Matrix3d rotation = Eigen::Matrix3d::Identity();
  Eigen::Vector3d translation{0, 0, 1000};

  Eigen::Vector3d ToCamera(const Eigen::Vector3d& object) const {
    return rotation * object + translation;
  }
};

inline Eigen::Matrix3d TurnBy(const Eigen::Vector3d& turn) {
  const double angle = turn.norm();
  if (angle == 0) return Eigen::Matrix3d::Identity();
  const Eigen::Vector3d k = turn / angle;
  Eigen::Matrix3d cross;
  cross << 0, -k.z(), k.y(), k.z(), 0, -k.x(), -k.y(), k.x(), 0;
  return Eigen::Matrix3d::Identity() + std::sin(angle) * cross +
         (1 - std::cos(angle)) * cross * cross;
}

inline PhotoPx Picture(const TrueCamera& camera, const TruePose& pose,
                       const Eigen::Vector3d& object) {
  const Eigen::Vector3d p = pose.ToCamera(object);
  return {camera.principal.x + camera.focal_px * p.x() / p.z(),
          camera.principal.y + camera.focal_px * p.y() / p.z()};
}

// A rectangle's corners, clockwise from its own top left.
inline std::vector<PhotoPx> PictureOfRectangle(const TrueCamera& camera, const TruePose& pose,
                                               double width, double height) {
  return {Picture(camera, pose, {0, 0, 0}), Picture(camera, pose, {width, 0, 0}),
          Picture(camera, pose, {width, height, 0}), Picture(camera, pose, {0, height, 0})};
}

inline Surface PlaneOf(std::vector<PhotoPx> corners, std::optional<SurfaceMm> size = {}) {
  Surface surface;
  surface.name.value = "poster";
  surface.shape = Shape::kPlane;
  surface.corners = std::move(corners);
  surface.size = size;
  surface.corners_place = {"wall.toml", 9, 11};
  surface.marks_place = {"wall.toml", 12, 9};
  return surface;
}

// A box's corner: bits 1 right, 2 bottom, 4 back of the front top left.
inline Eigen::Vector3d CornerOfBox(const std::array<double, 3>& size, int index) {
  return {(index & 1) != 0 ? size[0] : 0, (index & 2) != 0 ? size[1] : 0,
          (index & 4) != 0 ? size[2] : 0};
}

inline Surface BoxOf(const TrueCamera& camera, const TruePose& pose,
                     const std::array<double, 3>& size, const std::vector<int>& corners) {
  Surface surface;
  surface.name.value = "carton";
  surface.shape = Shape::kBox;
  surface.size_place = {"carton.toml", 8, 8};
  surface.box.vertices_place = {"carton.toml", 9, 1};
  for (size_t k = 0; k < 3; ++k) surface.box.size[k] = size[k];
  for (const int index : corners) {
    surface.box.vertices.push_back({index,
                                    Picture(camera, pose, CornerOfBox(size, index)),
                                    {"carton.toml", static_cast<uint32_t>(10 + index), 20}});
  }
  return surface;
}

// Marks off by half a pixel of normal noise on each coordinate.
class Noise {
 public:
  explicit Noise(uint32_t seed) : random_(seed) {}
  void Shake(PhotoPx& photo) {
    photo.x += offset_(random_);
    photo.y += offset_(random_);
  }
  void Shake(Surface& surface) {
    for (PhotoPx& corner : surface.corners) Shake(corner);
    for (BoxVertex& vertex : surface.box.vertices) Shake(vertex.photo);
  }

 private:
  std::mt19937 random_;
  std::normal_distribution<double> offset_{0, 0.5};
};

// The box's corners that the camera sees: those of faces turned towards it.
inline std::vector<int> SeenCorners(const TruePose& pose, const std::array<double, 3>& size) {
  const Eigen::Vector3d camera = pose.rotation.transpose() * -pose.translation;
  std::vector<int> seen;
  for (int index = 0; index < 8; ++index) {
    bool on_seen_face = false;
    for (int axis = 0; axis < 3; ++axis) {
      const bool far = (index & (1 << axis)) != 0;
      const double at = camera(axis);
      on_seen_face = on_seen_face || (far ? at > size[static_cast<size_t>(axis)] : at < 0);
    }
    if (on_seen_face) seen.push_back(index);
  }
  return seen;
}

inline constexpr SizePx kPhoto{1280, 960};

inline Photo WithFocal(double focal_px) {
  Photo photo;
  photo.focal_px = focal_px;
  return photo;
}

// The surface alone, solved in a photo of kPhoto px without EXIF.
inline FittedSurface MustSolve(const Photo& photo, const Surface& surface) {
  auto solved = SolveCamera(photo, kPhoto, 0, {surface});
  if (!solved) FAIL(FormatErrors(solved.errors()));
  return std::move(solved->surfaces[0]);
}

}  // namespace wheatpaste::test

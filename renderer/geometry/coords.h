// coords.h - points typed by the place they live in, and projective maps between such places.
//
// Rule    a map is named target_from_source and typed Map<Target, Source>; maps join only where the
//         inner names match. Pixel places have their origin at the OUTER corner of the top-left
//         pixel, x right, y down, so pixel centres lie at .5.
#pragma once

#include <Eigen/Core>
#include <Eigen/LU>

namespace wheatpaste {

template <typename Space>
struct Point {
  double x = 0;
  double y = 0;
  Eigen::Vector2d vector() const { return {x, y}; }
  bool operator==(const Point&) const = default;
};

struct PhotoSpace {};
struct SurfaceSpace {};
struct ArtworkUvSpace {};
struct ArtworkSpace {};
struct OutputSpace {};

using PhotoPx = Point<PhotoSpace>;        // base photo, upright, at its own size
using SurfaceMm = Point<SurfaceSpace>;    // printed face laid flat, origin top left, y down
using ArtworkUv = Point<ArtworkUvSpace>;  // the whole artwork is [0, 1] x [0, 1], origin top left
using ArtworkPx = Point<ArtworkSpace>;    // raster of the artwork
using OutputPx = Point<OutputSpace>;      // the picture that is written

// A projective map of the plane, x_target ~ H x_source, H up to scale.
template <typename Target, typename Source>
class Map {
 public:
  Map() : h_(Eigen::Matrix3d::Identity()) {}
  explicit Map(const Eigen::Matrix3d& h) : h_(h) {}

  const Eigen::Matrix3d& matrix() const { return h_; }

  Target operator()(const Source& source) const {
    const Eigen::Vector3d p = h_ * Eigen::Vector3d(source.x, source.y, 1);
    return {p.x() / p.z(), p.y() / p.z()};
  }

  // d target / d source at `source`: [[dx/du, dx/dv], [dy/du, dy/dv]].
  Eigen::Matrix2d Jacobian(const Source& source) const {
    const Eigen::Vector3d p = h_ * Eigen::Vector3d(source.x, source.y, 1);
    const Eigen::Vector2d t = p.head<2>() / p.z();
    return (h_.topLeftCorner<2, 2>() - t * h_.row(2).head<2>()) / p.z();
  }

  // Third homogeneous coordinate at `source`; its sign tells the side of the target's horizon.
  double Depth(const Source& source) const {
    return h_.row(2) * Eigen::Vector3d(source.x, source.y, 1);
  }

  Map<Source, Target> Inverse() const {
    const Eigen::Matrix3d inverse = h_.inverse();
    return Map<Source, Target>(inverse / inverse.cwiseAbs().maxCoeff());
  }

 private:
  Eigen::Matrix3d h_;
};

template <typename A, typename B, typename C>
Map<A, C> operator*(const Map<A, B>& a_from_b, const Map<B, C>& b_from_c) {
  return Map<A, C>(a_from_b.matrix() * b_from_c.matrix());
}

}  // namespace wheatpaste

// box.h - a box: its corners and faces in its own mm, what its picture tells of the camera, and its faces
// unfolded beside each other.
//
// Frame   object mm: origin at the front top left corner, x right, y down, z away (width, height, depth). A
//         corner's index has bit 1 for right, 2 for bottom, 4 for back. Faces in the order front, right, back,
//         left, top, bottom; each laid flat as seen from outside: side faces upright, the top unfolded upwards
//         from the front, the bottom downwards.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <variant>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "geometry/coords.h"

namespace wheatpaste {

inline constexpr int kBoxCorners = 8, kBoxFaces = 6;
using BoxSize = std::array<double, 3>;  // width, height, depth, mm

// Shares of width, height and depth at a corner: 0 or 1 each.
Eigen::Vector3d BoxCornerShares(int corner);
Eigen::Vector3d BoxCornerOf(const BoxSize& size, int corner);  // object mm

// A face's own mm in the object: point = origin + x across + y down. Seen from outside, across x down points
// into the box.
struct BoxFace {
  Eigen::Vector3d origin, across, down;  // object mm; directions of length 1
  SurfaceMm size;
  std::array<int, 4> corners;  // clockwise from the face's own top left
  int across_axis, down_axis;  // 0 width, 1 height, 2 depth
};
BoxFace BoxFaceOf(const BoxSize& size, int face);

// A corner as pictured.
struct PicturedCorner {
  int corner = 0;
  PhotoPx photo;
};

// Where the edges along width, height and depth meet, homogeneous photo px of length 1: the point nearest to
// all pictured edges of that direction. Nothing for a direction of which fewer than two are pictured.
std::array<std::optional<Eigen::Vector3d>, 3> BoxVanishingPoints(
    std::span<const PicturedCorner> corners);

// Source  Caprile, Torre 1990, IJCV 4, 127-139: the principal point is where the heights of the triangle of
//         three vanishing points at right angles meet; f^2 = -(v1 - p) . (v2 - p).
// Nothing where a point lies at infinity, or the triangle is flat; where f^2 is not positive.
std::optional<PhotoPx> OrthocentreOf(const std::array<Eigen::Vector3d, 3>& vanishing);
std::optional<double> FocalFromVanishing(const Eigen::Vector3d& first,
                                         const Eigen::Vector3d& second, PhotoPx principal);

// Faces unfolded into one flat strip.
//
// Model   the first face lies upright at the origin. Every further one is laid beside an earlier one along the
//         edge they share: beside the latest on which it keeps upright (side faces in a row; top and bottom on
//         the front), else beside the latest it joins. Faces so joined never lie on each other (derived here,
//         checked for every order of faces: tests/geometry/box_test.cc).
struct Strip {
  std::vector<Eigen::Isometry2d> strip_from_face;  // of each face in turn: mm to mm, quarter turns
  SurfaceMm low, high;                             // bounds of all
};
struct StripFault {
  enum Kind { kRepeated, kApart } kind = kApart;
  size_t index = 0;  // into `faces`: it is there already, or joins none before it
  size_t other = 0;  // which one it repeats
};
// faces  at least one, each 0 to 5.
std::variant<Strip, StripFault> LayOut(const BoxSize& size, std::span<const int> faces);

}  // namespace wheatpaste

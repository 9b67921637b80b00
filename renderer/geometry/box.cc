#include "geometry/box.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "base/check.h"

namespace wheatpaste {
namespace {

// Of each face: its corners clockwise from its own top left.
constexpr int kFaceCorners[kBoxFaces][4] = {
    {0, 1, 3, 2},  // front
    {1, 5, 7, 3},  // right
    {5, 4, 6, 7},  // back
    {4, 0, 2, 6},  // left
    {4, 5, 1, 0},  // top: its lower edge is the front's upper
    {2, 3, 7, 6},  // bottom: its upper edge is the front's lower
};

int AxisOf(int corner_a, int corner_b) {
  const int changed = corner_a ^ corner_b;
  return changed == 1 ? 0 : changed == 2 ? 1 : 2;
}

// Own mm of a face's corner.
Eigen::Vector2d OnFace(const BoxFace& face, int corner) {
  for (size_t i = 0; i < 4; ++i) {
    if (face.corners[i] != corner) continue;
    return {i == 1 || i == 2 ? face.size.x : 0, i >= 2 ? face.size.y : 0};
  }
  CheckFailed(__FILE__, __LINE__, "a corner of the face", fmt::format("{}", corner));
}

// The corners two faces share: none or two.
std::vector<int> SharedCorners(const BoxFace& a, const BoxFace& b) {
  std::vector<int> shared;
  for (const int corner : a.corners) {
    if (std::find(b.corners.begin(), b.corners.end(), corner) != b.corners.end()) {
      shared.push_back(corner);
    }
  }
  return shared;
}

// The rigid map that lays `next` beside `base` along their edge.
Eigen::Isometry2d BaseFromNext(const BoxFace& base, const BoxFace& next,
                               const std::vector<int>& edge) {
  const Eigen::Vector2d base_edge = OnFace(base, edge[1]) - OnFace(base, edge[0]);
  const Eigen::Vector2d next_edge = OnFace(next, edge[1]) - OnFace(next, edge[0]);
  const double length2 = base_edge.squaredNorm();
  // Both edges run along an axis: cosine and sine are -1, 0 or 1.
  const double cosine = std::round(base_edge.dot(next_edge) / length2);
  const double sine =
      std::round((next_edge.x() * base_edge.y() - next_edge.y() * base_edge.x()) / length2);
  Eigen::Isometry2d map = Eigen::Isometry2d::Identity();
  map.linear() << cosine, -sine, sine, cosine;
  map.translation() = OnFace(base, edge[0]) - map.linear() * OnFace(next, edge[0]);
  return map;
}

}  // namespace

Eigen::Vector3d BoxCornerShares(int corner) {
  return {corner & 1 ? 1.0 : 0.0, corner & 2 ? 1.0 : 0.0, corner & 4 ? 1.0 : 0.0};
}

Eigen::Vector3d BoxCornerOf(const BoxSize& size, int corner) {
  return BoxCornerShares(corner).cwiseProduct(Eigen::Vector3d(size[0], size[1], size[2]));
}

BoxFace BoxFaceOf(const BoxSize& size, int face) {
  WHEATPASTE_CHECK(face >= 0 && face < kBoxFaces);
  const auto& c = kFaceCorners[face];
  BoxFace result;
  result.corners = {c[0], c[1], c[2], c[3]};
  result.across_axis = AxisOf(c[0], c[1]);
  result.down_axis = AxisOf(c[0], c[3]);
  result.origin = BoxCornerOf(size, c[0]);
  result.across = BoxCornerShares(c[1]) - BoxCornerShares(c[0]);
  result.down = BoxCornerShares(c[3]) - BoxCornerShares(c[0]);
  result.size = {size[static_cast<size_t>(result.across_axis)],
                 size[static_cast<size_t>(result.down_axis)]};
  return result;
}

std::array<std::optional<Eigen::Vector3d>, 3> BoxVanishingPoints(
    std::span<const PicturedCorner> corners) {
  // Lines in a frame about the marks' own centre and spread, where their three numbers are of one order.
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();
  for (const PicturedCorner& c : corners) centre += c.photo.vector();
  centre /= static_cast<double>(corners.size());
  double spread = 0;
  for (const PicturedCorner& c : corners) {
    spread = std::max(spread, (c.photo.vector() - centre).norm());
  }
  std::array<std::optional<Eigen::Vector3d>, 3> points;
  if (!(spread > 0)) return points;
  Eigen::Matrix3d photo_from_own;
  photo_from_own << spread, 0, centre.x(), 0, spread, centre.y(), 0, 0, 1;
  const auto own = [&](const PicturedCorner& c) {
    const Eigen::Vector2d p = (c.photo.vector() - centre) / spread;
    return Eigen::Vector3d(p.x(), p.y(), 1);
  };
  std::array<Eigen::Matrix3d, 3> normal;
  std::array<int, 3> edges{};
  normal.fill(Eigen::Matrix3d::Zero());
  for (const PicturedCorner& a : corners) {
    for (const PicturedCorner& b : corners) {
      const int changed = a.corner ^ b.corner;
      if (a.corner >= b.corner || (changed != 1 && changed != 2 && changed != 4)) continue;
      Eigen::Vector3d line = own(a).cross(own(b));
      if (!(line.head<2>().norm() > 0)) continue;
      const auto axis = static_cast<size_t>(AxisOf(a.corner, b.corner));
      line.normalize();
      normal[axis] += line * line.transpose();
      ++edges[axis];
    }
  }
  for (size_t axis = 0; axis < 3; ++axis) {
    if (edges[axis] < 2) continue;
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> eigen(normal[axis]);
    points[axis] = (photo_from_own * eigen.eigenvectors().col(0)).normalized();
  }
  return points;
}

std::optional<PhotoPx> OrthocentreOf(const std::array<Eigen::Vector3d, 3>& vanishing) {
  std::array<Eigen::Vector2d, 3> v;
  for (size_t i = 0; i < 3; ++i) {
    v[i] = vanishing[i].head<2>() / vanishing[i].z();
    if (!v[i].allFinite()) return std::nullopt;
  }
  // (p - v0) . (v1 - v2) = 0 and (p - v1) . (v2 - v0) = 0.
  Eigen::Matrix2d sides;
  sides.row(0) = (v[1] - v[2]).transpose();
  sides.row(1) = (v[2] - v[0]).transpose();
  constexpr double kLeastArea = 1e-9;
  if (!(std::abs(sides.determinant()) > kLeastArea * sides.row(0).norm() * sides.row(1).norm())) {
    return std::nullopt;
  }
  const Eigen::Vector2d p =
      sides.inverse() * Eigen::Vector2d(v[0].dot(v[1] - v[2]), v[1].dot(v[2] - v[0]));
  return PhotoPx{p.x(), p.y()};
}

std::optional<double> FocalFromVanishing(const Eigen::Vector3d& first,
                                         const Eigen::Vector3d& second, PhotoPx principal) {
  const double f2 = -(first.head<2>() / first.z() - principal.vector())
                         .dot(second.head<2>() / second.z() - principal.vector());
  if (!(f2 > 0) || !std::isfinite(f2)) return std::nullopt;
  return std::sqrt(f2);
}

std::variant<Strip, StripFault> LayOut(const BoxSize& size, std::span<const int> faces) {
  WHEATPASTE_CHECK(!faces.empty());
  Strip strip;
  std::vector<BoxFace> all;
  Eigen::AlignedBox2d whole;
  for (size_t i = 0; i < faces.size(); ++i) {
    all.push_back(BoxFaceOf(size, faces[i]));
    std::optional<Eigen::Isometry2d> map;
    if (i == 0) map = Eigen::Isometry2d::Identity();
    bool upright = false;
    for (size_t j = 0; j < i; ++j) {
      if (faces[j] == faces[i]) return StripFault{StripFault::kRepeated, i, j};
      const std::vector<int> edge = SharedCorners(all[j], all[i]);
      if (edge.size() != 2) continue;
      const Eigen::Isometry2d joined = BaseFromNext(all[j], all[i], edge);
      const bool joins_upright = joined.linear()(0, 0) > 0.5;
      if (upright && !joins_upright) continue;
      upright = joins_upright;
      map = strip.strip_from_face[j] * joined;
    }
    if (!map) return StripFault{StripFault::kApart, i, 0};
    whole.extend(*map * Eigen::Vector2d(0, 0));
    whole.extend(*map * Eigen::Vector2d(all[i].size.x, all[i].size.y));
    strip.strip_from_face.push_back(*map);
  }
  strip.low = {whole.min().x(), whole.min().y()};
  strip.high = {whole.max().x(), whole.max().y()};
  return strip;
}

}  // namespace wheatpaste

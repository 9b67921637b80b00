#include "geometry/quad.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace wheatpaste {
namespace {

Eigen::Vector3d Homogeneous(const PhotoPx& p) { return {p.x, p.y, 1}; }

double Cross(const PhotoPx& a, const PhotoPx& b, const PhotoPx& c) {
  return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
}

std::optional<double> Focal(const Quad& corners, PhotoPx principal) {
  const auto [k2, k3, n2, n3] = QuadVectorsOf(corners);
  const double third = n2.z() * n3.z();
  // Third parts are the strength of the perspective: a side 1000 px long whose far end is 0.01 px too
  // long has about 1e-5.
  if (!(std::abs(n2.z()) > 1e-6) || !(std::abs(n3.z()) > 1e-6)) return std::nullopt;
  const double u = principal.x, v = principal.y;
  const double f2 = -(n2.x() * n3.x() - (n2.x() * n3.z() + n2.z() * n3.x()) * u + third * u * u +
                      n2.y() * n3.y() - (n2.y() * n3.z() + n2.z() * n3.y()) * v + third * v * v) /
                    third;
  if (!(f2 > 0) || !std::isfinite(f2)) return std::nullopt;
  return std::sqrt(f2);
}

std::optional<double> Aspect(const Quad& corners, PhotoPx principal, double focal) {
  const auto [k2, k3, n2, n3] = QuadVectorsOf(corners);
  const auto length2 = [&](const Eigen::Vector3d& n) {
    const double x = (n.x() - principal.x * n.z()) / focal;
    const double y = (n.y() - principal.y * n.z()) / focal;
    return x * x + y * y + n.z() * n.z();
  };
  const double ratio = std::sqrt(length2(n2) / length2(n3));
  if (!std::isfinite(ratio) || ratio <= 0) return std::nullopt;
  return ratio;
}

// First-order propagation through central differences.
template <typename Function>
std::optional<Estimate> Propagate(const Quad& corners, const Function& function) {
  const std::optional<double> value = function(corners);
  if (!value) return std::nullopt;
  double variance = 0;
  constexpr double kStep = 0.05;
  for (size_t i = 0; i < 8; ++i) {
    Quad plus = corners, minus = corners;
    (i % 2 == 0 ? plus[i / 2].x : plus[i / 2].y) += kStep;
    (i % 2 == 0 ? minus[i / 2].x : minus[i / 2].y) -= kStep;
    const std::optional<double> high = function(plus), low = function(minus);
    // A step of a twentieth of a pixel that leaves the domain: as good as undetermined.
    if (!high || !low) return Estimate{*value, *value};
    const double slope = (*high - *low) / (2 * kStep);
    variance += slope * slope * kMarkingErrorPx * kMarkingErrorPx;
  }
  return Estimate{*value, std::sqrt(variance)};
}

}  // namespace

QuadFault FindQuadFault(const Quad& c) {
  for (size_t i = 0; i < 4; ++i) {
    for (size_t j = i + 1; j < 4; ++j) {
      if (std::hypot(c[i].x - c[j].x, c[i].y - c[j].y) < kLeastSidePx) {
        return QuadFault::kCoincident;
      }
    }
  }
  int right = 0, left = 0;
  for (size_t i = 0; i < 4; ++i) {
    const PhotoPx &a = c[i], &b = c[(i + 1) % 4], &d = c[(i + 2) % 4];
    const double cross = Cross(a, b, d);
    // Height of the corner over the line through its neighbours.
    const double height = std::abs(cross) / std::hypot(d.x - a.x, d.y - a.y);
    if (height < kLeastSidePx / 2) return QuadFault::kFlat;
    (cross > 0 ? right : left) += 1;
  }
  if (right == 4) return QuadFault::kNone;
  if (left == 4) return QuadFault::kMirrored;
  return right == 2 ? QuadFault::kCrossed : QuadFault::kDented;
}

QuadVectors QuadVectorsOf(const Quad& corners) {
  const Eigen::Vector3d m1 = Homogeneous(corners[0]), m2 = Homogeneous(corners[1]);
  const Eigen::Vector3d m4 = Homogeneous(corners[2]), m3 = Homogeneous(corners[3]);
  QuadVectors v;
  v.k2 = m1.cross(m4).dot(m3) / m2.cross(m4).dot(m3);
  v.k3 = m1.cross(m4).dot(m2) / m3.cross(m4).dot(m2);
  v.n2 = v.k2 * m2 - m1;
  v.n3 = v.k3 * m3 - m1;
  return v;
}

VanishingPoints VanishingPointsOf(const Quad& corners) {
  const Eigen::Vector3d tl = Homogeneous(corners[0]), tr = Homogeneous(corners[1]);
  const Eigen::Vector3d br = Homogeneous(corners[2]), bl = Homogeneous(corners[3]);
  return {tl.cross(tr).cross(bl.cross(br)), tl.cross(bl).cross(tr.cross(br))};
}

std::optional<Estimate> FocalFromQuad(const Quad& corners, PhotoPx principal) {
  return Propagate(corners, [&](const Quad& c) { return Focal(c, principal); });
}

std::optional<Estimate> AspectFromQuad(const Quad& corners, PhotoPx principal, double focal_px) {
  return Propagate(corners, [&](const Quad& c) { return Aspect(c, principal, focal_px); });
}

}  // namespace wheatpaste

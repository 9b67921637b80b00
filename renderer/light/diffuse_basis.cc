#include "light/diffuse_basis.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "light/gloss.h"

namespace wheatpaste {
namespace {

// A light's strength changes along the surface by at most (1 + kNear) / (1 - kNear).
constexpr double kNear = 0.25;

std::array<double, kFlatDegree + 1> Bernstein(double t) {
  static_assert(kFlatDegree == 3);
  const double s = 1 - t;
  return {s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t};
}

}  // namespace

DiffuseBasis::DiffuseBasis(SizePx size, const Image<NormalPlanes>* normals,
                           const std::vector<RegionPx>& samples)
    : size_(size), normals_(normals) {
  if (normals_ == nullptr) return;
  const double golden = std::numbers::pi * (3 - std::sqrt(5.0));
  for (int k = 0; k < kLightDirections; ++k) {
    const double z = 1 - 2 * (k + 0.5) / kLightDirections, r = std::sqrt(1 - z * z);
    const Eigen::Vector3d w(r * std::cos(golden * k), r * std::sin(golden * k), z);
    const bool seen = std::any_of(samples.begin(), samples.end(),
                                  [&](const RegionPx& px) { return NormalAt(px).dot(w) > 0; });
    if (seen) directions_.push_back(w);
  }
  FindAxis(samples);
}

Eigen::Index DiffuseBasis::count() const {
  if (normals_ == nullptr) return (kFlatDegree + 1) * (kFlatDegree + 1);
  return 2 * static_cast<Eigen::Index>(directions_.size());
}

void DiffuseBasis::At(const RegionPx& px, Eigen::Ref<Eigen::VectorXd> values) const {
  if (normals_ == nullptr) {
    const auto in_u =
        Bernstein((static_cast<double>(px.x) + 0.5) / static_cast<double>(size_.width));
    const auto in_v =
        Bernstein((static_cast<double>(px.y) + 0.5) / static_cast<double>(size_.height));
    Eigen::Index at = 0;
    for (const double a : in_u) {
      for (const double b : in_v) values(at++) = a * b;
    }
    return;
  }
  const Eigen::Vector3d n = NormalAt(px);
  const double tilt = kNear * (1 - 2 * Along(px));
  for (size_t k = 0; k < directions_.size(); ++k) {
    const double seen = std::max(0.0, n.dot(directions_[k]));
    values(static_cast<Eigen::Index>(2 * k)) = seen * (1 + tilt);
    values(static_cast<Eigen::Index>(2 * k + 1)) = seen * (1 - tilt);
  }
}

Eigen::Vector3d DiffuseBasis::NormalAt(const RegionPx& px) const {
  return {double{normals_->row(0, px.y)[px.x]}, double{normals_->row(1, px.y)[px.x]},
          double{normals_->row(2, px.y)[px.x]}};
}

double DiffuseBasis::Along(const RegionPx& px) const {
  const double at = axis_.x() * static_cast<double>(px.x) + axis_.y() * static_cast<double>(px.y);
  return std::clamp((at - from_) / std::max(1.0, to_ - from_), 0.0, 1.0);
}

// Across it the normals change most: the picture's direction with the larger sum of squared changes.
void DiffuseBasis::FindAxis(const std::vector<RegionPx>& samples) {
  double xx = 0, xy = 0, yy = 0;
  for (const RegionPx& px : samples) {
    const int64_t x = std::min(px.x, size_.width - 2), y = std::min(px.y, size_.height - 2);
    const Eigen::Vector3d n = NormalAt({x, y});
    const Eigen::Vector3d dx = NormalAt({x + 1, y}) - n, dy = NormalAt({x, y + 1}) - n;
    xx += dx.dot(dx);
    xy += dx.dot(dy);
    yy += dy.dot(dy);
  }
  const double across = 0.5 * std::atan2(2 * xy, xx - yy);
  axis_ = {-std::sin(across), std::cos(across)};
  from_ = 1e300;
  to_ = -1e300;
  for (const RegionPx& px : samples) {
    const double at = axis_.x() * static_cast<double>(px.x) + axis_.y() * static_cast<double>(px.y);
    from_ = std::min(from_, at);
    to_ = std::max(to_, at);
  }
}

}  // namespace wheatpaste

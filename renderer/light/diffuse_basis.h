// diffuse_basis.h - the functions of which the light that a surface of one colour sends back is a sum.
//
// Model   gloss.h: clamped cosines where normals are known, a polynomial over the picture where not.
// Source  directions by Fibonacci's spiral: points at steps of the golden angle, evenly spaced in height (from memory).
#pragma once

#include <vector>

#include <Eigen/Core>

#include "image/image.h"
#include "surface/chart.h"

namespace wheatpaste {

struct RegionPx {
  int64_t x = 0, y = 0;
};

class DiffuseBasis {
 public:
  // samples  pixels of the surface: what their normals do not see stays out.
  // normals  of the region's pixels; null: a polynomial. Outlives the basis.
  DiffuseBasis(SizePx size, const Image<NormalPlanes>* normals,
               const std::vector<RegionPx>& samples);

  Eigen::Index count() const;
  // Unit, in the picture: along it the normals change least.
  const Eigen::Vector2d& axis() const { return axis_; }
  // values  count() of them, none negative.
  void At(const RegionPx& px, Eigen::Ref<Eigen::VectorXd> values) const;

 private:
  Eigen::Vector3d NormalAt(const RegionPx& px) const;
  double Along(const RegionPx& px) const;
  void FindAxis(const std::vector<RegionPx>& samples);

  SizePx size_;
  const Image<NormalPlanes>* normals_;
  std::vector<Eigen::Vector3d> directions_;
  Eigen::Vector2d axis_{0, 1};
  double from_ = 0, to_ = 1;
};

}  // namespace wheatpaste

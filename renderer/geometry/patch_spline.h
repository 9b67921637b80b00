// patch_spline.h - a bent sheet as pictured: photo from flat mm, through a grid of marked points.
//
// Model   photo = H(mm) + r(mm). H is the projective map fitted to all points (homography.h; affine where none
//         fits), so that a flat sheet is exact; r is the tensor product of cubic splines through what H misses:
//         twice continuously differentiable, not-a-knot at its ends (four points and more), one parabola through
//         three, a straight line through two. Beyond the grid r goes on straight, with the slope of the edge.
// Error   of the spline along one axis: at most c h^4 max |fourth derivative|, h the step; c from its Peano kernel
//         (tests/geometry/patch_spline_test.cc).
// Source  de Boor 1978, A Practical Guide to Splines, chapter IV (not-a-knot) and XVII (tensor products).
// Threads immutable once made.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

class PatchSpline {
 public:
  // columns, rows  2 to 16 each; points  columns x rows, row by row from the top left.
  // size  mm, above 0: the grid spans (0, 0) to `size` in even steps.
  PatchSpline(int columns, int rows, std::span<const PhotoPx> points, SurfaceMm size);

  struct Local {
    PhotoPx photo;
    Eigen::Matrix2d jacobian;  // d photo / d mm
  };
  Local At(const SurfaceMm& mm) const;
  PhotoPx operator()(const SurfaceMm& mm) const { return At(mm).photo; }

  struct Inverse {
    SurfaceMm mm;
    bool converged = false;  // false: `mm` is the nearest point that was found
  };
  // By Newton's method, each step halved until it comes nearer, from `start`. The search stays within kReach
  // cells beyond the grid.
  // tolerance  ends where a step is shorter, in cells; the step itself is still taken, and what is left is of
  //            the order of its square.
  Inverse Invert(const PhotoPx& photo, const SurfaceMm& start, double tolerance = 1e-8) const;

  // The place with the least Jacobian determinant, searched in every cell: 16 x 16 steps, then closer and closer
  // about the least of these.
  struct Turning {
    int row = 0, column = 0;  // of the cell, from 0
    SurfaceMm mm;
    double determinant = 0;  // over that of the grid's mean: 1 on an even sheet, 0 at a fold
  };
  Turning LeastDeterminant() const;

  int columns() const { return columns_; }
  int rows() const { return rows_; }
  const SurfaceMm& size() const { return size_; }
  SurfaceMm MarkAt(int row, int column) const;
  // H of the model.
  Map<PhotoPx, SurfaceMm> flat() const;

  static constexpr double kReach = 1.0;

 private:
  // The residual on one cell: sum over i, j of c[4 i + j] t^i s^j, t down and s across, 0 to 1.
  using Cell = std::array<Eigen::Vector2d, 16>;

  // Photo point, and its change along one cell across and down.
  struct Step {
    Eigen::Vector2d photo, across, down;
  };
  Step InCells(double u, double v) const;

  int columns_, rows_;
  SurfaceMm size_;
  double u_per_mm_, v_per_mm_;
  Eigen::Matrix3d photo_from_cells_;
  std::vector<Cell> cells_;
};

}  // namespace wheatpaste

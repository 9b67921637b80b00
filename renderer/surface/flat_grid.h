// flat_grid.h - numbers at the nodes of a regular grid over a face's flat mm.
//
// Model   node (i, j) at origin + step (i, j); between nodes bilinear; beyond the grid its border goes on.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

#include "geometry/coords.h"

namespace wheatpaste {

// A place in the grid's own steps: the cell's first node, and where in the cell.
struct GridPlace {
  size_t node = 0;
  double x = 0, y = 0;
};

struct GridShape {
  SurfaceMm origin;
  double step = 1;            // mm
  int columns = 0, rows = 0;  // nodes, at least 2 each

  size_t count() const { return static_cast<size_t>(columns) * static_cast<size_t>(rows); }
  size_t at(int i, int j) const {
    return static_cast<size_t>(j) * static_cast<size_t>(columns) + static_cast<size_t>(i);
  }
  SurfaceMm MmAt(int i, int j) const { return {origin.x + step * i, origin.y + step * j}; }
  GridPlace Find(const SurfaceMm& mm) const {
    const double x = std::clamp((mm.x - origin.x) / step, 0.0, static_cast<double>(columns - 1));
    const double y = std::clamp((mm.y - origin.y) / step, 0.0, static_cast<double>(rows - 1));
    const int i = std::min(static_cast<int>(x), columns - 2);
    const int j = std::min(static_cast<int>(y), rows - 2);
    return {at(i, j), x - i, y - j};
  }
};

using GridValues = std::vector<double>;  // row by row, shape.count() of them

// The value and its change per mm.
struct GridSample {
  double value = 0, dx = 0, dy = 0;
};

inline double SampleValue(const GridShape& shape, const GridValues& values, const GridPlace& at) {
  const double* v = values.data() + at.node;
  const double* w = v + shape.columns;
  const double top = v[0] + at.x * (v[1] - v[0]), bottom = w[0] + at.x * (w[1] - w[0]);
  return top + at.y * (bottom - top);
}
inline double SampleValue(const GridShape& shape, const GridValues& values, const SurfaceMm& mm) {
  return SampleValue(shape, values, shape.Find(mm));
}

inline GridSample SampleChange(const GridShape& shape, const GridValues& values,
                               const GridPlace& at) {
  const double* v = values.data() + at.node;
  const double* w = v + shape.columns;
  const double top = v[1] - v[0], bottom = w[1] - w[0];
  const double a = v[0] + at.x * top, b = w[0] + at.x * bottom;
  return {a + at.y * (b - a), (top + at.y * (bottom - top)) / shape.step, (b - a) / shape.step};
}

// Means of scattered samples, each shared among the four nodes around it.
class GridMeans {
 public:
  // fields  numbers of one sample, at most kMostFields.
  static constexpr int kMostFields = 12;
  GridMeans(const GridShape& shape, int fields);

  void Add(const SurfaceMm& mm, const double* values);
  void Add(const GridMeans& other);
  const std::vector<double>& weights() const { return weights_; }
  // Nodes without samples are filled smoothly from those around them (FillGaps). Expects at least one sample.
  GridValues Mean(int field) const;

 private:
  GridShape shape_;
  int fields_;
  std::vector<double> weights_;
  std::vector<double> sums_;  // node by node
};

// Replaces the values of weight 0 by averages from further and further away: a pyramid of halvings, each filled from
// the next coarser (push and pull; Gortler et al. 1996, SIGGRAPH 96, 43-54). Others keep theirs.
void FillGaps(const GridShape& shape, const std::vector<double>& weights, GridValues& values);

}  // namespace wheatpaste

#include "surface/flat_grid.h"

#include "base/check.h"

namespace wheatpaste {
namespace {

struct Level {
  int columns = 0, rows = 0;
  std::vector<double> weights, values;
  size_t at(int i, int j) const {
    return static_cast<size_t>(j) * static_cast<size_t>(columns) + static_cast<size_t>(i);
  }
};

// Means of 2 x 2 nodes by weight; a node that holds anything counts at most once.
Level Halved(const Level& fine) {
  Level coarse{(fine.columns + 1) / 2, (fine.rows + 1) / 2, {}, {}};
  coarse.weights.resize(static_cast<size_t>(coarse.columns) * static_cast<size_t>(coarse.rows));
  coarse.values.resize(coarse.weights.size());
  for (int j = 0; j < coarse.rows; ++j) {
    for (int i = 0; i < coarse.columns; ++i) {
      double weight = 0, sum = 0;
      for (int y = 2 * j; y < std::min(2 * j + 2, fine.rows); ++y) {
        for (int x = 2 * i; x < std::min(2 * i + 2, fine.columns); ++x) {
          weight += fine.weights[fine.at(x, y)];
          sum += fine.weights[fine.at(x, y)] * fine.values[fine.at(x, y)];
        }
      }
      if (!(weight > 0)) continue;
      coarse.values[coarse.at(i, j)] = sum / weight;
      coarse.weights[coarse.at(i, j)] = std::min(weight, 1.0);
    }
  }
  return coarse;
}

}  // namespace

void FillGaps(const GridShape& shape, const std::vector<double>& weights, GridValues& values) {
  if (std::all_of(weights.begin(), weights.end(), [](double w) { return w > 0; })) return;
  WHEATPASTE_CHECK(std::any_of(weights.begin(), weights.end(), [](double w) { return w > 0; }));
  std::vector<Level> levels{{shape.columns, shape.rows, weights, values}};
  for (double& weight : levels[0].weights) weight = std::min(weight, 1.0);
  while (levels.back().columns > 1 || levels.back().rows > 1) {
    levels.push_back(Halved(levels.back()));
  }
  for (size_t k = levels.size() - 1; k-- > 0;) {
    Level& fine = levels[k];
    const Level& coarse = levels[k + 1];
    for (int j = 0; j < fine.rows; ++j) {
      for (int i = 0; i < fine.columns; ++i) {
        double& weight = fine.weights[fine.at(i, j)];
        if (weight > 0) continue;
        // Bilinear between the coarse nodes, which stand at 2 i + 1/2.
        const double x = std::clamp((i - 0.5) / 2, 0.0, static_cast<double>(coarse.columns - 1));
        const double y = std::clamp((j - 0.5) / 2, 0.0, static_cast<double>(coarse.rows - 1));
        const int x0 = static_cast<int>(x), y0 = static_cast<int>(y);
        const int x1 = std::min(x0 + 1, coarse.columns - 1), y1 = std::min(y0 + 1, coarse.rows - 1);
        const auto v = [&](int a, int b) { return coarse.values[coarse.at(a, b)]; };
        const double top = v(x0, y0) + (x - x0) * (v(x1, y0) - v(x0, y0));
        const double bottom = v(x0, y1) + (x - x0) * (v(x1, y1) - v(x0, y1));
        fine.values[fine.at(i, j)] = top + (y - y0) * (bottom - top);
        weight = 1;
      }
    }
  }
  values = std::move(levels[0].values);
}

GridMeans::GridMeans(const GridShape& shape, int fields)
    : shape_(shape),
      fields_(fields),
      weights_(shape.count(), 0.0),
      sums_(shape.count() * static_cast<size_t>(fields), 0.0) {
  WHEATPASTE_CHECK_OP(fields, <=, kMostFields);
}

void GridMeans::Add(const SurfaceMm& mm, const double* values) {
  const GridPlace place = shape_.Find(mm);
  const auto columns = static_cast<size_t>(shape_.columns);
  const size_t nodes[4] = {place.node, place.node + 1, place.node + columns,
                           place.node + columns + 1};
  const double shares[4] = {(1 - place.x) * (1 - place.y), place.x * (1 - place.y),
                            (1 - place.x) * place.y, place.x * place.y};
  for (int k = 0; k < 4; ++k) {
    if (!(shares[k] > 0)) continue;
    weights_[nodes[k]] += shares[k];
    double* const sums = sums_.data() + nodes[k] * static_cast<size_t>(fields_);
    for (int f = 0; f < fields_; ++f) sums[f] += shares[k] * values[f];
  }
}

void GridMeans::Add(const GridMeans& other) {
  for (size_t i = 0; i < weights_.size(); ++i) weights_[i] += other.weights_[i];
  for (size_t i = 0; i < sums_.size(); ++i) sums_[i] += other.sums_[i];
}

GridValues GridMeans::Mean(int field) const {
  GridValues values(weights_.size(), 0.0);
  for (size_t i = 0; i < values.size(); ++i) {
    if (!(weights_[i] > 0)) continue;
    values[i] = sums_[i * static_cast<size_t>(fields_) + static_cast<size_t>(field)] / weights_[i];
  }
  FillGaps(shape_, weights_, values);
  return values;
}

}  // namespace wheatpaste

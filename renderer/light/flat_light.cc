#include "light/flat_light.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>

#include <opencv2/core.hpp>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

// The work is cut into so many parts, each with a grid of its own.
constexpr int64_t kParts = 6;
constexpr double kPxPerSample = 2;  // of a node
constexpr double kDark = 1e-4;      // light below this has no ratio worth its name

double LogOf(double light) { return std::log(std::max(light, kDark)); }

}  // namespace

FlatLight LayFlat(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                  ImageView<SurfaceMmPlanes> mm, const GridShape& shape) {
  WHEATPASTE_CHECK(light.size() == seen.size() && light.size() == mm.size());
  // Where many pixels fall to a node, some of them will do.
  const double px_per_node = std::sqrt(static_cast<double>(light.width() * light.height()) /
                                       static_cast<double>(shape.count()));
  const auto every = std::max<int64_t>(1, static_cast<int64_t>(px_per_node / kPxPerSample));
  std::vector<GridMeans> parts(static_cast<size_t>(kParts), GridMeans(shape, 1));
  ParallelFor(kParts, [&](int64_t part) {
    const int64_t from = light.height() * part / kParts, to = light.height() * (part + 1) / kParts;
    for (int64_t y = from; y < to; ++y) {
      if (y % every != 0) continue;
      // Neighbours too: nothing of what lies beside the face has bled into the pixel.
      const float* above = seen.row(0, std::max<int64_t>(y - 1, 0));
      const float* own = seen.row(0, y);
      const float* below = seen.row(0, std::min(y + 1, light.height() - 1));
      for (int64_t x = 0; x < light.width(); x += every) {
        const int64_t left = std::max<int64_t>(x - 1, 0),
                      right = std::min(x + 1, light.width() - 1);
        if (std::min({own[x], above[x], below[x], own[left], own[right]}) < Coverage::kWhole)
          continue;
        const double value = double{LuminanceAt(light, x, y)};
        parts[static_cast<size_t>(part)].Add({double{mm.row(0, y)[x]}, double{mm.row(1, y)[x]}},
                                             &value);
      }
    }
  });
  for (size_t part = 1; part < parts.size(); ++part) parts[0].Add(parts[part]);
  FlatLight flat{shape, {}, std::vector<double>(shape.count(), 0.0)};
  const std::vector<double>& weights = parts[0].weights();
  if (std::none_of(weights.begin(), weights.end(), [](double w) { return w > 0; })) {
    flat.light.assign(shape.count(), 1.0);
    return flat;
  }
  flat.light = parts[0].Mean(0);
  for (size_t i = 0; i < flat.weights.size(); ++i) flat.weights[i] = weights[i] > 0.2 ? 1 : 0;
  return flat;
}

GridValues PutTogether(const GridShape& shape, const GridValues& across, const GridValues& down) {
  // The cosine transform wants even sizes: a line more that repeats the last.
  const int columns = shape.columns + shape.columns % 2, rows = shape.rows + shape.rows % 2;
  cv::Mat spectrum = cv::Mat::zeros(rows, columns, CV_64F);  // of the divergence
  for (int y = 0; y < shape.rows; ++y) {
    for (int x = 0; x < shape.columns; ++x) {
      if (x + 1 < shape.columns) {
        spectrum.at<double>(y, x) += across[shape.at(x, y)];
        spectrum.at<double>(y, x + 1) -= across[shape.at(x, y)];
      }
      if (y + 1 < shape.rows) {
        spectrum.at<double>(y, x) += down[shape.at(x, y)];
        spectrum.at<double>(y + 1, x) -= down[shape.at(x, y)];
      }
    }
  }
  if (columns > shape.columns) {
    for (int y = 0; y + 1 < shape.rows; ++y) {
      const double d = down[shape.at(shape.columns - 1, y)];
      spectrum.at<double>(y, columns - 1) += d;
      spectrum.at<double>(y + 1, columns - 1) -= d;
    }
  }
  if (rows > shape.rows) {
    for (int x = 0; x + 1 < columns; ++x) {
      const double d = x + 1 < shape.columns ? across[shape.at(x, shape.rows - 1)] : 0;
      spectrum.at<double>(rows - 1, x) += d;
      spectrum.at<double>(rows - 1, x + 1) -= d;
    }
  }
  cv::dct(spectrum, spectrum);
  for (int y = 0; y < rows; ++y) {
    for (int x = 0; x < columns; ++x) {
      const double eigenvalue = 2 * std::cos(std::numbers::pi * x / columns) +
                                2 * std::cos(std::numbers::pi * y / rows) - 4;
      double& s = spectrum.at<double>(y, x);
      s = x == 0 && y == 0 ? 0 : s / eigenvalue;
    }
  }
  cv::idct(spectrum, spectrum);
  GridValues field(shape.count());
  for (int y = 0; y < shape.rows; ++y) {
    for (int x = 0; x < shape.columns; ++x) field[shape.at(x, y)] = spectrum.at<double>(y, x);
  }
  return field;
}

bool RemoveHardEdges(FlatLight& flat) {
  const GridShape& shape = flat.shape;
  const auto below = static_cast<size_t>(shape.columns);
  GridValues logs(shape.count()), across(shape.count(), 0.0), down = across, length = across;
  std::transform(flat.light.begin(), flat.light.end(), logs.begin(), LogOf);
  std::vector<double> usual;
  for (int y = 0; y < shape.rows; ++y) {
    for (int x = 0; x < shape.columns; ++x) {
      const size_t k = shape.at(x, y);
      if (x + 1 < shape.columns) across[k] = logs[k + 1] - logs[k];
      if (y + 1 < shape.rows) down[k] = logs[k + below] - logs[k];
      length[k] = std::hypot(across[k], down[k]);
      if (flat.weights[k] > 0) usual.push_back(length[k]);
    }
  }
  if (usual.empty()) return false;
  const auto middle = usual.begin() + static_cast<int64_t>(usual.size() / 2);
  std::nth_element(usual.begin(), middle, usual.end());
  const double most = std::max(kLeastEdge, kHardEdge * *middle);
  bool any = false;
  for (int y = 0; y < shape.rows; ++y) {
    for (int x = 0; x < shape.columns; ++x) {
      if (!(length[shape.at(x, y)] > most)) continue;
      any = true;
      // An edge spreads over its neighbours.
      for (int j = std::max(y - 1, 0); j <= std::min(y + 1, shape.rows - 1); ++j) {
        for (int i = std::max(x - 1, 0); i <= std::min(x + 1, shape.columns - 1); ++i) {
          across[shape.at(i, j)] = down[shape.at(i, j)] = 0;
        }
      }
    }
  }
  if (!any) return false;
  const double mean =
      std::accumulate(logs.begin(), logs.end(), 0.0) / static_cast<double>(logs.size());
  const GridValues whole = PutTogether(shape, across, down);
  for (size_t k = 0; k < whole.size(); ++k) flat.light[k] = std::exp(whole[k] + mean);
  return true;
}

LightRatio RatioToBase(const FlatLight& flat) {
  constexpr int kTerms = 6;
  const GridShape& shape = flat.shape;
  const auto terms_at = [&](int i, int j) {
    const double x = 2.0 * i / (shape.columns - 1) - 1, y = 2.0 * j / (shape.rows - 1) - 1;
    return std::array<double, kTerms>{1, x, y, x * x - 1.0 / 3, x * y, y * y - 1.0 / 3};
  };
  cv::Mat normal = cv::Mat::eye(kTerms, kTerms, CV_64F) * 1e-9,
          right = cv::Mat::zeros(kTerms, 1, CV_64F);
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      if (!(flat.weights[shape.at(i, j)] > 0)) continue;
      const auto terms = terms_at(i, j);
      const double value = LogOf(flat.light[shape.at(i, j)]);
      for (int a = 0; a < kTerms; ++a) {
        right.at<double>(a) += terms[static_cast<size_t>(a)] * value;
        for (int b = 0; b < kTerms; ++b) {
          normal.at<double>(a, b) += terms[static_cast<size_t>(a)] * terms[static_cast<size_t>(b)];
        }
      }
    }
  }
  cv::Mat fit;
  cv::solve(normal, right, fit, cv::DECOMP_CHOLESKY);
  LightRatio result{GridValues(shape.count()),
                    {fit.at<double>(1) * 2 / (shape.step * (shape.columns - 1)),
                     fit.at<double>(2) * 2 / (shape.step * (shape.rows - 1))}};
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      const auto terms = terms_at(i, j);
      double base = 0;
      for (int a = 0; a < kTerms; ++a) base += fit.at<double>(a) * terms[static_cast<size_t>(a)];
      result.ratio[shape.at(i, j)] = std::exp(LogOf(flat.light[shape.at(i, j)]) - base);
    }
  }
  return result;
}

}  // namespace wheatpaste

#include "light/focus.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <Eigen/LU>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

struct EdgePoint {
  double x = 0, y = 0, sigma = 0;
};

// Fits the step within `reach` px across; 0 where it is none.
double FitStep(ImageView<SceneLinear> light, int64_t x0, int64_t y0, double theta, int reach,
               double sigma) {
  const int box = reach + 1;
  if (x0 < box || y0 < box || x0 + box >= light.width() || y0 + box >= light.height()) return 0;
  struct Sample {
    double x, y, v;
  };
  std::vector<Sample> samples;
  const double c0 = std::cos(theta), s0 = std::sin(theta);
  double low = 0, high = 0;
  int lows = 0, highs = 0;
  for (int dy = -box; dy <= box; ++dy) {
    for (int dx = -box; dx <= box; ++dx) {
      const double d = dx * c0 + dy * s0, along = dy * c0 - dx * s0;
      if (std::abs(d) > reach || std::abs(along) > kFocusStripPx) continue;
      const double v = double{LuminanceAt(light, x0 + dx, y0 + dy)};
      if (!(v < 0.98)) return 0;
      samples.push_back({static_cast<double>(dx), static_cast<double>(dy), v});
      if (d < -0.6 * reach) low += v, ++lows;
      if (d > 0.6 * reach) high += v, ++highs;
    }
  }
  if (lows < 3 || highs < 3) return 0;
  using Vector = Eigen::Matrix<double, 5, 1>;
  Eigen::Matrix<double, 5, 5> normal;
  Vector p;  // B, A, m, theta, sigma
  p << low / lows, high / highs - low / lows, 0, theta, sigma;
  double rms = 0;
  std::vector<double> bins(static_cast<size_t>(2 * reach + 1)), counts(bins.size());
  for (int round = 0; round < 12; ++round) {
    normal.setZero();
    Vector right = Vector::Zero();
    rms = 0;
    std::fill(bins.begin(), bins.end(), 0);
    std::fill(counts.begin(), counts.end(), 0);
    const double c = std::cos(p[3]), s = std::sin(p[3]);
    for (const Sample& q : samples) {
      const double d = q.x * c + q.y * s, z = (d - p[2]) / p[4];
      const double step = 0.5 * std::erfc(-z * 0.70710678118654752);
      const double slope = p[1] * 0.3989422804014327 * std::exp(-0.5 * z * z) / p[4];
      const double off = q.v - p[0] - p[1] * step;
      Vector j;
      j << 1, step, -slope, slope * (q.y * c - q.x * s), -slope * z;
      normal += j * j.transpose();
      right += j * off;
      rms += off * off;
      const auto bin = static_cast<size_t>(std::clamp(std::lround(d) + reach, 0L, 2L * reach));
      bins[bin] += off;
      counts[bin] += 1;
    }
    rms = std::sqrt(rms / static_cast<double>(samples.size() - 5));
    if (round == 11) break;
    normal.diagonal() *= 1 + 1e-6;
    const Vector change = normal.ldlt().solve(right);
    if (!change.allFinite()) return 0;
    p += change;
    p[4] = std::clamp(p[4], 0.12, 0.6 * reach);
    if (std::abs(p[2]) > 2 + 0.3 * reach || std::abs(p[3] - theta) > 0.4) return 0;
  }
  const double contrast = std::abs(p[1]);
  const double mean = p[0] + p[1] / 2;
  if (contrast < 0.15 * std::abs(mean) || contrast < 0.01 || rms > 0.2 * contrast) return 0;
  double misfit = 0, used = 0;
  for (size_t k = 0; k < bins.size(); ++k) {
    if (counts[k] < 3) continue;
    misfit += std::pow(bins[k] / counts[k], 2) - rms * rms / counts[k];
    ++used;
  }
  if (misfit > used * std::pow(0.03 * contrast, 2)) return 0;
  const double error = rms * std::sqrt(std::abs(normal.inverse()(4, 4)));
  return error <= 0.1 * p[4] + 0.05 && p[4] < 0.55 * reach ? p[4] : 0;
}

// The edge at the steepest pixel of a tile.
EdgePoint MeasureTile(ImageView<SceneLinear> light, const RectPx& tile) {
  double most = 0;
  int64_t at_x = 0, at_y = 0;
  const int64_t width = tile.width() + 2;
  std::vector<float> lum(static_cast<size_t>(width * (tile.height() + 2)));
  for (int64_t y = 0; y < tile.height() + 2; ++y) {
    for (int64_t x = 0; x < width; ++x) {
      lum[static_cast<size_t>(y * width + x)] =
          LuminanceAt(light, tile.x0 - 1 + x, tile.y0 - 1 + y);
    }
  }
  for (int64_t y = 1; y <= tile.height(); ++y) {
    for (int64_t x = 1; x < width - 1; ++x) {
      const float* v = lum.data() + y * width + x;
      const double gx = double{v[1]} - double{v[-1]}, gy = double{v[width]} - double{v[-width]};
      const double g = gx * gx + gy * gy;
      if (g > most) {
        most = g;
        at_x = tile.x0 + x - 1;
        at_y = tile.y0 + y - 1;
      }
    }
  }
  EdgePoint point;
  if (most < 1e-6 || at_x < 5 || at_y < 5 || at_x + 5 >= light.width() ||
      at_y + 5 >= light.height())
    return point;
  // Direction: the structure tensor of 7 x 7 px.
  double xx = 0, xy = 0, yy = 0, sx = 0, sy = 0;
  for (int64_t y = at_y - 3; y <= at_y + 3; ++y) {
    for (int64_t x = at_x - 3; x <= at_x + 3; ++x) {
      const double gx = double{LuminanceAt(light, x + 1, y)} - double{LuminanceAt(light, x - 1, y)};
      const double gy = double{LuminanceAt(light, x, y + 1)} - double{LuminanceAt(light, x, y - 1)};
      xx += gx * gx;
      xy += gx * gy;
      yy += gy * gy;
      sx += gx;
      sy += gy;
    }
  }
  double theta = 0.5 * std::atan2(2 * xy, xx - yy);
  if (sx * std::cos(theta) + sy * std::sin(theta) < 0) theta += 3.14159265358979324;
  double sigma = FitStep(light, at_x, at_y, theta, 6, 1);
  if (sigma == 0 || sigma > 1.8) sigma = FitStep(light, at_x, at_y, theta, 14, 3);
  point = {static_cast<double>(at_x) + 0.5, static_cast<double>(at_y) + 0.5, sigma};
  return point;
}

double Median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<int64_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

double Focus::SigmaAt(double px, double py) const {
  return std::clamp(sigma_px + slope_x * (px - x) + slope_y * (py - y), least_px, most_px);
}

double Focus::WideningAt(double px, double py) const {
  return std::max(1.0, SigmaAt(px, py) / kPixelFilterSigmaPx);
}

double Focus::MostWidening() const { return std::max(1.0, most_px / kPixelFilterSigmaPx); }

std::optional<Focus> EstimateFocus(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                                   int margin_px) {
  WHEATPASTE_CHECK(light.size() == seen.size());
  const SizePx size = light.size();
  const auto tile = static_cast<int64_t>(
      std::clamp(std::sqrt(static_cast<double>(size.area()) / 3000), 12.0, 64.0));
  const int64_t columns = (size.width + tile - 1) / tile, rows = (size.height + tile - 1) / tile;
  std::vector<char> has(static_cast<size_t>(columns * rows));
  for (int64_t y = 0; y < size.height; y += 4) {
    for (int64_t x = 0; x < size.width; x += 4) {
      if (seen.row(y)[x] > 0) has[static_cast<size_t>(y / tile * columns + x / tile)] = 1;
    }
  }
  const int64_t grow = (std::max(0, margin_px) + tile - 1) / tile;
  std::vector<EdgePoint> found(has.size());
  ParallelRows(rows, 1, [&](int64_t r0, int64_t) {
    for (int64_t column = 0; column < columns; ++column) {
      bool near = false;
      for (int64_t r = std::max<int64_t>(0, r0 - grow); r <= std::min(rows - 1, r0 + grow); ++r) {
        for (int64_t k = std::max<int64_t>(0, column - grow);
             k <= std::min(columns - 1, column + grow); ++k) {
          near |= has[static_cast<size_t>(r * columns + k)] != 0;
        }
      }
      const RectPx rect =
          Intersect({column * tile, r0 * tile, (column + 1) * tile, (r0 + 1) * tile},
                    {1, 1, size.width - 1, size.height - 1});
      if (near && !rect.empty())
        found[static_cast<size_t>(r0 * columns + column)] = MeasureTile(light, rect);
    }
  });
  std::vector<EdgePoint> points;
  for (const EdgePoint& p : found) {
    if (p.sigma > 0) points.push_back(p);
  }
  if (static_cast<int>(points.size()) < kLeastFocusPoints) return std::nullopt;

  Focus focus;
  std::vector<double> sigmas;
  for (const EdgePoint& p : points) sigmas.push_back(p.sigma);
  std::sort(sigmas.begin(), sigmas.end());
  double middle = sigmas[sigmas.size() / 5];
  for (int round = 0; round < 20; ++round) {
    std::vector<double> lump;
    for (double s : sigmas) {
      if (s >= middle / kLumpReach && s <= middle * kLumpReach) lump.push_back(s);
    }
    const double next = Median(lump);
    if (next == middle) break;
    middle = next;
  }
  std::vector<EdgePoint> kept;
  for (const EdgePoint& p : points) {
    if (p.sigma >= middle / kLumpReach && p.sigma <= middle * kLumpReach) kept.push_back(p);
  }
  if (static_cast<int>(kept.size()) < kLeastFocusPoints) return std::nullopt;

  // A plane through triples of points, taken in a fixed order.
  const auto count_near = [&points](const Eigen::Vector3d& m) {
    int n = 0;
    for (const EdgePoint& p : points) {
      const double s = m[0] + m[1] * p.x + m[2] * p.y;
      n += std::abs(p.sigma - s) < 0.08 * s + 0.04 ? 1 : 0;
    }
    return n;
  };
  int constant = 0, best = 0;
  for (double s : sigmas) constant = std::max(constant, count_near({s, 0, 0}));
  Eigen::Vector3d plane(middle, 0, 0);
  uint64_t state = 1;
  const auto draw = [&]() -> const EdgePoint& {
    state = state * 6364136223846793005u + 1442695040888963407u;  // Knuth, MMIX
    return points[static_cast<size_t>((state >> 33) % points.size())];
  };
  for (int trial = 0; trial < 300; ++trial) {
    Eigen::Matrix3d a;
    Eigen::Vector3d b;
    for (int i = 0; i < 3; ++i) {
      const EdgePoint& p = draw();
      a.row(i) << 1, p.x, p.y;
      b[i] = p.sigma;
    }
    if (std::abs(a.determinant()) < 0.01 * static_cast<double>(size.area())) continue;
    const Eigen::Vector3d m = a.inverse() * b;
    const int n = count_near(m);
    if (n > best) best = n, plane = m;
  }
  std::vector<EdgePoint> on_plane;
  for (int round = 0; round < 3 && best > 1.2 * constant; ++round) {
    on_plane.clear();
    Eigen::Matrix3d a = Eigen::Matrix3d::Zero();
    Eigen::Vector3d b = Eigen::Vector3d::Zero();
    for (const EdgePoint& p : points) {
      const Eigen::Vector3d j(1, p.x, p.y);
      const double s = plane.dot(j);
      if (std::abs(p.sigma - s) >= 0.12 * s + 0.06) continue;
      on_plane.push_back(p);
      a += j * j.transpose();
      b += j * p.sigma;
    }
    plane = a.ldlt().solve(b);
  }
  const bool tilted = static_cast<int>(on_plane.size()) >= kLeastFocusPoints;
  if (tilted) {
    const auto [least, most] = std::minmax_element(
        on_plane.begin(), on_plane.end(),
        [](const EdgePoint& p, const EdgePoint& q) { return p.sigma < q.sigma; });
    if (most->sigma - least->sigma > 0.15) {
      kept = on_plane;
      focus.slope_x = plane[1];
      focus.slope_y = plane[2];
    }
  }
  focus.points = static_cast<int>(kept.size());
  focus.least_px = kept.front().sigma;
  for (const EdgePoint& p : kept) {
    focus.x += p.x / focus.points;
    focus.y += p.y / focus.points;
    focus.least_px = std::min(focus.least_px, p.sigma);
    focus.most_px = std::max(focus.most_px, p.sigma);
  }
  const bool flat = focus.slope_x == 0 && focus.slope_y == 0;
  focus.sigma_px = flat ? middle : plane[0] + plane[1] * focus.x + plane[2] * focus.y;
  std::vector<double> off;
  for (const EdgePoint& p : kept) off.push_back(std::abs(p.sigma - focus.SigmaAt(p.x, p.y)));
  focus.spread_px = 1.4826 * Median(off);
  return focus;
}

}  // namespace wheatpaste

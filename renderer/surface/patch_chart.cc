#include "surface/patch_chart.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <limits>
#include <utility>

namespace wheatpaste {
namespace {

// Squares of the table along the longer side of the sheet's bounds.
constexpr int kTableSide = 128;
// The table's samples lie closer than this, squares.
constexpr double kSampleStep = 0.5;
// Of the outline that tells which points are asked for, photo px; on sheets far larger than any photo, squares of the
// table.
constexpr double kOutlineTolerancePx = 0.1, kOutlineToleranceSquares = 0.01;
// Of the outline whose bounds the table covers, ideal px.
constexpr double kBoundsTolerancePx = 1;
// Newton ends on a step below this, cells: what is left is of the order of its square.
constexpr double kLineTolerance = 1e-4;

double Distance(const PhotoPx& a, const PhotoPx& b) { return std::hypot(a.x - b.x, a.y - b.y); }

// Along the sheet's edge from one corner to the next, in cells: the start is put out, the end is not.
void AddSide(const PatchSpline& spline, const SurfaceMm& from, const SurfaceMm& to, int cells,
             double tolerance_px, Polygon& outline) {
  constexpr int kFewest = 4, kMost = 1024;
  const auto at = [&](double t) {
    return spline({from.x + t * (to.x - from.x), from.y + t * (to.y - from.y)});
  };
  for (int cell = 0; cell < cells; ++cell) {
    const auto within = [&](double t) { return at((cell + t) / cells); };
    int pieces = kFewest;
    for (; pieces < kMost; pieces *= 2) {
      double most = 0;
      PhotoPx start = within(0);
      for (int i = 0; i < pieces; ++i) {
        const PhotoPx end = within((i + 1.0) / pieces), middle = within((i + 0.5) / pieces);
        most = std::max(most, Distance(middle, {(start.x + end.x) / 2, (start.y + end.y) / 2}));
        start = end;
      }
      // The middle of a short piece strays most, up to what its slope's change adds.
      if (most <= 0.5 * tolerance_px) break;
    }
    for (int i = 0; i < pieces; ++i) outline.push_back(within(static_cast<double>(i) / pieces));
  }
}

}  // namespace

Polygon IdealOutlineOf(const PatchSpline& spline, double tolerance_px) {
  const SurfaceMm size = spline.size();
  const std::array<SurfaceMm, 4> corners{{{0, 0}, {size.x, 0}, {size.x, size.y}, {0, size.y}}};
  Polygon outline;
  for (size_t side = 0; side < 4; ++side) {
    const int cells = (side % 2 == 0 ? spline.columns() : spline.rows()) - 1;
    AddSide(spline, corners[side], corners[(side + 1) % 4], cells, tolerance_px, outline);
  }
  return outline;
}

PatchChart::PatchChart(PatchSpline ideal_from_surface, const Lens& lens)
    : spline_(std::move(ideal_from_surface)), lens_(lens) {
  FillTable();
  outline_tolerance_px_ = std::max(kOutlineTolerancePx, kOutlineToleranceSquares * table_step_);
  outline_ = Outlines(outline_tolerance_px_).front();
}

std::vector<Polygon> PatchChart::Outlines(double tolerance_px) const {
  Polygon outline = IdealOutlineOf(spline_, tolerance_px);
  for (PhotoPx& p : outline) p = lens_.PhotoFromIdeal(p);
  return {outline};
}

void PatchChart::FillTable() {
  PhotoPx low = spline_({0, 0}), high = low;
  for (const PhotoPx& p : IdealOutlineOf(spline_, kBoundsTolerancePx)) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  table_step_ = std::max({high.x - low.x, high.y - low.y, 1.0}) / kTableSide;
  table_origin_ = low;
  table_columns_ = static_cast<int>((high.x - low.x) / table_step_) + 1;
  table_rows_ = static_cast<int>((high.y - low.y) / table_step_) + 1;
  table_.assign(static_cast<size_t>(table_columns_) * static_cast<size_t>(table_rows_), {});

  const auto distance_in = [&](int x, int y, const PhotoPx& p) {
    return Distance(
        p, {table_origin_.x + (x + 0.5) * table_step_, table_origin_.y + (y + 0.5) * table_step_});
  };
  const auto offer = [&](int x, int y, const Near& sample) {
    Near& square = table_[static_cast<size_t>(y) * static_cast<size_t>(table_columns_) +
                          static_cast<size_t>(x)];
    if (square.known && distance_in(x, y, square.ideal) <= distance_in(x, y, sample.ideal)) {
      return false;
    }
    square = sample;
    return true;
  };
  // Samples of each cell, as many as its own sides in the picture ask for.
  for (int row = 0; row + 1 < spline_.rows(); ++row) {
    for (int column = 0; column + 1 < spline_.columns(); ++column) {
      const SurfaceMm from = spline_.MarkAt(row, column), to = spline_.MarkAt(row + 1, column + 1);
      double across = 0, down = 0;
      for (const double t : {0.0, 0.5, 1.0}) {
        for (const double s : {0.0, 0.5, 1.0}) {
          const Eigen::Matrix2d j =
              spline_.At({from.x + s * (to.x - from.x), from.y + t * (to.y - from.y)}).jacobian;
          across = std::max(across, j.col(0).norm() * (to.x - from.x));
          down = std::max(down, j.col(1).norm() * (to.y - from.y));
        }
      }
      const auto steps = [&](double length) {
        return std::clamp(static_cast<int>(std::ceil(length / (kSampleStep * table_step_))), 2,
                          4 * kTableSide);
      };
      const int columns = steps(across), rows = steps(down);
      for (int i = 0; i <= rows; ++i) {
        for (int j = 0; j <= columns; ++j) {
          const SurfaceMm mm{from.x + (to.x - from.x) * j / columns,
                             from.y + (to.y - from.y) * i / rows};
          const Near sample{mm, spline_(mm), true};
          const int x =
              std::clamp(static_cast<int>((sample.ideal.x - table_origin_.x) / table_step_), 0,
                         table_columns_ - 1);
          const int y =
              std::clamp(static_cast<int>((sample.ideal.y - table_origin_.y) / table_step_), 0,
                         table_rows_ - 1);
          offer(x, y, sample);
        }
      }
    }
  }
  // Squares beside the sheet take their neighbour's sample, outwards.
  std::deque<std::pair<int, int>> queue;
  for (int y = 0; y < table_rows_; ++y) {
    for (int x = 0; x < table_columns_; ++x) {
      if (table_[static_cast<size_t>(y * table_columns_ + x)].known) queue.emplace_back(x, y);
    }
  }
  while (!queue.empty()) {
    const auto [x, y] = queue.front();
    queue.pop_front();
    const Near sample = table_[static_cast<size_t>(y * table_columns_ + x)];
    for (const auto& [dx, dy] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
      const int nx = x + dx, ny = y + dy;
      if (nx < 0 || ny < 0 || nx >= table_columns_ || ny >= table_rows_) continue;
      if (offer(nx, ny, sample)) queue.emplace_back(nx, ny);
    }
  }
}

const PatchChart::Near& PatchChart::NearestTo(const PhotoPx& ideal) const {
  const auto index = [&](double at, double origin, int count) {
    return static_cast<int>(std::clamp((at - origin) / table_step_, 0.0, count - 1.0));
  };
  const int x = index(ideal.x, table_origin_.x, table_columns_);
  const int y = index(ideal.y, table_origin_.y, table_rows_);
  return table_[static_cast<size_t>(y * table_columns_ + x)];
}

double PatchChart::Beyond(const SurfaceMm& mm) const {
  const SurfaceMm size = spline_.size();
  const auto past = [](double at, double end, int cells) {
    return std::max({0.0, -at, at - end}) / end * cells;
  };
  return std::max(past(mm.x, size.x, spline_.columns() - 1),
                  past(mm.y, size.y, spline_.rows() - 1));
}

PatchSpline::Inverse PatchChart::SearchFromTable(const PhotoPx& ideal) const {
  PatchSpline::Inverse best;
  double best_beyond = std::numeric_limits<double>::infinity();
  // The square's own sample, then those of the squares around it.
  for (const auto& [dx, dy] :
       {std::pair{0, 0}, {-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}) {
    const Near& near = NearestTo({ideal.x + dx * table_step_, ideal.y + dy * table_step_});
    const PatchSpline::Inverse found = spline_.Invert(ideal, near.mm, kLineTolerance);
    const double beyond = Beyond(found.mm);
    if (found.converged && beyond < best_beyond) {
      best = found;
      best_beyond = beyond;
      if (beyond == 0) break;
    }
  }
  if (!best.converged) best.mm = NearestTo(ideal).mm;
  return best;
}

std::vector<PatchChart::Stretch> PatchChart::StretchesOf(double y, double reach) const {
  std::vector<Stretch> stretches;
  std::vector<double> crossings;
  for (size_t i = 0; i < outline_.size(); ++i) {
    PhotoPx a = outline_[i], b = outline_[(i + 1) % outline_.size()];
    if (a.y > b.y) std::swap(a, b);
    if (b.y < y - reach || a.y > y + reach) continue;
    const double slope = b.y > a.y ? (b.x - a.x) / (b.y - a.y) : 0;
    if (a.y <= y && y < b.y) crossings.push_back(a.x + slope * (y - a.y));
    // The piece of the side that lies near the line.
    const double x0 = a.y < y - reach ? a.x + slope * (y - reach - a.y) : a.x;
    const double x1 = b.y > y + reach ? a.x + slope * (y + reach - a.y) : b.x;
    stretches.push_back({std::min(x0, x1) - reach, std::max(x0, x1) + reach});
  }
  std::sort(crossings.begin(), crossings.end());
  for (size_t i = 0; i + 1 < crossings.size(); i += 2) {
    stretches.push_back({crossings[i], crossings[i + 1]});
  }
  std::sort(stretches.begin(), stretches.end(),
            [](const Stretch& a, const Stretch& b) { return a.from < b.from; });
  std::vector<Stretch> joined;
  for (const Stretch& stretch : stretches) {
    if (!joined.empty() && stretch.from <= joined.back().to) {
      joined.back().to = std::max(joined.back().to, stretch.to);
    } else {
      joined.push_back(stretch);
    }
  }
  return joined;
}

void PatchChart::MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const {
  // A pixel that the sheet touches asks for its corners, at most this far from it.
  const std::vector<Stretch> stretches = StretchesOf(y, 1.5 * step + 2 * outline_tolerance_px_);
  auto stretch = stretches.begin();
  int led_by = 0;  // how many points before this one lie on the sheet, up to two
  for (int64_t i = 0; i < count; ++i) {
    const double x = x0 + static_cast<double>(i) * step;
    while (stretch != stretches.end() && stretch->to < x) ++stretch;
    const bool asked_for = stretch != stretches.end() && stretch->from <= x;
    if (!asked_for) {
      mm[i] = i > 0 ? mm[i - 1] : SurfaceMm{};
      led_by = 0;
      continue;
    }
    const PhotoPx ideal = lens_.IdealFromPhoto({x, y});
    if (led_by > 0) {
      SurfaceMm start = mm[i - 1];
      if (led_by > 1) start = {2 * start.x - mm[i - 2].x, 2 * start.y - mm[i - 2].y};
      const PatchSpline::Inverse found = spline_.Invert(ideal, start, kLineTolerance);
      if (found.converged && Beyond(found.mm) == 0) {
        mm[i] = found.mm;
        led_by = 2;
        continue;
      }
    }
    const PatchSpline::Inverse found = SearchFromTable(ideal);
    mm[i] = found.mm;
    led_by = found.converged && Beyond(found.mm) == 0 ? 1 : 0;
  }
}

}  // namespace wheatpaste

#include "surface/bend_chart.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

// Raises what no ray reaches to the envelope of those that pass over it; the share of nodes that it raised.
double RaiseHidden(const FaceView& view, const GridShape& shape, GridValues& heights) {
  const auto [low, high] = std::minmax_element(heights.begin(), heights.end());
  const double range = *high - *low;
  const GridValues before = heights;
  // Doubling steps: after step k every pair of nodes closer than 2^(k + 1) steps keeps the limit.
  for (double steps = 1;; steps *= 2) {
    const GridValues from = heights;
    bool reach = false;
    ParallelRows(shape.rows, kBandRows, [&](int64_t j0, int64_t j1) {
      for (auto j = static_cast<int>(j0); j < static_cast<int>(j1); ++j) {
        for (int i = 0; i < shape.columns; ++i) {
          const SurfaceMm mm = shape.MmAt(i, j);
          const Eigen::Vector2d w = view.ShiftAt(mm);
          const double length = w.norm();
          if (!(length > 1e-9)) continue;
          const double far = steps * shape.step;
          const Eigen::Vector2d at = mm.vector() + w / length * far;
          double& z = heights[shape.at(i, j)];
          z = std::max(
              z, SampleValue(shape, from, SurfaceMm{at.x(), at.y()}) - kMostLean * far / length);
        }
      }
    });
    for (size_t i = 0; i < from.size() && !reach; ++i) reach = heights[i] > from[i];
    if (kMostLean * steps * shape.step / kMostShift > range || steps > shape.columns + shape.rows ||
        (!reach && steps > 1)) {
      break;
    }
  }
  size_t raised = 0;
  for (size_t i = 0; i < heights.size(); ++i) raised += heights[i] > before[i] + 1e-9 ? 1 : 0;
  return static_cast<double>(raised) / static_cast<double>(heights.size());
}

struct Shifts {
  GridValues x, y;
};

// The shifts of seen heights, held within the face.
Shifts ShiftsOf(const FaceView& view, const PrintArea& area, const GridShape& shape,
                const GridValues& seen) {
  Shifts shifts{GridValues(shape.count()), GridValues(shape.count())};
  const auto held = [](double shift, double back, double on) {
    return std::clamp(shift, -kEdgeShare * std::max(0.0, back), kEdgeShare * std::max(0.0, on));
  };
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      const SurfaceMm mm = shape.MmAt(i, j);
      const Eigen::Vector2d shift = seen[shape.at(i, j)] * view.ShiftAt(mm);
      shifts.x[shape.at(i, j)] = held(shift.x(), mm.x - area.low.x, area.high.x - mm.x);
      shifts.y[shape.at(i, j)] = held(shift.y(), mm.y - area.low.y, area.high.y - mm.y);
    }
  }
  return shifts;
}

double LeastChange(const GridShape& shape, const Shifts& shifts) {
  double least = 1;
  const size_t across = 1, down = static_cast<size_t>(shape.columns);
  for (int j = 0; j + 1 < shape.rows; ++j) {
    for (int i = 0; i + 1 < shape.columns; ++i) {
      const size_t a = shape.at(i, j);
      for (const size_t x0 : {a, a + down}) {
        for (const size_t y0 : {a, a + across}) {
          const double xx = (shifts.x[x0 + across] - shifts.x[x0]) / shape.step;
          const double yx = (shifts.y[x0 + across] - shifts.y[x0]) / shape.step;
          const double xy = (shifts.x[y0 + down] - shifts.x[y0]) / shape.step;
          const double yy = (shifts.y[y0 + down] - shifts.y[y0]) / shape.step;
          least = std::min(least, (1 + xx) * (1 + yy) - xy * yx);
        }
      }
    }
  }
  return least;
}

// h(m) of the model at the nodes of `shape`: heights as the camera meets them. heights  w . grad z below 1.
GridValues SeenHeights(const FaceView& view, const GridShape& shape, const GridValues& heights) {
  const double low = *std::min_element(heights.begin(), heights.end());
  const double high = *std::max_element(heights.begin(), heights.end());
  GridValues seen(shape.count());
  constexpr int kMostSteps = 40;
  ParallelRows(shape.rows, kBandRows, [&](int64_t j0, int64_t j1) {
    for (auto j = static_cast<int>(j0); j < static_cast<int>(j1); ++j) {
      for (int i = 0; i < shape.columns; ++i) {
        const SurfaceMm mm = shape.MmAt(i, j);
        const Eigen::Vector2d w = view.ShiftAt(mm);
        // h - z(m + h w) grows with h: Newton's steps, held between what is known to be below and above.
        double below = low, above = high, h = std::clamp(heights[shape.at(i, j)], below, above);
        for (int step = 0; step < kMostSteps && above - below > 1e-9; ++step) {
          const GridSample z =
              SampleChange(shape, heights, shape.Find({mm.x + h * w.x(), mm.y + h * w.y()}));
          const double off = h - z.value;
          if (std::abs(off) < 1e-9) break;
          (off < 0 ? below : above) = h;
          const double next = h - off / std::max(0.1, 1 - w.x() * z.dx - w.y() * z.dy);
          h = next > below && next < above ? next : (below + above) / 2;
        }
        seen[shape.at(i, j)] = h;
      }
    }
  });
  return seen;
}

}  // namespace

Image<Coverage> ApplyBend(const FaceBend& bend, ChartPicture& picture) {
  const GridShape& shape = bend.shape;
  Image<Coverage> heights({picture.region.width(), picture.region.height()});
  ParallelRows(picture.region.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      std::array<float*, SurfaceMmPlanes::kPlanes> mm;
      for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
        mm[static_cast<size_t>(plane)] = picture.mm.row(plane, y);
      }
      for (int64_t i = 0; i < picture.region.width(); ++i) {
        if (!HoldsMm(picture, i, y)) continue;
        const GridPlace place = shape.Find({double{mm[0][i]}, double{mm[1][i]}});
        const GridSample x = SampleChange(shape, bend.shift_x, place);
        const GridSample down = SampleChange(shape, bend.shift_y, place);
        heights.row(0, y)[i] = static_cast<float>(SampleChange(shape, bend.heights, place).value);
        Eigen::Matrix2d bent, change;
        bent << 1 + x.dx, x.dy, down.dx, 1 + down.dy;
        change << mm[2][i], mm[3][i], mm[4][i], mm[5][i];
        change = bent * change;
        mm[0][i] = static_cast<float>(mm[0][i] + x.value);
        mm[1][i] = static_cast<float>(mm[1][i] + down.value);
        mm[2][i] = static_cast<float>(change(0, 0));
        mm[3][i] = static_cast<float>(change(0, 1));
        mm[4][i] = static_cast<float>(change(1, 0));
        mm[5][i] = static_cast<float>(change(1, 1));
      }
    }
  });
  return heights;
}

BendReport BendPicture(const FaceView& view, const PrintArea& area, const GridShape& shape,
                       GridValues heights, ChartPicture& picture) {
  WHEATPASTE_CHECK(!picture.output_from_surface);
  WHEATPASTE_CHECK(heights.size() == shape.count());
  BendReport report;
  report.hidden_share = RaiseHidden(view, shape, heights);
  const GridValues full = heights;
  GridValues seen = SeenHeights(view, shape, full);
  Shifts shifts = ShiftsOf(view, area, shape, seen);
  report.least_change = LeastChange(shape, shifts);
  // Without heights nothing turns over: the last step leaves none.
  constexpr int kMostSteps = 24;
  for (int k = 0; k < kMostSteps && report.least_change < kLeastChange; ++k) {
    report.kept = k + 1 == kMostSteps ? 0 : report.kept * 0.85;
    for (size_t i = 0; i < full.size(); ++i) heights[i] = report.kept * full[i];
    seen = SeenHeights(view, shape, heights);
    shifts = ShiftsOf(view, area, shape, seen);
    report.least_change = LeastChange(shape, shifts);
  }
  for (size_t i = 0; i < shifts.x.size(); ++i) {
    report.most_shift_mm = std::max(report.most_shift_mm, std::hypot(shifts.x[i], shifts.y[i]));
  }
  report.bend = {shape, std::move(shifts.x), std::move(shifts.y), std::move(seen)};
  report.heights = ApplyBend(report.bend, picture);
  return report;
}

}  // namespace wheatpaste

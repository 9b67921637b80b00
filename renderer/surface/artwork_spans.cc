#include "surface/artwork_spans.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "surface/place_artwork.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
// The pixel filter reaches less than 1 px beyond a pixel's centre, times what it is widened by: artwork shows up to
// half a pixel more from its outline.
double ReachPx(double widening) { return 0.5 + widening; }

// Columns of row y that a convex outline can show in.
Span SpanOf(const std::vector<Eigen::Vector2d>& outline, int64_t y, const RectPx& region,
            double reach_px) {
  const double top = static_cast<double>(y) + 0.5 - reach_px, bottom = top + 2 * reach_px;
  double least = 1e30, most = -1e30;
  for (size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d &a = outline[i], &b = outline[(i + 1) % outline.size()];
    const double y0 = std::clamp(a.y(), top, bottom), y1 = std::clamp(b.y(), top, bottom);
    if ((a.y() < top && b.y() < top) || (a.y() > bottom && b.y() > bottom)) continue;
    for (const double at : {y0, y1}) {
      const double x =
          a.y() == b.y() ? a.x() : a.x() + (b.x() - a.x()) * (at - a.y()) / (b.y() - a.y());
      least = std::min(least, x);
      most = std::max(most, x);
    }
    if (a.y() == b.y()) {
      least = std::min(least, b.x());
      most = std::max(most, b.x());
    }
  }
  if (least > most) return {};
  const auto x0 = static_cast<double>(region.x0), x1 = static_cast<double>(region.x1);
  return {static_cast<int64_t>(std::floor(std::clamp(least - reach_px, x0, x1))),
          static_cast<int64_t>(std::ceil(std::clamp(most + reach_px, x0, x1)))};
}

// The larger stretch of the inverse of [[a, b], [c, d]]: one over its smaller singular value.
double InverseStretch(double a, double b, double c, double d) {
  const double sum = a * a + b * b + c * c + d * d, det = a * d - b * c;
  const double least2 = (sum - std::sqrt(std::max(0.0, sum * sum - 4 * det * det))) / 2;
  return least2 > 0 ? 1 / std::sqrt(least2) : 0;
}

struct StoredRow {
  explicit StoredRow(const ChartPicture& picture, int64_t row)
      : seen(picture.seen.row(0, row)),
        x(picture.mm.row(0, row)),
        y(picture.mm.row(1, row)),
        xx(picture.mm.row(2, row)),
        xy(picture.mm.row(3, row)),
        yx(picture.mm.row(4, row)),
        yy(picture.mm.row(5, row)) {}
  double StretchAt(int64_t i) const {
    return InverseStretch(double{xx[i]}, double{xy[i]}, double{yx[i]}, double{yy[i]});
  }
  const float *seen, *x, *y, *xx, *xy, *yx, *yy;
};

// Runs `row_work(row)`, which returns a length, for all rows of the region; the largest of them.
template <typename RowWork>
double LargestOfRows(const RectPx& region, const RowWork& row_work) {
  std::vector<double> largest(static_cast<size_t>(region.height()), 0.0);
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t row = from; row < to; ++row) largest[static_cast<size_t>(row)] = row_work(row);
  });
  return *std::max_element(largest.begin(), largest.end());
}

ArtworkSpans StoredSpans(const ChartPicture& picture,
                         const Map<ArtworkUv, SurfaceMm>& artwork_from_surface, double reach_px) {
  const RectPx& region = picture.region;
  const Eigen::Matrix3d h = artwork_from_surface.matrix() / artwork_from_surface.matrix()(2, 2);
  const auto at = [&h](int row, int column) { return static_cast<float>(h(row, column)); };
  const float ux = at(0, 0), uy = at(0, 1), u0 = at(0, 2);
  const float vx = at(1, 0), vy = at(1, 1), v0 = at(1, 2);
  const auto reach = static_cast<float>(reach_px);
  ArtworkSpans spans;
  spans.rows.resize(static_cast<size_t>(region.height()));
  const double wholly = LargestOfRows(region, [&](int64_t row) {
    const StoredRow mm(picture, row);
    Span span{region.x1, region.x0};
    double largest = 0;
    for (int64_t i = 0; i < region.width(); ++i) {
      if (!(mm.seen[i] > 0)) continue;
      const float u = ux * mm.x[i] + uy * mm.y[i] + u0, v = vx * mm.x[i] + vy * mm.y[i] + v0;
      const float reach_u = reach * (std::abs(ux * mm.xx[i] + uy * mm.yx[i]) +
                                     std::abs(ux * mm.xy[i] + uy * mm.yy[i]));
      const float reach_v = reach * (std::abs(vx * mm.xx[i] + vy * mm.yx[i]) +
                                     std::abs(vx * mm.xy[i] + vy * mm.yy[i]));
      if (u < -reach_u || v < -reach_v || u > 1 + reach_u || v > 1 + reach_v) continue;
      span.x0 = std::min(span.x0, region.x0 + i);
      span.x1 = std::max(span.x1, region.x0 + i + 1);
      // Pixels that the outline cuts hold footprints that end at it: they say nothing of magnification.
      if (mm.seen[i] >= Coverage::kWhole) largest = std::max(largest, mm.StretchAt(i));
    }
    spans.rows[static_cast<size_t>(row)] = span;
    return largest;
  });
  const bool any = std::any_of(spans.rows.begin(), spans.rows.end(),
                               [](const Span& span) { return !span.empty(); });
  if (!any) return {};
  spans.px_per_mm = wholly > 0 ? wholly : LargestPxPerMm(picture, {});
  return spans;
}

}  // namespace

double LargestPxPerMm(const ChartPicture& picture, const SurfaceMm& size) {
  if (picture.region.empty()) return 0;
  if (picture.output_from_surface) {
    double largest = 0;
    for (const SurfaceMm& corner : {SurfaceMm{0, 0}, {size.x, 0}, {size.x, size.y}, {0, size.y}}) {
      const Eigen::Matrix2d j = picture.output_from_surface->Jacobian(corner);
      largest = std::max({largest, j.col(0).norm(), j.col(1).norm()});
    }
    return largest;
  }
  const auto largest_seen = [&](float least_seen) {
    return LargestOfRows(picture.region, [&](int64_t row) {
      const StoredRow mm(picture, row);
      double largest = 0;
      for (int64_t i = 0; i < picture.region.width(); ++i) {
        if (mm.seen[i] > 0 && mm.seen[i] >= least_seen) {
          largest = std::max(largest, mm.StretchAt(i));
        }
      }
      return largest;
    });
  };
  const double wholly = largest_seen(Coverage::kWhole);
  return wholly > 0 ? wholly : largest_seen(0);
}

ArtworkSpans FindArtworkSpans(const ChartPicture& picture, const SurfaceMm& size,
                              const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                              SizePx picture_size, double widening) {
  if (picture.region.empty()) return {};
  if (!picture.output_from_surface) {
    return StoredSpans(picture, surface_from_artwork.Inverse(), ReachPx(widening));
  }
  ArtworkSpans spans;
  spans.px_per_mm =
      LargestPxPerMm(*picture.output_from_surface, surface_from_artwork, size, picture_size);
  if (!(spans.px_per_mm > 0)) return {};
  const auto outline = PicturedOutline(*picture.output_from_surface, surface_from_artwork, size);
  if (outline.empty()) return {};
  for (int64_t y = picture.region.y0; y < picture.region.y1; ++y) {
    spans.rows.push_back(SpanOf(outline, y, picture.region, ReachPx(widening)));
  }
  return spans;
}

}  // namespace wheatpaste

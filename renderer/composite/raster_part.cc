#include "composite/raster_part.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/parallel.h"
#include "composite/piece_row.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

}  // namespace

FootprintReach ReachIn(const PreparedSurface& surface, const PreparedArtwork& ready) {
  FootprintReach all{1e30f, -1e30f, 1e30f, -1e30f, Pyramid::kLevels - 1, 0};
  for (const ArtworkPiece& piece : ready.pieces) {
    const ChartPicture& picture = surface.charts[piece.chart].picture;
    const RectPx& region = picture.region;
    const auto path =
        static_cast<float>(std::max(piece.contact.shadow.norm(), piece.contact.edge.norm()));
    std::vector<FootprintReach> rows(static_cast<size_t>(region.height()), all);
    ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
      FootprintBuffer footprints;
      std::vector<float> widening;
      for (int64_t row = from; row < to; ++row) {
        const Span& span = piece.rows[static_cast<size_t>(row)];
        if (span.empty()) continue;
        const int64_t y = region.y0 + row;
        MapPieceRow(surface, piece, y, span, widening, footprints);
        rows[static_cast<size_t>(row)] =
            ReachOf(footprints.row(), picture.seen.row(0, row) + (span.x0 - region.x0), path);
      }
    });
    for (const FootprintReach& row : rows) {
      if (row.low_u > row.high_u) continue;
      all.low_u = std::min(all.low_u, row.low_u - path);
      all.high_u = std::max(all.high_u, row.high_u + path);
      all.low_v = std::min(all.low_v, row.low_v - path);
      all.high_v = std::max(all.high_v, row.high_v + path);
      all.least_level = std::min(all.least_level, row.least_level);
      all.most_level = std::max(all.most_level, row.most_level);
    }
  }
  return all;
}

RectPx PartRead(const FootprintReach& reach, SizePx raster, const Eigen::Vector2d& margin) {
  if (reach.low_u > reach.high_u) return {};
  const int64_t px = int64_t{1} << std::min(reach.most_level, 30);
  const auto down = [px](double v, int64_t most) {
    return std::clamp<int64_t>(
        static_cast<int64_t>(std::floor(std::clamp(v, -1e9, 1e9) / static_cast<double>(px))) * px,
        0, most);
  };
  const auto up = [px](double v, int64_t most) {
    return std::clamp<int64_t>(
        static_cast<int64_t>(std::ceil(std::clamp(v, -1e9, 1e9) / static_cast<double>(px))) * px, 0,
        most);
  };
  return {down(double{reach.low_u} - margin.x(), raster.width),
          down(double{reach.low_v} - margin.y(), raster.height),
          up(double{reach.high_u} + margin.x(), raster.width),
          up(double{reach.high_v} + margin.y(), raster.height)};
}

Eigen::Vector2d FinishMargin(const Placement& placement, const SurfaceMm& placed, SizePx raster) {
  const double reach_mm = FinishReachMm(placement);
  return Eigen::Vector2d(static_cast<double>(raster.width) / placed.x,
                         static_cast<double>(raster.height) / placed.y) *
             (2 * reach_mm) +
         Eigen::Vector2d::Constant(reach_mm > 0 ? 4 : 0);
}

Edges EdgesOf(const RasterPart& at, const Edges& bleeds) {
  Edges edges = bleeds;
  edges.repeat_left |= at.part.x0 > 0;
  edges.repeat_top |= at.part.y0 > 0;
  edges.repeat_right |= at.part.x1 < at.whole.width;
  edges.repeat_bottom |= at.part.y1 < at.whole.height;
  return edges;
}

}  // namespace wheatpaste

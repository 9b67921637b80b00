#include "surface/smooth_chart.h"

#include <array>

#include "base/parallel.h"
#include "surface/outline_region.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
// Straight pieces of an outline stray less than this from it, output px: far below one step of 8-bit cover.
constexpr double kOutlineTolerancePx = 0.01;

}  // namespace

ChartPicture SmoothChart::Picture(const Frame& frame) const {
  ChartPicture picture;
  std::vector<std::vector<Eigen::Vector2d>> outlines;
  for (const Polygon& outline : Outlines(kOutlineTolerancePx / frame.scale())) {
    outlines.push_back(ToOutput(frame, outline));
  }
  const RectPx region = RegionOf(outlines, frame.size);
  if (region.empty()) return picture;
  picture.region = region;
  picture.seen = CoverageOf(outlines, region);
  picture.mm = Image<SurfaceMmPlanes>({region.width(), region.height()});

  const double step = 1 / frame.scale();
  const auto photo_x = [&](double x) { return frame.window.x0 + x * step; };
  const auto photo_y = [&](double y) { return frame.window.y0 + y * step; };
  const int64_t count = region.width();
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    // The pixels' centres, and the corners above and below them.
    std::vector<SurfaceMm> centres(static_cast<size_t>(count));
    std::vector<SurfaceMm> above(static_cast<size_t>(count + 1)), below = above;
    const auto corners = [&](int64_t row, std::vector<SurfaceMm>& line) {
      MmOfLine(photo_y(static_cast<double>(region.y0 + row)),
               photo_x(static_cast<double>(region.x0)), step, count + 1, line.data());
    };
    corners(from, above);
    for (int64_t row = from; row < to; ++row) {
      corners(row + 1, below);
      MmOfLine(photo_y(static_cast<double>(region.y0 + row) + 0.5),
               photo_x(static_cast<double>(region.x0) + 0.5), step, count, centres.data());
      std::array<float*, SurfaceMmPlanes::kPlanes> out;
      for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
        out[static_cast<size_t>(plane)] = picture.mm.row(plane, row);
      }
      for (int64_t i = 0; i < count; ++i) {
        const auto at = static_cast<size_t>(i);
        const Eigen::Vector2d a = above[at].vector(), b = above[at + 1].vector();
        const Eigen::Vector2d c = below[at].vector(), d = below[at + 1].vector();
        const Eigen::Vector2d right = (b - a + d - c) / 2, down = (c - a + d - b) / 2;
        out[0][i] = static_cast<float>(centres[at].x);
        out[1][i] = static_cast<float>(centres[at].y);
        out[2][i] = static_cast<float>(right.x());
        out[3][i] = static_cast<float>(down.x());
        out[4][i] = static_cast<float>(right.y());
        out[5][i] = static_cast<float>(down.y());
      }
      std::swap(above, below);
    }
  });
  return picture;
}

}  // namespace wheatpaste

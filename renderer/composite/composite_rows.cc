#include "composite/composite_rows.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include <fmt/format.h>

#include "image/elliptical_average.h"
#include "ink/apply_ink.h"
#include "surface/map_row.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
// The pixel filter reaches 1 px beyond a pixel's centre, so artwork shows up to 1.5 px from its outline.
constexpr double kFilterReachPx = 1.5;

struct Span {
  int64_t x0 = 0, x1 = 0;
  bool empty() const { return x1 <= x0; }
};

// Columns of row y that a convex outline can show in.
Span SpanOf(const std::vector<Eigen::Vector2d>& outline, int64_t y, const RectPx& region) {
  const double top = static_cast<double>(y) + 0.5 - kFilterReachPx,
               bottom = top + 2 * kFilterReachPx;
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
  return {static_cast<int64_t>(std::floor(std::clamp(least - kFilterReachPx, x0, x1))),
          static_cast<int64_t>(std::ceil(std::clamp(most + kFilterReachPx, x0, x1)))};
}

}  // namespace

// One worker's room for one row.
struct Compositor::Scratch {
  explicit Scratch(int64_t width)
      : light(static_cast<size_t>(3 * width)), touched(static_cast<size_t>(width)) {
    for (auto& plane : artwork) plane.resize(static_cast<size_t>(width));
  }
  float* light_row(int plane) { return light.data() + static_cast<size_t>(plane) * touched.size(); }
  std::vector<float> light;
  std::vector<uint8_t> touched;  // ink lies on this pixel; its light above is up to date
  std::vector<float> artwork[4];
  FootprintBuffer footprints;
};

Compositor::Compositor(const PreparedScene& scene, const std::vector<PreparedArtwork>& artworks)
    : scene_(scene), artworks_(artworks), encode_(scene.base.profile, scene.base.depth) {}

void Compositor::InkRowOf(const PreparedArtwork& artwork, int64_t y, Scratch& scratch) const {
  const Placement& placement = scene_.solved.scene.placements[artwork.placement];
  const PreparedSurface& surface = scene_.surfaces[placement.surface];
  const RectPx& region = surface.visibility.region;
  if (y < region.y0 || y >= region.y1) return;
  const Span span = SpanOf(artwork.outline, y, region);
  if (span.empty()) return;
  const int64_t count = span.x1 - span.x0;

  MapPlaneRow(artwork.artwork_from_output, y, span.x0, span.x1, scratch.footprints);
  AverageEllipses(*artwork.pyramid, scratch.footprints.row(),
                  {scratch.artwork[0].data(), scratch.artwork[1].data(), scratch.artwork[2].data(),
                   scratch.artwork[3].data()});

  InkRow row;
  row.count = count;
  row.seen = surface.visibility.seen.row(0, y - region.y0) + (span.x0 - region.x0);
  for (int plane = 0; plane < 4; ++plane) row.artwork[plane] = scratch.artwork[plane].data();
  for (int64_t i = 0; i < count; ++i) {
    uint8_t& touched = scratch.touched[static_cast<size_t>(span.x0 + i)];
    if (!touched) {
      for (int plane = 0; plane < 3; ++plane) {
        scratch.light_row(plane)[span.x0 + i] = scene_.base.light.row(plane, y)[span.x0 + i];
      }
    }
    touched |= row.seen[i] > 0 && row.artwork[3][i] > 0 ? 1 : 0;
  }
  for (int plane = 0; plane < 3; ++plane) {
    row.light[plane] = scratch.light_row(plane) + span.x0;
    if (surface.shading) {
      row.irradiance[plane] =
          surface.shading->irradiance.row(plane, y - region.y0) + (span.x0 - region.x0);
    }
  }
  ApplyInk(placement.ink.value, row);
}

void Compositor::CompositeBand(int64_t y0, int64_t y1, uint8_t* codes) const {
  const BasePicture& base = scene_.base;
  Scratch scratch(base.size.width);
  const int64_t pixel_bytes = 3 * (base.depth / 8);
  for (int64_t y = y0; y < y1; ++y) {
    uint8_t* out = codes + (y - y0) * base.row_bytes();
    std::memcpy(out, base.row(y), static_cast<size_t>(base.row_bytes()));
    std::fill(scratch.touched.begin(), scratch.touched.end(), uint8_t{0});
    for (const PreparedArtwork& artwork : artworks_) {
      if (artwork.pyramid != nullptr) InkRowOf(artwork, y, scratch);
    }
    // Runs of pixels that hold ink.
    const auto begin = scratch.touched.begin(), end = scratch.touched.end();
    for (auto from = std::find(begin, end, 1); from != end;) {
      const auto to = std::find(from, end, 0);
      const int64_t x = from - begin, count = to - from;
      for (int64_t i = x; i < x + count; ++i) {
        const float sum =
            scratch.light_row(0)[i] + scratch.light_row(1)[i] + scratch.light_row(2)[i];
        if (!std::isfinite(sum)) {
          CheckFailed(__FILE__, __LINE__, "light is finite after ink",
                      fmt::format("pixel ({}, {}), row band {} to {}", i, y, y0, y1));
        }
      }
      encode_.Convert(scratch.light_row(0) + x, scratch.light_row(1) + x, scratch.light_row(2) + x,
                      count, out + x * pixel_bytes);
      from = std::find(to, end, 1);
    }
  }
}

void Compositor::CompositeRows(int64_t y0, int64_t y1, uint8_t* codes) const {
  ParallelRows(y1 - y0, kBandRows, [&](int64_t from, int64_t to) {
    CompositeBand(y0 + from, y0 + to, codes + from * scene_.base.row_bytes());
  });
}

}  // namespace wheatpaste

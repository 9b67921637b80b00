#include "composite/strips.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include "composite/composite_rows.h"
#include "composite/stage_light.h"

namespace wheatpaste {
namespace {

// Px beyond a tile that are made and cut off: edges of meshes look at the pixels around them.
constexpr int64_t kMarginPx = 2;

// The analysed face's normals under a region of another picture.
Image<NormalPlanes> NormalsUnder(const Image<NormalPlanes>& normals, const RectPx& region,
                                 const Frame& from, const Frame& to, const RectPx& wanted) {
  Image<SceneLinear> planes(normals.size());
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < normals.height(); ++y) {
      std::copy_n(normals.row(plane, y), normals.width(), planes.row(plane, y));
    }
  }
  const Image<SceneLinear> found = LookUp(planes, region, from, to, wanted);
  Image<NormalPlanes> unit(found.size());
  for (int64_t y = 0; y < unit.height(); ++y) {
    for (int64_t x = 0; x < unit.width(); ++x) {
      const float a = found.row(0, y)[x], b = found.row(1, y)[x], c = found.row(2, y)[x];
      const float length = std::sqrt(a * a + b * b + c * c);
      for (int k = 0; k < 3; ++k) unit.row(k, y)[x] = found.row(k, y)[x] / length;
    }
  }
  return unit;
}

void Add(const Image<SceneLinear>& more, const RectPx& region, Image<SceneLinear>& light) {
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < more.height(); ++y) {
      const float* const from = more.row(plane, y);
      float* const to = light.row(plane, region.y0 + y) + region.x0;
      for (int64_t x = 0; x < more.width(); ++x) to[x] += from[x];
    }
  }
}

RectPx Moved(const RectPx& rect, int64_t x, int64_t y) {
  return {rect.x0 + x, rect.y0 + y, rect.x1 + x, rect.y1 + y};
}

}  // namespace

StripMaker::StripMaker(const PreparedScene& scene, const ArtworkDrawer& drawer)
    : scene_(scene), drawer_(drawer) {
  WHEATPASTE_CHECK(scene.large != nullptr);
  tile_.solved = scene.solved;
  tile_.grain = scene.grain;
  tile_.encode = scene.encode;
}

// What a tile shows of each surface, without light.
void StripMaker::ShowCharts(const RectPx& wide) {
  const double enlarged = scene_.enlarged();
  tile_.frame = tile_.analysed = PartOf(scene_.frame, wide);
  tile_.surfaces.clear();
  for (size_t i = 0; i < scene_.surfaces.size(); ++i) {
    const PreparedSurface& whole = scene_.surfaces[i];
    PreparedSurface surface;
    surface.substrate_luminance = whole.substrate_luminance;
    surface.focus = whole.focus;
    if (surface.focus) {
      surface.focus->x -= static_cast<double>(wide.x0);
      surface.focus->y -= static_cast<double>(wide.y0);
    }
    for (const PreparedChart& of : whole.charts) {
      PreparedChart chart;
      chart.face = of.face;
      chart.chart = of.chart;
      chart.px_per_mm = of.px_per_mm * enlarged;
      chart.picture = of.chart->Picture(tile_.frame);
      if (!chart.picture.region.empty()) {
        scene_.large->occluders.Hide(i, tile_.frame, chart.picture);
        if (of.bend) {
          const PrintArea& area = scene_.solved.surfaces[i].faces[of.face].area;
          StoreMm(chart.picture, area.low, area.high);
          ApplyBend(*of.bend, chart.picture);
        }
      }
      surface.charts.push_back(std::move(chart));
    }
    tile_.surfaces.push_back(std::move(surface));
  }
}

// Of the charts that something lies on.
void StripMaker::LookUpLight(const RectPx& wide, const std::vector<PreparedArtwork>& artworks) {
  for (const PreparedArtwork& artwork : artworks) {
    const size_t surface = scene_.solved.scene.placements[artwork.placement].surface;
    for (const ArtworkPiece& piece : artwork.pieces) {
      const PreparedChart& from = scene_.surfaces[surface].charts[piece.chart];
      PreparedChart& to = tile_.surfaces[surface].charts[piece.chart];
      const auto under = [&](const auto& field) {
        return LookUp(field, from.picture.region, scene_.analysed, scene_.frame,
                      Moved(to.picture.region, wide.x0, wide.y0));
      };
      to.blank = from.blank;
      if (from.gloss && !to.gloss) to.gloss = Gloss{under(from.gloss->mirrored), 0};
      if (from.shading && !to.shading) {
        to.shading = Shading{under(from.shading->irradiance), under(from.shading->fine_texture), 0};
      }
      if (from.face_light && !to.face_light) {
        const FaceLight& light = *from.face_light;
        to.face_light =
            FaceLight{NormalsUnder(light.normals, from.picture.region, scene_.analysed,
                                   scene_.frame, Moved(to.picture.region, wide.x0, wide.y0)),
                      light.stands_known, light.surroundings, light.source, light.middle};
      }
      if (from.restored && !to.restored) {
        to.restored = under(*from.restored);
        Add(*to.restored, to.picture.region, tile_.base.light);
      }
    }
  }
  tile_.noise.reset();
  if (scene_.grain) tile_.noise = NoiseOf(scene_.grain->tile, scene_.frame, wide);
}

Status StripMaker::MakeTile(const RectPx& tile, const RectPx& strip) {
  const RectPx wide = Intersect(Grow(tile, kMarginPx), WholeOf(scene_.frame.size));
  ShowCharts(wide);
  auto artworks = drawer_.DrawFor(tile_);
  if (!artworks) return std::move(artworks).errors();
  tile_.base = MakeBasePicture(scene_.large->photo, tile_.frame, *scene_.encode);
  Bytes made;
  if (!artworks->empty()) {
    LookUpLight(wide, *artworks);
    if (scene_.solved.stage) MendSharedPixels(tile_.surfaces, tile_.base);
    made.resize(tile_.base.codes.size());
    Compositor(tile_, *artworks).CompositeRows(0, tile_.base.size.height, made.data());
  } else {
    made = std::move(tile_.base.codes);
  }
  const int64_t pixel_bytes = 3 * (tile_.base.depth / 8);
  for (int64_t y = tile.y0; y < tile.y1; ++y) {
    std::memcpy(
        strip_.data() + (y - strip.y0) * scene_.base.row_bytes() + tile.x0 * pixel_bytes,
        made.data() + (y - wide.y0) * tile_.base.row_bytes() + (tile.x0 - wide.x0) * pixel_bytes,
        static_cast<size_t>(tile.width() * pixel_bytes));
  }
  return Done{};
}

Status StripMaker::MakeStrip(int64_t y0) {
  const int64_t side = scene_.large->tile_px;
  const SizePx size = scene_.frame.size;
  const RectPx strip{0, y0, size.width, std::min(y0 + side, size.height)};
  first_ = last_ = 0;
  strip_.resize(static_cast<size_t>(side * scene_.base.row_bytes()));
  for (int64_t x0 = 0; x0 < size.width; x0 += side) {
    const RectPx tile{x0, strip.y0, std::min(x0 + side, size.width), strip.y1};
    if (auto made = MakeTile(tile, strip); !made) return made;
  }
  first_ = strip.y0;
  last_ = strip.y1;
  return Done{};
}

Status StripMaker::CompositeRows(int64_t y0, int64_t y1, uint8_t* codes) {
  const int64_t row_bytes = scene_.base.row_bytes();
  for (int64_t y = y0; y < y1;) {
    if (y < first_ || y >= last_) {
      if (auto made = MakeStrip(y / scene_.large->tile_px * scene_.large->tile_px); !made) {
        return made;
      }
    }
    const int64_t end = std::min(y1, last_);
    std::memcpy(codes + (y - y0) * row_bytes, strip_.data() + (y - first_) * row_bytes,
                static_cast<size_t>((end - y) * row_bytes));
    y = end;
  }
  return Done{};
}

}  // namespace wheatpaste

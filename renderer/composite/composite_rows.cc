#include "composite/composite_rows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

#include <fmt/format.h>

#include "composite/finish_rows.h"
#include "composite/piece_row.h"
#include "composite/stage_light.h"
#include "image/elliptical_average.h"
#include "ink/apply_ink.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

}  // namespace

// One worker's room for one row.
struct Compositor::Scratch {
  explicit Scratch(int64_t width)
      : light(static_cast<size_t>(3 * width)),
        untouched(light.size()),
        sum(light.size()),
        before(light.size()),
        whole(static_cast<size_t>(width), 1.0f),
        touched(static_cast<size_t>(width)),
        current(static_cast<size_t>(width)) {
    for (auto& plane : artwork) plane.resize(static_cast<size_t>(width));
    for (auto& plane : cover) plane.resize(static_cast<size_t>(width));
    for (auto& plane : noise) plane.resize(static_cast<size_t>(width));
  }
  float* row_of(std::vector<float>& planes, int plane) {
    return planes.data() + static_cast<size_t>(plane) * touched.size();
  }
  float* light_row(int plane) { return row_of(light, plane); }

  std::vector<float> light;  // three planes of the row
  // Of a surface with several charts, or whose own light is known: light without any of it, light with all of it; light that a chart
  // starts from.
  std::vector<float> untouched, sum, before;
  std::vector<float> whole;      // all 1
  std::vector<uint8_t> touched;  // ink lies on this pixel
  std::vector<uint8_t> current;  // its light above has been taken from the base
  std::vector<float> artwork[4], cover[4];
  std::array<std::vector<float>, 3> noise;
  std::vector<float> widening;  // of the span's footprints
  FootprintBuffer footprints;
  ContactScratch contact;
  FinishScratch finish;
};

Compositor::Compositor(const PreparedScene& scene, const std::vector<PreparedArtwork>& artworks,
                       const Guides* guides, const Image<SceneLinear>* gain)
    : scene_(scene), guides_(guides), gain_(gain) {
  std::vector<size_t> order;  // surfaces, by their first placement
  for (const PreparedArtwork& artwork : artworks) {
    const size_t surface = scene.solved.scene.placements[artwork.placement].surface;
    if (std::find(order.begin(), order.end(), surface) == order.end()) order.push_back(surface);
  }
  for (const size_t surface : order) {
    SurfaceParts parts{&scene.surfaces[surface], {}};
    const std::vector<PreparedChart>& charts = scene.surfaces[surface].charts;
    for (size_t i = 0; i < charts.size(); ++i) {
      ChartParts chart{&charts[i], {}};
      for (const PreparedArtwork& artwork : artworks) {
        if (scene.solved.scene.placements[artwork.placement].surface != surface) continue;
        for (const ArtworkPiece& piece : artwork.pieces) {
          if (piece.chart == i) chart.parts.push_back({&artwork, &piece});
        }
      }
      if (!chart.parts.empty()) parts.charts.push_back(std::move(chart));
    }
    if (!parts.charts.empty()) surfaces_.push_back(std::move(parts));
  }
}

void Compositor::TakeLight(int64_t y, const Span& span, Scratch& scratch) const {
  const auto begin = scratch.current.begin() + span.x0, end = scratch.current.begin() + span.x1;
  for (auto from = std::find(begin, end, 0); from != end;) {
    const auto to = std::find(from, end, 1);
    const int64_t x = from - scratch.current.begin(), count = to - from;
    for (int plane = 0; plane < 3; ++plane) {
      std::copy_n(scene_.base.light.row(plane, y) + x, count, scratch.light_row(plane) + x);
    }
    std::fill(from, to, uint8_t{1});
    from = std::find(to, end, 0);
  }
}

void Compositor::InkPart(const PreparedSurface& surface, const PreparedChart& chart,
                         const Part& part, const float* seen, int64_t y, Scratch& scratch) const {
  const RectPx& region = chart.picture.region;
  const Span span = part.piece->rows[static_cast<size_t>(y - region.y0)];
  if (span.empty()) return;
  const int64_t count = span.x1 - span.x0;
  MapPieceRow(surface, *part.piece, y, span, scratch.widening, scratch.footprints);
  const auto average = [&scratch](const Pyramid& print, std::vector<float>(&planes)[4]) {
    AverageEllipses(print, scratch.footprints.row(),
                    {planes[0].data(), planes[1].data(), planes[2].data(), planes[3].data()});
  };
  average(*part.artwork->pyramid, scratch.artwork);
  const bool film_covers = part.artwork->cover != nullptr;
  if (film_covers) average(*part.artwork->cover, scratch.cover);

  const Ink& ink = scene_.solved.scene.placements[part.artwork->placement].ink.value;
  InkRow row;
  row.count = count;
  row.seen = seen + span.x0;
  row.alpha = scratch.artwork[3].data();
  const bool printed = scene_.solved.scene.placements[part.artwork->placement].printed;
  const float* chart_seen = chart.picture.seen.row(0, y - region.y0) + (span.x0 - region.x0);
  TakeLight(y, span, scratch);
  uint8_t* touched = scratch.touched.data() + span.x0;
  for (int64_t i = 0; i < count; ++i) {
    touched[i] |= printed && chart_seen[i] > 0 && row.alpha[i] > 0 ? 1 : 0;
  }
  for (int plane = 0; plane < 3; ++plane) {
    row.light[plane] = scratch.light_row(plane) + span.x0;
    row.filter[plane] = scratch.artwork[plane].data();
    row.cover[plane] = film_covers ? scratch.cover[plane].data() : row.filter[plane];
    if (ink.meeting == Meeting::kKnockOut) {
      row.under[plane] = chart.blank ? scratch.row_of(scratch.before, plane) + span.x0
                                     : scene_.base.light.row(plane, y) + span.x0;
    }
    if (chart.shading) {
      row.irradiance[plane] =
          chart.shading->irradiance.row(plane, y - region.y0) + (span.x0 - region.x0);
    }
    if (chart.gloss) {
      row.gloss[plane] = chart.gloss->mirrored.row(plane, y - region.y0) + (span.x0 - region.x0);
    }
  }
  if (chart.shading && ink.texture > 0) {
    row.texture = chart.shading->fine_texture.row(0, y - region.y0) + (span.x0 - region.x0);
    row.substrate = surface.substrate_luminance;
  }
  if (scene_.grain) {
    for (int plane = 0; plane < 3; ++plane) {
      const auto at = static_cast<size_t>(plane);
      if (scene_.noise) {
        row.noise[plane] = scene_.noise->row(plane, y) + span.x0;
      } else {
        scene_.grain->tile.CopyRow(plane, span.x0, y, count, scratch.noise[at].data());
        row.noise[plane] = scratch.noise[at].data();
      }
      row.noise_variance[plane] = scene_.grain->variance[at].data();
    }
  }
  const Contact& contact = part.piece->contact;
  if (!contact.any()) {
    if (printed) ApplyInk(part.artwork->weights, row);
  } else {
    ContactRow sheet;
    LookUpContact(contact, *part.artwork->pyramid, part.artwork->slopes.get(), scratch.footprints,
                  scratch.contact, sheet);
    KeepLight(row, scratch.contact, sheet);
    if (printed) ApplyInk(part.artwork->weights, row);
    ApplyContact(contact, sheet);
    for (int64_t i = 0; i < count && contact.thick; ++i) {
      touched[i] |= chart_seen[i] > 0 && ShadowAt(sheet, i) > kLeastShadow ? 1 : 0;
    }
  }
  if (part.artwork->finishes == nullptr) return;
  FinishRow finish{&row, {}, {static_cast<double>(span.x0) + 0.5, static_cast<double>(y) + 0.5}};
  for (int plane = 0; plane < 3; ++plane) {
    finish.normals[plane] =
        chart.face_light->normals.row(plane, y - region.y0) + (span.x0 - region.x0);
  }
  ApplyFinishes(*part.artwork->finishes, *chart.face_light, scene_.frame, scene_.solved.camera,
                scratch.footprints, finish, scratch.finish, touched);
}

void Compositor::TakeOwnLight(const PreparedChart& chart, int64_t y, const Span& span,
                              Scratch& scratch) const {
  if (!chart.blank) return;
  const RectPx& region = chart.picture.region;
  const float* const seen = chart.picture.seen.row(0, y - region.y0) - region.x0;
  for (int plane = 0; plane < 3; ++plane) {
    float* const light = scratch.light_row(plane);
    for (int64_t x = span.x0; x < span.x1; ++x) {
      if (seen[x] <= 0 || seen[x] >= Coverage::kWhole) continue;
      light[x] = OwnLight(chart, plane, x - region.x0, y - region.y0);
    }
  }
}

void Compositor::InkSurface(const SurfaceParts& surface, int64_t y, Scratch& scratch) const {
  const auto holds = [y](const ChartParts& parts) {
    const RectPx& region = parts.chart->picture.region;
    return y >= region.y0 && y < region.y1;
  };
  if (surface.charts.size() == 1 && !surface.charts.front().chart->blank) {
    const ChartParts& parts = surface.charts.front();
    if (!holds(parts)) return;
    const RectPx& region = parts.chart->picture.region;
    const float* seen = parts.chart->picture.seen.row(0, y - region.y0) - region.x0;
    for (const Part& part : parts.parts)
      InkPart(*surface.surface, *parts.chart, part, seen, y, scratch);
    return;
  }
  // Charts start from the same light; what each changes is added up.
  const auto inked = [&](const ChartParts& parts) {
    Span all{scene_.base.size.width, 0};
    if (!holds(parts)) return all;
    const auto row = static_cast<size_t>(y - parts.chart->picture.region.y0);
    for (const Part& part : parts.parts) {
      const Span& span = part.piece->rows[row];
      if (!span.empty()) all = {std::min(all.x0, span.x0), std::max(all.x1, span.x1)};
    }
    return all;
  };
  int64_t x0 = scene_.base.size.width, x1 = 0;
  for (const ChartParts& parts : surface.charts) {
    const Span span = inked(parts);
    x0 = std::min(x0, span.x0);
    x1 = std::max(x1, span.x1);
  }
  if (x1 <= x0) return;
  TakeLight(y, {x0, x1}, scratch);
  const auto copy = [&](std::vector<float>& from, std::vector<float>& to, int64_t begin,
                        int64_t end) {
    for (int plane = 0; plane < 3; ++plane) {
      std::copy(scratch.row_of(from, plane) + begin, scratch.row_of(from, plane) + end,
                scratch.row_of(to, plane) + begin);
    }
  };
  copy(scratch.light, scratch.untouched, x0, x1);
  copy(scratch.light, scratch.sum, x0, x1);
  for (const ChartParts& parts : surface.charts) {
    const Span span = inked(parts);
    if (span.empty()) continue;
    TakeOwnLight(*parts.chart, y, span, scratch);
    copy(scratch.light, scratch.before, span.x0, span.x1);
    for (const Part& part : parts.parts) {
      InkPart(*surface.surface, *parts.chart, part, scratch.whole.data(), y, scratch);
    }
    const RectPx& region = parts.chart->picture.region;
    const float* seen = parts.chart->picture.seen.row(0, y - region.y0) - region.x0;
    for (int plane = 0; plane < 3; ++plane) {
      float* const light = scratch.row_of(scratch.light, plane);
      const float* const before = scratch.row_of(scratch.before, plane);
      float* const sum = scratch.row_of(scratch.sum, plane);
      for (int64_t x = span.x0; x < span.x1; ++x) sum[x] += seen[x] * (light[x] - before[x]);
    }
    copy(scratch.untouched, scratch.light, span.x0, span.x1);
  }
  copy(scratch.sum, scratch.light, x0, x1);
}

void Compositor::Gain(int64_t y, Scratch& scratch) const {
  const int64_t width = scene_.base.size.width;
  TakeLight(y, {0, width}, scratch);
  for (int plane = 0; plane < 3; ++plane) {
    const float* const gain = gain_->row(plane, y);
    float* const light = scratch.light_row(plane);
    for (int64_t x = 0; x < width; ++x) {
      light[x] *= gain[x];
      if (gain[x] != 1) scratch.touched[static_cast<size_t>(x)] = 1;
    }
  }
}

void Compositor::CompositeBand(int64_t y0, int64_t y1, uint8_t* codes) const {
  const BasePicture& base = scene_.base;
  Scratch scratch(base.size.width);
  const int64_t pixel_bytes = 3 * (base.depth / 8);
  for (int64_t y = y0; y < y1; ++y) {
    uint8_t* out = codes + (y - y0) * base.row_bytes();
    std::memcpy(out, base.row(y), static_cast<size_t>(base.row_bytes()));
    std::fill(scratch.touched.begin(), scratch.touched.end(), uint8_t{0});
    std::fill(scratch.current.begin(), scratch.current.end(), uint8_t{0});
    for (const SurfaceParts& surface : surfaces_) InkSurface(surface, y, scratch);
    if (gain_ != nullptr) Gain(y, scratch);
    if (guides_ != nullptr) {
      float* const light[3] = {scratch.light_row(0), scratch.light_row(1), scratch.light_row(2)};
      guides_->DrawRow(y, light, scratch.touched.data(), scratch.footprints);
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
      scene_.encode->Convert(scratch.light_row(0) + x, scratch.light_row(1) + x,
                             scratch.light_row(2) + x, count, out + x * pixel_bytes);
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

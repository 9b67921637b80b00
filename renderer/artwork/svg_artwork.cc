#include "artwork/svg_artwork.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "artwork/average.h"
#include "artwork/drawing_process.h"
#include "artwork/place_error.h"
#include "artwork/scan_svg.h"
#include "base/parallel.h"
#include "base/units.h"

namespace wheatpaste {
namespace {

// Drawn pixels in a band. Without a recording every band costs a walk over all paths (50 ns a byte of
// SVG), larger bands cost page faults and cache misses: about balanced at kBandPxPerByte.
constexpr int64_t kRecordedBandPx = int64_t{3} << 18;
constexpr int64_t kLeastBandPx = int64_t{2} << 20;
constexpr int64_t kMostBandPx = int64_t{4} << 20;
constexpr int64_t kBandPxPerByte = 28;
constexpr int64_t kLayerBandPx = int64_t{64} << 20;  // with layers: 256 MiB
constexpr int64_t kPiecePx = int64_t{64} << 10;      // of the raster, for one thread: 1 MiB
constexpr int64_t kMostTilePx = kMaxDrawingSidePx - 1 - 2 * kMaxFactor;  // with what lies beyond
constexpr double kMaxAspect = 10'000;

class SvgArtwork final : public Artwork {
 public:
  SvgArtwork(Bytes bytes, const Placed<std::string>& path, const SvgFacts& facts,
             const std::string& colour_description, const std::string& base_file)
      : bytes_(std::move(bytes)),
        path_(path),
        facts_(facts),
        colour_description_(colour_description),
        base_file_(base_file) {}

  double aspect() const override { return size_.width_px / size_.height_px; }
  bool is_vector() const override { return true; }
  SizePx pixels() const override { return {}; }
  const std::string& colour_description() const override { return colour_description_; }
  Mm width_mm() const override { return {size_.width_px * kMmPerInch / kCssPxPerInch}; }
  Mm height_mm() const override { return {size_.height_px * kMmPerInch / kCssPxPerInch}; }

  std::vector<std::string> notes() const override {
    std::vector<std::string> notes = recolour_notes_;
    if (facts_.has_text) {
      notes.emplace_back(
          "the artwork has live text, drawn with this machine's fonts; turn it to outlines so that "
          "it looks the same everywhere");
    }
    return notes;
  }
  std::set<Srgb8> colours() const override { return colours_; }

  // Exchanges colours; before anything is drawn.
  Status Recolour(const Recolouring& recolouring) {
    const std::string_view text(reinterpret_cast<const char*>(bytes_.data()), bytes_.size());
    auto recoloured = RecolourSvg(text, recolouring, path_);
    if (!recoloured) return recoloured.errors();
    Errors errors;
    for (const auto& [from, to] : recolouring.exact) {
      if (!recolouring.required || recoloured->colours.contains(from)) continue;
      errors.push_back(
          ArtworkError(path_, fmt::format("has no colour {}; its colours: {}", HexOf(from),
                                          ListOfColours(recoloured->colours))));
    }
    if (!errors.empty()) return errors;
    bytes_ = std::move(recoloured->svg);
    colours_ = std::move(recoloured->colours);
    recolour_notes_ = std::move(recoloured->notes);
    return Done{};
  }

  Status RasteriseRows(SizePx size, const RectPx& part, const TakeRows& take) const override {
    return Draw(size, part, PlanFor(size), take);
  }

  Status ReadSize() {
    auto process = DrawingProcess::Start(source(), 0, path_);
    if (!process) return process.errors();
    auto size = process->AwaitSize();
    if (!size) return size.errors();
    size_ = *size;
    const double ratio = size_.width_px / size_.height_px;
    if (!(size_.width_px > 0) || !(size_.height_px > 0) || !std::isfinite(ratio)) {
      return ArtworkError(path_, "has no size: expected width and height above 0, or a viewBox");
    }
    if (ratio > kMaxAspect || ratio < 1 / kMaxAspect) {
      return ArtworkError(path_, fmt::format("is {:.6g} times as wide as high, expected at most {} "
                                             "to 1 either way",
                                             ratio, kMaxAspect));
    }
    return Done{};
  }

  Status Draw(SizePx size, const RectPx& part, const DrawingPlan& plan,
              const TakeRows& take) const {
    const SizePx whole{size.width * plan.factor, size.height * plan.factor};
    const int64_t longest = facts_.has_layers ? kMaxDrawingSidePx : kMaxWholeDrawingPx;
    if (size.width < 1 || size.height < 1 || std::max(whole.width, whole.height) > longest) {
      return ArtworkError(path_,
                          fmt::format("cannot be drawn at {} x {} px, expected 1 to {} px a side",
                                      size.width, size.height, longest / plan.factor));
    }
    if (std::max(part.width(), part.height()) > kMaxDrawingSidePx) {
      return ArtworkError(
          path_, fmt::format("cannot be drawn at {} x {} px at once, expected at most {} px a side",
                             part.width(), part.height(), kMaxDrawingSidePx));
    }
    WHEATPASTE_CHECK(!part.empty() && Intersect(part, WholeOf(size)) == part);
    const int64_t tiles = (size.width * plan.factor + kMostTilePx - 1) / kMostTilePx;
    const Grid grid{whole, (size.width + tiles - 1) / tiles, plan.band_rows};
    const int64_t first_band = part.y0 / plan.band_rows;
    const int64_t end_band = (part.y1 + plan.band_rows - 1) / plan.band_rows;
    const int64_t lanes = std::min<int64_t>(ThreadCount(), end_band - first_band);
    const auto bytes =
        static_cast<size_t>((grid.tile_columns * plan.factor + 2) *
                            (std::min(size.height, grid.band_rows) * plan.factor + 2) * 4);
    std::vector<DrawingProcess> processes;
    for (int64_t lane = 0; lane < lanes; ++lane) {
      auto process = DrawingProcess::Start(source(), bytes, path_);
      if (!process) return process.errors();
      processes.push_back(std::move(*process));
    }
    const double deadline = MonotonicSeconds() + drawing_limits().draw_seconds;
    std::atomic<int64_t> next{first_band};
    std::mutex failure_mutex;
    Errors failure;
    ParallelFor(lanes, [&](int64_t lane) {
      DrawingProcess& process = processes[static_cast<size_t>(lane)];
      Status drawn = ReadAgain(process);
      for (int64_t band = next++; drawn.ok() && band < end_band; band = next++) {
        drawn = DrawBand(process, grid, band, part, plan, deadline, take);
      }
      if (drawn.ok()) return;
      next = end_band;
      const std::lock_guard lock(failure_mutex);
      if (failure.empty()) failure = drawn.errors();
    });
    if (!failure.empty()) return failure;
    return Done{};
  }

 private:
  static Status ReadAgain(DrawingProcess& process) {
    if (auto read = process.AwaitSize(); !read) return read.errors();
    return Done{};
  }

  // Tiles in which the drawing is always cut, so that bits do not depend on the part: cairo cuts shapes at
  // a surface's sides and rounds where it does.
  struct Grid {
    SizePx whole;
    int64_t tile_columns, band_rows;  // of the raster
  };

  // Takes what the part has of a band, from one drawing or from several side by side.
  Status DrawBand(DrawingProcess& process, const Grid& grid, int64_t band, const RectPx& part,
                  const DrawingPlan& plan, double deadline, const TakeRows& take) const {
    const RectPx raster =
        WholeOf({grid.whole.width / plan.factor, grid.whole.height / plan.factor});
    const auto tile_at = [&](int64_t x) {
      return Intersect(
          raster, {x, band * grid.band_rows, x + grid.tile_columns, (band + 1) * grid.band_rows});
    };
    const int64_t first_x = part.x0 / grid.tile_columns * grid.tile_columns;
    const RectPx wanted = Intersect(part, {part.x0, tile_at(0).y0, part.x1, tile_at(0).y1});
    const bool at_once = first_x + grid.tile_columns >= part.x1;
    Image<LinearPremul> joined(at_once ? SizePx{} : SizePx{wanted.width(), wanted.height()});
    for (int64_t x = first_x; x < part.x1; x += grid.tile_columns) {
      const PartRequest request{grid.whole, DrawnFor(tile_at(x), plan.factor, grid.whole),
                                plan.recorded && may_record()};
      if (auto drawn = process.Draw(request, deadline); !drawn) return drawn;
      const DrawnPart pixels{process.pixels(), grid.whole, request.part};
      const RectPx here = Intersect(wanted, tile_at(x));
      const int64_t piece_rows = std::max<int64_t>(1, kPiecePx / here.width());
      ParallelRows(here.height(), piece_rows, [&](int64_t from, int64_t to) {
        const RectPx piece{here.x0, here.y0 + from, here.x1, here.y0 + to};
        if (!at_once) {
          const RectPx place{here.x0 - part.x0, from, here.x1 - part.x0, to};
          AverageDrawn(pixels, plan.factor, plan.edges, piece, joined.mutable_view().Part(place));
          return;
        }
        Image<LinearPremul> rows({piece.width(), piece.height()});
        AverageDrawn(pixels, plan.factor, plan.edges, piece, rows.mutable_view());
        take(piece.y0, std::move(rows));
      });
    }
    if (!at_once) take(wanted.y0, std::move(joined));
    return Done{};
  }

  static int64_t RowsOf(int64_t rows, int factor) {
    return std::clamp<int64_t>(rows, 1, kMostTilePx / factor);
  }

  DrawingPlan PlanFor(SizePx size) const {
    DrawingPlan plan;
    const double area = static_cast<double>(size.width) * static_cast<double>(size.height);
    plan.factor = area <= 1e6 ? 4 : area <= 16e6 ? 3 : 2;
    plan.edges = !facts_.has_pictures;
    if (facts_.has_layers) {
      const int64_t side = std::max(size.width, size.height);
      while (plan.factor > 1 && side * plan.factor > kMaxDrawingSidePx) --plan.factor;
    }
    const int64_t drawn_px_a_row =
        plan.factor * plan.factor * std::clamp<int64_t>(size.width, 1, kMaxDrawingSidePx);
    if (facts_.has_layers) {
      plan.band_rows = RowsOf(kLayerBandPx / drawn_px_a_row, plan.factor);
      return plan;
    }
    const int64_t band_px = may_record()
                                ? kRecordedBandPx
                                : std::clamp(static_cast<int64_t>(bytes_.size()) * kBandPxPerByte,
                                             kLeastBandPx, kMostBandPx);
    plan.band_rows = RowsOf(band_px / drawn_px_a_row, plan.factor);
    return plan;
  }

  bool may_record() const {
    return !facts_.has_layers && !facts_.has_pictures && !facts_.has_text && !facts_.has_patterns;
  }
  SvgSource source() const {
    // Without entities there is nothing to blow up, so large embedded bitmaps may pass.
    return {bytes_, base_file_, !facts_.has_entities};
  }

  Bytes bytes_;
  Placed<std::string> path_;
  SvgFacts facts_;
  std::string colour_description_;
  std::string base_file_;
  std::set<Srgb8> colours_;
  std::vector<std::string> recolour_notes_;
  SvgSize size_;
};

}  // namespace

Result<std::shared_ptr<const Artwork>> MakeSvgArtwork(Bytes bytes, const Placed<std::string>& path,
                                                      const std::string& colour_description,
                                                      const std::string& base_file,
                                                      const Recolouring& recolouring) {
  const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
  auto facts = ScanSvg(text, base_file, path);
  if (!facts) return facts.errors();
  auto art =
      std::make_shared<SvgArtwork>(std::move(bytes), path, *facts, colour_description, base_file);
  if (!recolouring.empty()) {
    if (auto recoloured = art->Recolour(recolouring); !recoloured) return recoloured.errors();
  }
  if (auto read = art->ReadSize(); !read) return read.errors();
  return std::shared_ptr<const Artwork>(std::move(art));
}

Result<Image<LinearPremul>> RasteriseSvg(const Artwork& art, SizePx size, const DrawingPlan& plan) {
  Image<LinearPremul> raster(size);
  const auto copy = [&raster](int64_t y0, Image<LinearPremul> rows) {
    raster.Put(y0, rows.view());
  };
  auto drawn = dynamic_cast<const SvgArtwork&>(art).Draw(size, WholeOf(size), plan, copy);
  if (!drawn) return drawn.errors();
  return raster;
}

}  // namespace wheatpaste

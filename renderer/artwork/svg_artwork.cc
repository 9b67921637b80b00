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

// Drawn pixels in a band. Every band costs a walk over all paths (50 ns a byte of SVG), larger
// bands cost page faults and cache misses: about balanced at kBandPxPerByte.
constexpr int64_t kLeastBandPx = int64_t{2} << 20;
constexpr int64_t kMostBandPx = int64_t{4} << 20;
constexpr int64_t kBandPxPerByte = 28;
constexpr int64_t kLayerBandPx = int64_t{64} << 20;  // with layers: 256 MiB
constexpr int64_t kAveragedRows = 64;                // of a band, for one thread
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

  Result<Image<LinearPremul>> Rasterise(SizePx size) const override {
    return RasteriseWith(size, PlanFor(size));
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

  Result<Image<LinearPremul>> RasteriseWith(SizePx size, const DrawingPlan& plan) const {
    const SizePx whole{size.width * plan.factor, size.height * plan.factor};
    if (size.width < 1 || size.height < 1 ||
        std::max(whole.width, whole.height) > kMaxDrawingSidePx) {
      return ArtworkError(path_,
                          fmt::format("cannot be drawn at {} x {} px, expected 1 to {} px a side",
                                      size.width, size.height, kMaxDrawingSidePx));
    }
    const int64_t bands = (size.height + plan.band_rows - 1) / plan.band_rows;
    const int64_t lanes = std::min<int64_t>(ThreadCount(), bands);
    const int64_t drawn_rows = std::min(whole.height, plan.band_rows * plan.factor + 2);
    std::vector<DrawingProcess> processes;
    for (int64_t lane = 0; lane < lanes; ++lane) {
      auto process =
          DrawingProcess::Start(source(), static_cast<size_t>(drawn_rows * whole.width) * 4, path_);
      if (!process) return process.errors();
      processes.push_back(std::move(*process));
    }
    Image<LinearPremul> raster(size);
    const auto view = raster.mutable_view();
    const double deadline = MonotonicSeconds() + drawing_limits().draw_seconds;
    std::atomic<int64_t> next{0};
    std::mutex failure_mutex;
    Errors failure;
    ParallelFor(lanes, [&](int64_t lane) {
      const auto fail = [&](Errors errors) {
        const std::lock_guard lock(failure_mutex);
        if (failure.empty()) failure = std::move(errors);
        next = bands;
      };
      DrawingProcess& process = processes[static_cast<size_t>(lane)];
      if (auto read = process.AwaitSize(); !read) return fail(read.errors());
      for (int64_t band = next++; band < bands; band = next++) {
        const int64_t y0 = band * plan.band_rows;
        const int64_t y1 = std::min(size.height, y0 + plan.band_rows);
        // One row beyond on either side, for the edge model.
        const BandRequest request{whole, std::max<int64_t>(0, y0 * plan.factor - 1),
                                  std::min(whole.height, y1 * plan.factor + 1)};
        if (auto drawn = process.Draw(request, deadline); !drawn) return fail(drawn.errors());
        const DrawnBand pixels{process.pixels(), whole, request.y0, request.y1};
        ParallelRows(y1 - y0, kAveragedRows, [&](int64_t from, int64_t to) {
          AverageBand(pixels, plan.factor, plan.edges, y0 + from, y0 + to, view);
        });
      }
    });
    if (!failure.empty()) return failure;
    return raster;
  }

 private:
  DrawingPlan PlanFor(SizePx size) const {
    DrawingPlan plan;
    const double area = static_cast<double>(size.width) * static_cast<double>(size.height);
    plan.factor = area <= 1e6 ? 4 : area <= 16e6 ? 3 : 2;
    const int64_t side = std::max(size.width, size.height);
    while (plan.factor > 1 && side * plan.factor > kMaxDrawingSidePx) --plan.factor;
    plan.edges = !facts_.has_pictures;
    const int64_t drawn_px_a_row =
        plan.factor * plan.factor * std::clamp<int64_t>(size.width, 1, kMaxDrawingSidePx);
    if (facts_.has_layers) {
      plan.band_rows = std::max<int64_t>(1, kLayerBandPx / drawn_px_a_row);
      return plan;
    }
    const int64_t band_px =
        std::clamp(static_cast<int64_t>(bytes_.size()) * kBandPxPerByte, kLeastBandPx, kMostBandPx);
    // As many bands for every thread.
    const int64_t threads = ThreadCount();
    const int64_t turn_rows = threads * std::max<int64_t>(1, band_px / drawn_px_a_row);
    const int64_t bands = threads * std::max<int64_t>(1, (size.height + turn_rows - 1) / turn_rows);
    plan.band_rows = std::max<int64_t>(1, (size.height + bands - 1) / bands);
    return plan;
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
  return dynamic_cast<const SvgArtwork&>(art).RasteriseWith(size, plan);
}

}  // namespace wheatpaste

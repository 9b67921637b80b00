#include "composite/large_picture.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

namespace wheatpaste {
namespace {

// The kernel's reach and a little more: the photo's px around the window that its edge px are made from.
constexpr int64_t kMarginPx = 3;
// Of each band, whole patches of light/grain.h; and of all of them.
constexpr int64_t kSampleRows = 64, kMostSamplePx = int64_t{4} << 20;
constexpr double kPixelVariance = 1.0 / 12;

// Photo px that the window shows, whole ones.
RectPx WindowPx(const Frame& frame) {
  const SourceWindow& w = frame.window;
  const auto floor = [](double v) { return static_cast<int64_t>(std::floor(v)); };
  const auto ceil = [](double v) { return static_cast<int64_t>(std::ceil(v)); };
  const RectPx shown =
      Intersect({floor(w.x0), floor(w.y0), ceil(w.x0 + w.width), ceil(w.y0 + w.height)},
                WholeOf(frame.photo));
  WHEATPASTE_CHECK(!shown.empty());
  return shown;
}

SourceWindow WindowOf(const RectPx& rect) {
  return {static_cast<double>(rect.x0), static_cast<double>(rect.y0),
          static_cast<double>(rect.width()), static_cast<double>(rect.height())};
}

}  // namespace

bool IsLarge(const Frame& frame, const SizeLimits& limits) {
  return frame.size.area() > limits.most_whole_px ||
         (frame.scale() > 1 && frame.size.area() > limits.most_enlarged_px);
}

Frame AnalysedFrame(const Frame& frame, const SizeLimits& limits) {
  const RectPx shown = Intersect(Grow(WindowPx(frame), kMarginPx), WholeOf(frame.photo));
  Frame analysed{frame.photo, {shown.width(), shown.height()}, WindowOf(shown)};
  const double fits = std::sqrt(static_cast<double>(limits.most_analysed_px) /
                                static_cast<double>(analysed.size.area()));
  const double scale = std::min(frame.scale(), fits);
  if (scale >= 1) return analysed;
  const auto width = static_cast<double>(shown.width());
  analysed.size.width = std::max<int64_t>(1, static_cast<int64_t>(width * scale));
  const double step = width / static_cast<double>(analysed.size.width);
  analysed.size.height =
      static_cast<int64_t>(std::ceil(static_cast<double>(shown.height()) / step));
  analysed.window.height = step * static_cast<double>(analysed.size.height);
  return analysed;
}

Frame PartOf(const Frame& frame, const RectPx& part) {
  const double step = frame.window.width / static_cast<double>(frame.size.width);
  return {frame.photo,
          {part.width(), part.height()},
          {frame.window.x0 + step * static_cast<double>(part.x0),
           frame.window.y0 + step * static_cast<double>(part.y0),
           step * static_cast<double>(part.width()), step * static_cast<double>(part.height())}};
}

template <typename Colour>
Image<Colour> LookUp(const Image<Colour>& field, const RectPx& region, const Frame& from,
                     const Frame& to, const RectPx& wanted) {
  const Frame part = PartOf(to, wanted);
  const double scale = from.scale();
  const SourceWindow window{
      (part.window.x0 - from.window.x0) * scale - static_cast<double>(region.x0),
      (part.window.y0 - from.window.y0) * scale - static_cast<double>(region.y0),
      part.window.width * scale, part.window.height * scale};
  return Resample(field.view(), window, part.size, kPhotoKernel);
}

template Image<SceneLinear> LookUp(const Image<SceneLinear>&, const RectPx&, const Frame&,
                                   const Frame&, const RectPx&);
template Image<Coverage> LookUp(const Image<Coverage>&, const RectPx&, const Frame&, const Frame&,
                                const RectPx&);

Focus FocusIn(const Focus& analysed, const Frame& from, const Frame& to) {
  const double own = std::min(1.0, to.scale()) / from.scale();
  const double enlarged = std::max(1.0, to.scale()), all = to.scale() / from.scale();
  const auto sigma = [&](double px) {
    const double beyond = std::max(0.0, px * px - kPixelVariance);
    // Where nothing changes, nothing is rounded.
    return own == 1 ? px * enlarged : std::sqrt(own * own * beyond + kPixelVariance) * enlarged;
  };
  Focus focus = analysed;
  focus.sigma_px = sigma(analysed.sigma_px);
  focus.least_px = sigma(analysed.least_px);
  focus.most_px = sigma(analysed.most_px);
  focus.spread_px *= all;
  // Slopes are px per px.
  focus.x = ((analysed.x / from.scale() + from.window.x0) - to.window.x0) * to.scale();
  focus.y = ((analysed.y / from.scale() + from.window.y0) - to.window.y0) * to.scale();
  return focus;
}

Image<SceneLinear> SampleForGrain(const BasePicture& photo, const Frame& frame) {
  Frame at = frame;
  if (frame.scale() > 1) {
    const RectPx shown = WindowPx(frame);
    at = {frame.photo, {shown.width(), shown.height()}, WindowOf(shown)};
  }
  const int64_t bands = (at.size.height + kSampleRows - 1) / kSampleRows;
  const int64_t most = std::clamp<int64_t>(kMostSamplePx / (kSampleRows * at.size.width), 1, bands);
  std::vector<RectPx> parts;
  int64_t height = 0;
  for (int64_t i = 0; i < most; ++i) {
    const int64_t y0 = (2 * i + 1) * bands / (2 * most) * kSampleRows;
    parts.push_back({0, y0, at.size.width, std::min(y0 + kSampleRows, at.size.height)});
    height += parts.back().height();
  }
  Image<SceneLinear> sample({at.size.width, height});
  int64_t to = 0;
  for (const RectPx& part : parts) {
    sample.Put(to, LightIn(photo, PartOf(at, part)).view());
    to += part.height();
  }
  return sample;
}

void TakeOver(const BasePicture& base, const Frame& analysed, const RectPx& region,
              const Image<Coverage>& changed, BasePicture& photo) {
  const Frame whole{photo.size, photo.size, WindowOf(WholeOf(photo.size))};
  const RectPx taken = WindowPx(PartOf(analysed, region));
  Image<SceneLinear> bare({region.width(), region.height()});
  bare.Put(0, base.light.view().Part(region));
  for (int64_t y0 = taken.y0; y0 < taken.y1; y0 += kSampleRows) {
    const RectPx band{taken.x0, y0, taken.x1, std::min(taken.y1, y0 + kSampleRows)};
    const Image<SceneLinear> made = LookUp(bare, region, analysed, whole, band);
    const Image<Coverage> share = LookUp(changed, region, analysed, whole, band);
    Image<SceneLinear> light = LightOf(photo, band);
    for (int plane = 0; plane < 3; ++plane) {
      for (int64_t y = 0; y < band.height(); ++y) {
        const float* const from = made.row(plane, y);
        const float* const by = share.row(0, y);
        float* const to = light.row(plane, y);
        for (int64_t x = 0; x < band.width(); ++x) {
          to[x] += std::clamp(by[x], 0.0f, 1.0f) * (from[x] - to[x]);
        }
      }
    }
    WriteLight(light, share, band, photo);
  }
}

Image<SceneLinear> NoiseOf(const GrainTile& tile, const Frame& frame, const RectPx& part) {
  const auto laid_out = [&tile](const RectPx& rect) {
    Image<SceneLinear> noise({rect.width(), rect.height()});
    for (int plane = 0; plane < 3; ++plane) {
      for (int64_t y = 0; y < rect.height(); ++y) {
        tile.CopyRow(plane, rect.x0, rect.y0 + y, rect.width(), noise.row(plane, y));
      }
    }
    return noise;
  };
  if (frame.scale() <= 1) return laid_out(part);
  const Frame at = PartOf(frame, part);
  const SourceWindow& w = at.window;
  const auto columns = MakeTaps(frame.photo.width, w.x0, w.width, at.size.width, kPhotoKernel);
  const auto rows = MakeTaps(frame.photo.height, w.y0, w.height, at.size.height, kPhotoKernel);
  const RectPx needed = PixelsOf(columns, rows);
  return Resample(laid_out(needed).view(), needed.x0, needed.y0, std::span<const TapRow>(columns),
                  std::span<const TapRow>(rows));
}

}  // namespace wheatpaste

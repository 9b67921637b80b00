#include "surface/frame.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

// Photo px that a whole count of output px may fall short by, for rounding.
constexpr double kNearlyWhole = 1e-6;

struct SizeF {
  double width = 0, height = 0;
};

SizeF Real(SizePx size) {
  return {static_cast<double>(size.width), static_cast<double>(size.height)};
}

// The largest centred part of `part` that has the shape of `size`.
SourceWindow LargestWithin(const SourceWindow& part, SizePx size) {
  const SizeF out = Real(size);
  // Photo px per output px: the side that would run out first decides.
  const double step = std::min(part.width / out.width, part.height / out.height);
  SourceWindow window{0, 0, step * out.width, step * out.height};
  window.x0 = part.x0 + (part.width - window.width) / 2;
  window.y0 = part.y0 + (part.height - window.height) / 2;
  return window;
}

// Share of `part` that `window` shows.
double ShareWithin(const SourceWindow& part, const SourceWindow& window) {
  const auto common = [](double a, double a_length, double b, double b_length) {
    return std::max(0.0, std::min(a + a_length, b + b_length) - std::max(a, b));
  };
  return common(part.x0, part.width, window.x0, window.width) *
         common(part.y0, part.height, window.y0, window.height) / (part.width * part.height);
}

FrameOnSheet Cover(const SheetSize& sheet, SizePx photo,
                   const std::optional<SourceWindow>& must_see) {
  FrameOnSheet framed{sheet.with_bleed, LargestWithin(WholeWindow(photo), sheet.with_bleed),
                      WholeOf(sheet.with_bleed)};
  if (!must_see) return framed;
  const SizeF whole = Real(photo), all = Real(sheet.with_bleed), cut = Real(sheet.trimmed);
  const RectPx trim = TrimWithin(sheet);
  const double step =
      std::min(framed.window.width / all.width,
               std::max(must_see->width / cut.width, must_see->height / cut.height));
  const auto start = [step](double part, double length, int64_t trim_start, double trim_length,
                            double photo_length, double all_length) {
    const double middle = static_cast<double>(trim_start) + trim_length / 2;
    const double centred = part + length / 2 - middle * step;
    return std::clamp(centred, 0.0, std::max(0.0, photo_length - all_length * step));
  };
  framed.window = {
      start(must_see->x0, must_see->width, trim.x0, cut.width, whole.width, all.width),
      start(must_see->y0, must_see->height, trim.y0, cut.height, whole.height, all.height),
      step * all.width, step * all.height};
  framed.seen = ShareWithin(*must_see, {framed.window.x0 + static_cast<double>(trim.x0) * step,
                                        framed.window.y0 + static_cast<double>(trim.y0) * step,
                                        cut.width * step, cut.height * step});
  return framed;
}

FrameOnSheet Contain(const SheetSize& sheet, SizePx photo, const SourceWindow& part) {
  const SizeF cut = Real(sheet.trimmed), whole = Real(photo);
  const RectPx trim = TrimWithin(sheet);
  const double scale = std::min(cut.width / part.width, cut.height / part.height);
  const auto side = [scale](double length, int64_t most) {
    return std::clamp<int64_t>(std::llround(length * scale), 1, most);
  };
  FrameOnSheet framed;
  framed.size = {side(part.width, sheet.trimmed.width), side(part.height, sheet.trimmed.height)};
  framed.window = LargestWithin(part, framed.size);
  const double step = framed.window.width / static_cast<double>(framed.size.width);
  RectPx& picture = framed.picture;
  picture.x0 = trim.x0 + (sheet.trimmed.width - framed.size.width) / 2;
  picture.y0 = trim.y0 + (sheet.trimmed.height - framed.size.height) / 2;
  picture.x1 = picture.x0 + framed.size.width;
  picture.y1 = picture.y0 + framed.size.height;
  // Output px that the picture grows by beyond the trim's edge, where it touches that.
  const auto beyond = [&](bool touches, int64_t bleed, double photo_px) {
    if (!touches) return int64_t{0};
    const auto held =
        static_cast<int64_t>(std::floor(std::max(0.0, photo_px) / step + kNearlyWhole));
    framed.bleed_ends |= held < bleed;
    return std::min(held, bleed);
  };
  const SourceWindow inner = framed.window;
  const int64_t left = beyond(picture.x0 == trim.x0, trim.x0, inner.x0);
  const int64_t top = beyond(picture.y0 == trim.y0, trim.y0, inner.y0);
  const int64_t right = beyond(picture.x1 == trim.x1, sheet.with_bleed.width - trim.x1,
                               whole.width - inner.x0 - inner.width);
  const int64_t bottom = beyond(picture.y1 == trim.y1, sheet.with_bleed.height - trim.y1,
                                whole.height - inner.y0 - inner.height);
  picture = {picture.x0 - left, picture.y0 - top, picture.x1 + right, picture.y1 + bottom};
  framed.size = {picture.width(), picture.height()};
  framed.window = {inner.x0 - static_cast<double>(left) * step,
                   inner.y0 - static_cast<double>(top) * step,
                   inner.width + static_cast<double>(left + right) * step,
                   inner.height + static_cast<double>(top + bottom) * step};
  return framed;
}

}  // namespace

Map<OutputPx, PhotoPx> Frame::output_from_photo() const {
  const double s = scale();
  Eigen::Matrix3d map;
  map << s, 0, -s * window.x0, 0, s, -s * window.y0, 0, 0, 1;
  return Map<OutputPx, PhotoPx>(map);
}

Frame FramePhoto(SizePx photo, SizePx size) {
  return {photo, size, LargestWithin(WholeWindow(photo), size)};
}

Frame FramePhoto(SizePx photo, const PictureWish& wish) {
  Frame frame = FramePhoto(photo, wish.size.value_or(photo));
  if (wish.window) frame.window = *wish.window;
  return frame;
}

Frame FrameSmall(SizePx photo) {
  const auto largest = static_cast<double>(std::max(photo.width, photo.height));
  const double scale = std::min(1.0, static_cast<double>(kProbeSidePx) / largest);
  const auto side = [scale](int64_t px) {
    return std::max<int64_t>(1, std::llround(static_cast<double>(px) * scale));
  };
  return FramePhoto(photo, SizePx{side(photo.width), side(photo.height)});
}

RectPx TrimWithin(const SheetSize& sheet) {
  const int64_t x0 = (sheet.with_bleed.width - sheet.trimmed.width) / 2;
  const int64_t y0 = (sheet.with_bleed.height - sheet.trimmed.height) / 2;
  return {x0, y0, x0 + sheet.trimmed.width, y0 + sheet.trimmed.height};
}

FrameOnSheet FrameOnto(const SheetSize& sheet, PictureFit fit, SizePx photo,
                       const std::optional<SourceWindow>& must_see) {
  if (fit == PictureFit::kCover) return Cover(sheet, photo, must_see);
  return Contain(sheet, photo, must_see.value_or(WholeWindow(photo)));
}

}  // namespace wheatpaste

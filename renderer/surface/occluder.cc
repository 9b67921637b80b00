#include "surface/occluder.h"

#include <utility>

#include <fmt/format.h>

#include "image/polygon_coverage.h"
#include "image/read_bitmap.h"
#include "surface/outline_region.h"

namespace wheatpaste {
namespace {

void MultiplyBy(Image<Coverage>& seen, const Image<Coverage>& other, bool inverted) {
  for (int64_t y = 0; y < seen.height(); ++y) {
    float* to = seen.row(0, y);
    const float* by = other.row(0, y);
    for (int64_t x = 0; x < seen.width(); ++x) to[x] *= inverted ? 1 - by[x] : by[x];
  }
}

// The matte as a share of cover, at photo size: its codes are coverage itself, not light.
Result<Image<Coverage>> ReadMatte(const Placed<std::string>& path, SizePx photo) {
  auto bitmap = ReadBitmap(path);
  if (!bitmap) return bitmap.errors();
  const std::string subject = fmt::format("{} = \"{}\"", path.key, PrintableText(path.value));
  if (bitmap->size != photo) {
    return Error{path.place, subject,
                 fmt::format("is {} x {} px, expected the photo's own size, {} x {}",
                             bitmap->size.width, bitmap->size.height, photo.width, photo.height)};
  }
  if (bitmap->model != ColourModel::kGray && bitmap->model != ColourModel::kRgb) {
    return Error{path.place, subject,
                 "expected a gray or RGB picture, white where the surface is seen"};
  }
  Image<Coverage> matte(photo);
  const int channels = bitmap->channels(), colours = ChannelCount(bitmap->model);
  const float top = bitmap->depth == 8 ? 255.0f : 65535.0f;
  for (int64_t y = 0; y < photo.height; ++y) {
    float* out = matte.row(0, y);
    const uint8_t* row8 = bitmap->row(y);
    const auto* row16 = reinterpret_cast<const uint16_t*>(row8);
    for (int64_t x = 0; x < photo.width; ++x) {
      float sum = 0;
      for (int c = 0; c < colours; ++c) {
        const int64_t at = x * channels + c;
        sum += bitmap->depth == 8 ? static_cast<float>(row8[at]) : static_cast<float>(row16[at]);
      }
      out[x] = sum / (top * static_cast<float>(colours));
    }
  }
  return matte;
}

}  // namespace

Result<Occluder> Occluder::Read(const Occlusion& occlusion, SizePx photo) {
  Occluder occluder(occlusion);
  if (occlusion.matte) {
    auto matte = ReadMatte(*occlusion.matte, photo);
    if (!matte) {
      Errors errors = matte.errors();
      if (occlusion.strokes) {
        errors.front().message += "; `wheatpaste matte SCENE` grows it from the strokes";
      }
      return errors;
    }
    occluder.matte_ = std::move(*matte);
  }
  return occluder;
}

void Occluder::Hide(const Frame& frame, ChartPicture& picture) const {
  const RectPx& region = picture.region;
  if (region.empty()) return;
  for (const Polygon& polygon : occlusion_->in_front) {
    MultiplyBy(picture.seen, PolygonCoverage(ToOutput(frame, polygon), region), true);
  }
  if (matte_) {
    const double step = 1 / frame.scale();
    const SourceWindow window{frame.window.x0 + static_cast<double>(region.x0) * step,
                              frame.window.y0 + static_cast<double>(region.y0) * step,
                              static_cast<double>(region.width()) * step,
                              static_cast<double>(region.height()) * step};
    // A triangle never leaves [0, 1].
    MultiplyBy(picture.seen,
               Resample(matte_->view(), window, picture.seen.size(), Kernel::kTriangle), false);
  }
}

}  // namespace wheatpaste

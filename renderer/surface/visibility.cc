#include "surface/visibility.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "image/polygon_coverage.h"
#include "image/read_bitmap.h"

namespace wheatpaste {
namespace {

std::vector<Eigen::Vector2d> ToOutput(const Map<OutputPx, PhotoPx>& output_from_photo,
                                      std::span<const PhotoPx> outline) {
  std::vector<Eigen::Vector2d> points;
  points.reserve(outline.size());
  for (const PhotoPx& p : outline) points.push_back(output_from_photo(p).vector());
  return points;
}

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

Result<Visibility> FindVisibility(const Surface& surface, const FittedPlane& plane,
                                  const Frame& frame) {
  const Map<OutputPx, PhotoPx> output_from_photo = frame.output_from_photo();
  const auto outline = ToOutput(output_from_photo, plane.outline);
  double x0 = outline[0].x(), x1 = x0, y0 = outline[0].y(), y1 = y0;
  for (const auto& p : outline) {
    x0 = std::min(x0, p.x());
    x1 = std::max(x1, p.x());
    y0 = std::min(y0, p.y());
    y1 = std::max(y1, p.y());
  }
  // Outlines may run far off the picture; whole numbers stay whole.
  const auto whole = [](double v) {
    constexpr double kFar = 1e8;
    return static_cast<int64_t>(std::clamp(v, -kFar, kFar));
  };
  Visibility visibility;
  const RectPx bounds{whole(std::floor(x0)), whole(std::floor(y0)), whole(std::ceil(x1)),
                      whole(std::ceil(y1))};
  visibility.region = Intersect(bounds, WholeOf(frame.size));
  if (visibility.region.empty()) {
    visibility.region = {};
    return visibility;
  }
  visibility.seen = PolygonCoverage(outline, visibility.region);
  for (const Polygon& polygon : surface.in_front) {
    MultiplyBy(visibility.seen,
               PolygonCoverage(ToOutput(output_from_photo, polygon), visibility.region), true);
  }
  if (surface.matte) {
    auto matte = ReadMatte(*surface.matte, frame.photo);
    if (!matte) return matte.errors();
    const double step = 1 / frame.scale();
    const SourceWindow window{frame.window.x0 + static_cast<double>(visibility.region.x0) * step,
                              frame.window.y0 + static_cast<double>(visibility.region.y0) * step,
                              static_cast<double>(visibility.region.width()) * step,
                              static_cast<double>(visibility.region.height()) * step};
    // A triangle never leaves [0, 1].
    const Image<Coverage> seen =
        Resample(matte->view(), window, visibility.seen.size(), Kernel::kTriangle);
    MultiplyBy(visibility.seen, seen, false);
  }
  return visibility;
}

}  // namespace wheatpaste

#include "light/height_picture.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "image/read_bitmap.h"
#include "light/flat_light.h"

namespace wheatpaste {
namespace {

// The mean of a plane over a box of `wide` x `tall` px about (x, y), in px; bilinear where the box is a pixel or less.
double BoxMean(const std::vector<float>& plane, int64_t width, int64_t height, double x, double y,
               double wide, double tall) {
  const auto ends = [](double at, double length, int64_t count, int64_t& from, int64_t& to) {
    from = std::clamp<int64_t>(static_cast<int64_t>(std::lround(at - length / 2)), 0, count - 1);
    to = std::clamp<int64_t>(static_cast<int64_t>(std::lround(at + length / 2)), from + 1, count);
  };
  if (wide <= 1 && tall <= 1) {
    const double px = std::clamp(x - 0.5, 0.0, static_cast<double>(width - 1));
    const double py = std::clamp(y - 0.5, 0.0, static_cast<double>(height - 1));
    const auto i = static_cast<int64_t>(px), j = static_cast<int64_t>(py);
    const int64_t i1 = std::min(i + 1, width - 1), j1 = std::min(j + 1, height - 1);
    const auto at = [&](int64_t a, int64_t b) {
      return double{plane[static_cast<size_t>(b * width + a)]};
    };
    const double fx = px - static_cast<double>(i), fy = py - static_cast<double>(j);
    return (1 - fy) * ((1 - fx) * at(i, j) + fx * at(i1, j)) +
           fy * ((1 - fx) * at(i, j1) + fx * at(i1, j1));
  }
  int64_t x0, x1, y0, y1;
  ends(x, wide, width, x0, x1);
  ends(y, tall, height, y0, y1);
  double sum = 0;
  for (int64_t j = y0; j < y1; ++j) {
    for (int64_t i = x0; i < x1; ++i) sum += double{plane[static_cast<size_t>(j * width + i)]};
  }
  return sum / static_cast<double>((x1 - x0) * (y1 - y0));
}

}  // namespace

Result<HeightPicture> ReadHeightPicture(const ReliefMarks& marks) {
  auto bitmap = ReadBitmap(marks.file);
  if (!bitmap) return bitmap.errors();
  const bool normals = marks.kind == ReliefKind::kNormals;
  const auto refuse = [&](const std::string& message) {
    return Error{marks.file.place,
                 fmt::format("{} = \"{}\"", marks.file.key, PrintableText(marks.file.value)),
                 message};
  };
  if (bitmap->size.area() > kMostReliefPx) {
    return refuse(fmt::format("is {} x {} px, expected at most {} million pixels",
                              bitmap->size.width, bitmap->size.height, kMostReliefPx / 1'000'000));
  }
  if (normals && bitmap->model != ColourModel::kRgb) {
    return refuse("expected an RGB picture: x right, y up, z out, each from -1 (black) to 1");
  }
  if (bitmap->model != ColourModel::kGray && bitmap->model != ColourModel::kRgb) {
    return refuse("expected a gray picture, black at the face and white at its highest");
  }
  HeightPicture picture;
  picture.slopes_ = normals;
  picture.width_ = bitmap->size.width;
  picture.height_ = bitmap->size.height;
  for (size_t plane = 0; plane < (normals ? 2 : 1); ++plane) {
    picture.planes_[plane].resize(static_cast<size_t>(bitmap->size.area()));
  }
  const int channels = bitmap->channels(), colours = ChannelCount(bitmap->model);
  const double top = bitmap->depth == 8 ? 255 : 65535;
  for (int64_t y = 0; y < picture.height_; ++y) {
    const uint8_t* row8 = bitmap->row(y);
    const auto* row16 = reinterpret_cast<const uint16_t*>(row8);
    for (int64_t x = 0; x < picture.width_; ++x) {
      const auto code = [&](int channel) {
        const int64_t at = x * channels + channel;
        return (bitmap->depth == 8 ? row8[at] : row16[at]) / top;
      };
      const auto at = static_cast<size_t>(y * picture.width_ + x);
      if (!normals) {
        double sum = 0;
        for (int c = 0; c < colours; ++c) sum += code(c);
        picture.planes_[0][at] = static_cast<float>(marks.white_mm * sum / colours);
        continue;
      }
      // 8-bit codes put level ground at 127 or 128: half a code about the middle counts as none.
      const auto part = [&](int channel) {
        const double n = 2 * code(channel) - 1;
        return std::abs(n) <= 1.01 / top ? 0.0 : n;
      };
      const double out = std::max(code(2) * 2 - 1, 1e-3);
      picture.planes_[0][at] =
          static_cast<float>(std::clamp(-part(0) / out, -kMostSlope, kMostSlope));
      picture.planes_[1][at] =
          static_cast<float>(std::clamp(part(1) / out, -kMostSlope, kMostSlope));
    }
  }
  return picture;
}

GridValues HeightPicture::HeightsOn(const GridShape& shape, const PrintArea& area) const {
  const double across = static_cast<double>(width_) / (area.high.x - area.low.x);
  const double down = static_cast<double>(height_) / (area.high.y - area.low.y);
  const auto mean = [&](size_t plane, double x_mm, double y_mm) {
    return BoxMean(planes_[plane], width_, height_, (x_mm - area.low.x) * across,
                   (y_mm - area.low.y) * down, shape.step * across, shape.step * down);
  };
  GridValues first(shape.count()), second(slopes_ ? shape.count() : 0);
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      const SurfaceMm mm = shape.MmAt(i, j);
      const size_t k = shape.at(i, j);
      if (!slopes_) {
        first[k] = mean(0, mm.x, mm.y);
        continue;
      }
      first[k] = shape.step * mean(0, mm.x + shape.step / 2, mm.y);
      second[k] = shape.step * mean(1, mm.x, mm.y + shape.step / 2);
    }
  }
  if (!slopes_) return first;
  GridValues heights = PutTogether(shape, first, second);
  double border = 0, count = 0;
  for (int j = 0; j < shape.rows; ++j) {
    const int step = j == 0 || j + 1 == shape.rows ? 1 : shape.columns - 1;
    for (int i = 0; i < shape.columns; i += step) {
      border += heights[shape.at(i, j)];
      ++count;
    }
  }
  for (double& z : heights) z -= border / count;
  return heights;
}

}  // namespace wheatpaste

#include "stage/read_texture.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numbers>

#include <Eigen/Core>
#include <fmt/format.h>

#include "base/parallel.h"
#include "colour/profile.h"
#include "image/read_bitmap.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

Result<Bitmap> ReadPicture(const Placed<std::string>& file) {
  Result<Bitmap> bitmap = ReadBitmap(file);
  if (!bitmap.ok()) return bitmap.errors();
  if (std::max(bitmap->size.width, bitmap->size.height) > kMostTextureSidePx) {
    return Error{file.place, fmt::format("{} = \"{}\"", file.key, PrintableText(file.value)),
                 fmt::format("is {} x {} px, expected at most {} a side", bitmap->size.width,
                             bitmap->size.height, kMostTextureSidePx)};
  }
  return bitmap;
}

double CodeAt(const Bitmap& bitmap, int64_t x, int64_t y, int channel) {
  const int64_t at = x * bitmap.channels() + channel;
  if (bitmap.depth == 8) return bitmap.row(y)[at] / 255.0;
  uint16_t code = 0;
  std::memcpy(&code, bitmap.row(y) + 2 * at, sizeof code);
  return code / 65535.0;
}

Profile ProfileOf(const Bitmap& bitmap) {
  if (bitmap.profile) return *bitmap.profile;
  return bitmap.model == ColourModel::kLab ? Profile::LabD50() : Profile::Srgb();
}

Error NotRgb(const Placed<std::string>& file, const char* expected) {
  return {file.place, fmt::format("{} = \"{}\"", file.key, PrintableText(file.value)),
          fmt::format("expected {}", expected)};
}

Eigen::Vector3d Direction(double column, double row, SizePx size) {
  const double around = 2 * std::numbers::pi * column / static_cast<double>(size.width);
  const double down = std::numbers::pi * row / static_cast<double>(size.height);
  return {std::sin(down) * std::cos(around), std::cos(down), std::sin(down) * std::sin(around)};
}

// Means of blocks: a sky of at most `most` px across.
Image<SceneLinear> Shrink(const Image<SceneLinear>& sky, int64_t most) {
  const int64_t step = std::max<int64_t>(1, sky.width() / most);
  const SizePx size{std::max<int64_t>(1, sky.width() / step),
                    std::max<int64_t>(1, sky.height() / step)};
  Image<SceneLinear> small(size);
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < size.height; ++y) {
      for (int64_t x = 0; x < size.width; ++x) {
        const int64_t y1 = std::min(sky.height(), (y + 1) * step),
                      x1 = std::min(sky.width(), (x + 1) * step);
        double sum = 0;
        for (int64_t j = y * step; j < y1; ++j) {
          for (int64_t i = x * step; i < x1; ++i) sum += sky.row(plane, j)[i];
        }
        small.row(plane, y)[x] =
            static_cast<float>(sum / static_cast<double>((y1 - y * step) * (x1 - x * step)));
      }
    }
  }
  return small;
}

}  // namespace

Result<SharedColour> ReadColourTexture(const Placed<std::string>& file) {
  Result<Bitmap> bitmap = ReadPicture(file);
  if (!bitmap.ok()) return bitmap.errors();
  const Profile profile = ProfileOf(*bitmap);
  auto picture = std::make_shared<Image<SceneLinear>>(bitmap->size);
  if (bitmap->model == ColourModel::kGray && !bitmap->profile) {
    const WorkingFromCodes to_working(Profile::Srgb(), 16);
    std::vector<uint16_t> row(static_cast<size_t>(3 * bitmap->size.width));
    for (int64_t y = 0; y < bitmap->size.height; ++y) {
      for (int64_t x = 0; x < bitmap->size.width; ++x) {
        const auto code = static_cast<uint16_t>(std::lround(65535 * CodeAt(*bitmap, x, y, 0)));
        std::fill_n(row.begin() + 3 * x, 3, code);
      }
      to_working.Convert(row.data(), bitmap->size.width, 3, picture->row(0, y), picture->row(1, y),
                         picture->row(2, y));
    }
    return SharedColour(std::move(picture));
  }
  const WorkingFromCodes to_working(profile, bitmap->depth);
  ParallelRows(bitmap->size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      to_working.Convert(bitmap->row(y), bitmap->size.width, bitmap->channels(), picture->row(0, y),
                         picture->row(1, y), picture->row(2, y));
    }
  });
  return SharedColour(std::move(picture));
}

Result<SharedColour> ReadNormalTexture(const Placed<std::string>& file) {
  Result<Bitmap> bitmap = ReadPicture(file);
  if (!bitmap.ok()) return bitmap.errors();
  if (bitmap->model != ColourModel::kRgb) return NotRgb(file, "an RGB picture of normals");
  auto picture = std::make_shared<Image<SceneLinear>>(bitmap->size);
  for (int64_t y = 0; y < bitmap->size.height; ++y) {
    for (int64_t x = 0; x < bitmap->size.width; ++x) {
      Eigen::Vector3d n;
      for (int c = 0; c < 3; ++c) n[c] = 2 * CodeAt(*bitmap, x, y, c) - 1;
      n = n.z() > 0 ? n.normalized() : Eigen::Vector3d(0, 0, 1);
      for (int c = 0; c < 3; ++c) picture->row(c, y)[x] = static_cast<float>(n[c]);
    }
  }
  return SharedColour(std::move(picture));
}

Result<SharedPlane> ReadPlainTexture(const Placed<std::string>& file) {
  Result<Bitmap> bitmap = ReadPicture(file);
  if (!bitmap.ok()) return bitmap.errors();
  if (bitmap->model != ColourModel::kRgb && bitmap->model != ColourModel::kGray) {
    return NotRgb(file, "a gray or RGB picture");
  }
  const int channels = ChannelCount(bitmap->model);
  auto picture = std::make_shared<Image<Coverage>>(bitmap->size);
  for (int64_t y = 0; y < bitmap->size.height; ++y) {
    for (int64_t x = 0; x < bitmap->size.width; ++x) {
      double sum = 0;
      for (int c = 0; c < channels; ++c) sum += CodeAt(*bitmap, x, y, c);
      picture->row(0, y)[x] = static_cast<float>(sum / channels);
    }
  }
  return SharedPlane(std::move(picture));
}

SceneLinear MeanOf(const Image<SceneLinear>& picture) {
  double sums[3] = {};
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < picture.height(); ++y) {
      for (int64_t x = 0; x < picture.width(); ++x) sums[plane] += picture.row(plane, y)[x];
    }
    sums[plane] /= static_cast<double>(picture.size().area());
  }
  return {static_cast<float>(sums[0]), static_cast<float>(sums[1]), static_cast<float>(sums[2])};
}

Image<SceneLinear> BlurSky(const Image<SceneLinear>& sky, double radius_degrees) {
  // Eight px across a disc: finer than its edge can be seen.
  const Image<SceneLinear> small =
      Shrink(sky, static_cast<int64_t>(std::ceil(8 * 360 / (2 * radius_degrees))));
  const SizePx size = small.size();
  const double cos_radius = std::cos(radius_degrees * std::numbers::pi / 180);
  const double rows_reach =
      radius_degrees / 180 * static_cast<double>(size.height) + 1;  // px up and down
  Image<SceneLinear> blurred(size);
  const auto width = static_cast<size_t>(size.width);
  std::vector<Eigen::Vector3d> ways(width * static_cast<size_t>(size.height));
  std::vector<double> areas(static_cast<size_t>(size.height));
  for (int64_t j = 0; j < size.height; ++j) {
    const double row = static_cast<double>(j) + 0.5;
    areas[static_cast<size_t>(j)] =
        std::sin(std::numbers::pi * row / static_cast<double>(size.height));
    for (int64_t i = 0; i < size.width; ++i) {
      ways[static_cast<size_t>(j) * width + static_cast<size_t>(i)] =
          Direction(static_cast<double>(i) + 0.5, row, size);
    }
  }
  ParallelRows(size.height, 1, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const auto first = std::max<int64_t>(0, y - static_cast<int64_t>(rows_reach) - 1);
      const auto last = std::min(size.height, y + static_cast<int64_t>(rows_reach) + 2);
      for (int64_t x = 0; x < size.width; ++x) {
        const Eigen::Vector3d& middle =
            ways[static_cast<size_t>(y) * width + static_cast<size_t>(x)];
        double weight = 0, sums[3] = {};
        for (int64_t j = first; j < last; ++j) {
          const double area = areas[static_cast<size_t>(j)];
          // A disc is wider in columns towards the poles; twice as far as needed there is never too little.
          const double narrow = std::min(area, areas[static_cast<size_t>(y)]);
          const auto reach = std::min(
              size.width / 2, static_cast<int64_t>(2 * rows_reach / std::max(narrow, 1e-3)) + 2);
          for (int64_t step = -reach; step < std::min(reach + 1, size.width - reach); ++step) {
            const int64_t i = ((x + step) % size.width + size.width) % size.width;
            if (ways[static_cast<size_t>(j) * width + static_cast<size_t>(i)].dot(middle) <
                cos_radius) {
              continue;
            }
            weight += area;
            for (int c = 0; c < 3; ++c) sums[c] += area * small.row(c, j)[i];
          }
        }
        for (int c = 0; c < 3; ++c) {
          blurred.row(c, y)[x] =
              weight > 0 ? static_cast<float>(sums[c] / weight) : small.row(c, y)[x];
        }
      }
    }
  });
  return blurred;
}

}  // namespace wheatpaste

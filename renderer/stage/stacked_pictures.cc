#include "stage/stacked_pictures.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include <fmt/format.h>

#include "base/parallel.h"
#include "base/read_log.h"
#include "colour/profile.h"
#include "image/read_bitmap.h"
#include "output/write_picture.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr int kCodeSteps = 1 << kKeptBits;

std::string DescriptionOf(const std::string& digest, int samples, const StackedPictures& stacked) {
  std::string text = fmt::format("wheatpaste stage {} samples {} light {:.9g} mirrored {:.9g}",
                                 digest, samples, stacked.most_light, stacked.most_mirrored);
  for (const double most : stacked.most_thrown) text += fmt::format(" thrown {:.9g}", most);
  return text;
}

// What follows the first facts of a description: " thrown MOST", as often as it is there; false where it is not only that.
bool ReadThrown(const char* text, std::vector<double>& most_thrown) {
  while (*text != 0) {
    double most = 0;
    int length = 0;
    if (std::sscanf(text, " thrown %lg%n", &most, &length) != 1) return false;
    if (!std::isfinite(most) || !(most > 0)) return false;
    most_thrown.push_back(most);
    text += length;
  }
  return true;
}

}  // namespace

uint16_t RoundedCode(double share) {
  const double k = std::round(std::clamp(share, 0.0, 1.0) * (kCodeSteps - 1));
  return static_cast<uint16_t>(std::lround(k * 65535 / (kCodeSteps - 1)));
}

double MostOf(const Image<SceneLinear>& light) {
  float most = 0;
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < light.height(); ++y) {
      const float* const row = light.row(plane, y);
      most = std::max(most, *std::max_element(row, row + light.width()));
    }
  }
  return most > 0 ? most : 1;
}

void PutLight(const Image<SceneLinear>& light, double most, int64_t below,
              StackedPictures& stacked) {
  ParallelRows(light.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      uint16_t* const row = stacked.row(below + y);
      for (int64_t x = 0; x < light.width(); ++x) {
        for (int c = 0; c < 3; ++c) {
          const double value = light.row(c, y)[x];
          row[3 * x + c] = RoundedCode(std::sqrt(std::max(value, 0.0) / most));
        }
      }
    }
  });
}

Image<SceneLinear> TakeLight(const StackedPictures& stacked, double most, int64_t below) {
  Image<SceneLinear> light(stacked.size);
  ParallelRows(light.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const uint16_t* const row = stacked.row(below + y);
      for (int64_t x = 0; x < light.width(); ++x) {
        for (int c = 0; c < 3; ++c) {
          const double code = row[3 * x + c] / 65535.0;
          light.row(c, y)[x] = static_cast<float>(most * code * code);
        }
      }
    }
  });
  return light;
}

Status WriteStacked(const StackedPictures& stacked, int samples, const std::string& digest,
                    const std::string& path) {
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = {stacked.size.width, static_cast<int64_t>(stacked.pictures()) * stacked.size.height};
  facts.depth = 16;
  facts.profile = &srgb;
  facts.description = DescriptionOf(digest, samples, stacked);
  const auto written = WritePicture(path, PictureFormat::kTiff, facts, [&](int64_t y0, int64_t) {
    return reinterpret_cast<const uint8_t*>(stacked.row(y0));
  });
  if (!written) return written.errors();
  return Done{};
}

Result<std::optional<StackedPictures>> ReadStacked(const Placed<std::string>& path,
                                                   const std::string& digest, int samples) {
  std::error_code failed;
  if (!std::filesystem::exists(path.value, failed)) return std::optional<StackedPictures>();
  // What is found here follows from files that are noted already.
  const ReadLog unnoted;
  auto bitmap = ReadBitmap(path);
  if (!bitmap.ok()) return bitmap.errors();
  StackedPictures stacked;
  char found[65] = "";
  int of = 0, length = 0;
  const int read = std::sscanf(bitmap->description.c_str(),
                               "wheatpaste stage %64[0-9a-f] samples %d light %lg mirrored %lg%n",
                               found, &of, &stacked.most_light, &stacked.most_mirrored, &length);
  const bool is_ours = read == 4 &&
                       ReadThrown(bitmap->description.c_str() + length, stacked.most_thrown) &&
                       bitmap->depth == 16 && bitmap->channels() == 3 &&
                       bitmap->size.height % static_cast<int64_t>(stacked.pictures()) == 0 &&
                       std::isfinite(stacked.most_light) && std::isfinite(stacked.most_mirrored) &&
                       stacked.most_light > 0 && stacked.most_mirrored > 0;
  if (!is_ours) {
    return Error{path.place, fmt::format("{} = \"{}\"", path.key, PrintableText(path.value)),
                 "expected a photograph of a stage that this program has kept, or no file yet"};
  }
  if (digest != found || of != samples) return std::optional<StackedPictures>();
  stacked.size = {bitmap->size.width,
                  bitmap->size.height / static_cast<int64_t>(stacked.pictures())};
  stacked.codes.resize(bitmap->codes.size() / sizeof(uint16_t));
  std::memcpy(stacked.codes.data(), bitmap->codes.data(), bitmap->codes.size());
  return std::optional<StackedPictures>(std::move(stacked));
}

}  // namespace wheatpaste

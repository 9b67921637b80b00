// compare.h - how far two pictures lie apart in colour, over a part of them.
#pragma once

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "colour/difference.h"
#include "colour/srgb.h"
#include "image/image.h"
#include "image/read_bitmap.h"
#include "support.h"

namespace wheatpaste::test {

inline Bitmap Read(const std::string& path) {
  auto bitmap = ReadBitmap({path, {}, ""});
  if (!bitmap) throw std::runtime_error(FormatErrors(bitmap.errors()));
  return std::move(*bitmap);
}

// Lab (D65) of an sRGB picture's pixel. Read here without the program's colour conversion.
inline Lab LabAt(const Bitmap& picture, int64_t x, int64_t y) {
  const int channels = picture.channels();
  double linear[3];
  for (int k = 0; k < 3; ++k) {
    const int64_t at = x * channels + k;
    linear[k] = LinearFromSrgb(picture.depth == 16
                                   ? reinterpret_cast<const uint16_t*>(picture.row(y))[at] / 65535.0
                                   : picture.row(y)[at] / 255.0);
  }
  return LabFromLinear({static_cast<float>(linear[0]), static_cast<float>(linear[1]),
                        static_cast<float>(linear[2])});
}

// How much of each pixel a mask picture shows as white.
inline Image<Coverage> ReadMask(const std::string& path) {
  const Bitmap picture = Read(path);
  Image<Coverage> mask(picture.size);
  for (int64_t y = 0; y < picture.size.height; ++y) {
    for (int64_t x = 0; x < picture.size.width; ++x) {
      mask.row(0, y)[x] = static_cast<float>(LinearFromSrgb(
          reinterpret_cast<const uint16_t*>(picture.row(y))[x * picture.channels()] / 65535.0));
    }
  }
  return mask;
}

struct Differences {
  double mean = 0, p95 = 0, largest = 0;
  double lighter = 0;  // L* of ours less that of the truth, its mean
  size_t count = 0;
};

// Over all pixels of which at least half is inside.
inline Differences Compare(const Bitmap& ours, const Bitmap& truth, const Image<Coverage>& inside) {
  std::vector<double> values;
  Differences result;
  for (int64_t y = 0; y < truth.size.height; ++y) {
    for (int64_t x = 0; x < truth.size.width; ++x) {
      if (inside.row(0, y)[x] < 0.5f) continue;
      const Lab expected = LabAt(truth, x, y), found = LabAt(ours, x, y);
      values.push_back(DeltaE2000(expected, found));
      result.lighter += found.l - expected.l;
      result.mean += values.back();
    }
  }
  result.count = values.size();
  result.mean /= static_cast<double>(values.size());
  result.lighter /= static_cast<double>(values.size());
  const auto p95 = values.begin() + static_cast<int64_t>(0.95 * static_cast<double>(values.size()));
  std::nth_element(values.begin(), p95, values.end());
  result.p95 = *p95;
  result.largest = *std::max_element(values.begin(), values.end());
  return result;
}

// The program's picture of a scene.
inline void RenderToFile(const std::string& scene, const std::string& picture) {
  const RunResult run = RunWheatpaste(fmt::format("render '{}' --out '{}'", scene, picture));
  INFO(run.err);
  REQUIRE(run.status == 0);
}

// Copies the pictures to a folder of that name where the environment variable WHEATPASTE_KEEP says, to be looked at.
inline void KeepPictures(const TempFolder& folder, const std::string& name) {
  const char* keep = std::getenv("WHEATPASTE_KEEP");
  if (keep == nullptr) return;
  std::filesystem::copy(
      folder.path(), fmt::format("{}/{}", keep, name),
      std::filesystem::copy_options::recursive | std::filesystem::copy_options::overwrite_existing);
}

}  // namespace wheatpaste::test

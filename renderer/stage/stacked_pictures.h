// stacked_pictures.h - a stage's photograph and its light as one TIFF holds them; what is in it and in what order: stage_photo.h.
//
// Codes   16 bits, rounded to kKeptBits; light v has the code 65535 sqrt(v / most).
// Threads pure functions; PutLight and TakeLight run in parallel, the same bits for any number.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int kKeptBits = 12;

// The pictures one below the other, and how their codes are read.
struct StackedPictures {
  SizePx size;  // of one
  std::vector<uint16_t> codes;
  double most_light = 1, most_mirrored = 1;
  std::vector<double> most_thrown;

  size_t pictures() const { return 3 + most_thrown.size(); }
  uint16_t* row(int64_t y) { return codes.data() + y * 3 * size.width; }
  const uint16_t* row(int64_t y) const { return codes.data() + y * 3 * size.width; }
};

// A code of 16 bits that stands for k / (2^kKeptBits - 1), the nearest to that share of all.
uint16_t RoundedCode(double share);

// The brightest value of any band; 1 where there is no light.
double MostOf(const Image<SceneLinear>& light);
// below  the first row.
void PutLight(const Image<SceneLinear>& light, double most, int64_t below,
              StackedPictures& stacked);
Image<SceneLinear> TakeLight(const StackedPictures& stacked, double most, int64_t below);

Status WriteStacked(const StackedPictures& stacked, int samples, const std::string& digest,
                    const std::string& path);

// Nothing where the file is not there, or is of another stage or other samples.
// errors  it is there and no such file.
Result<std::optional<StackedPictures>> ReadStacked(const Placed<std::string>& path,
                                                   const std::string& digest, int samples);

}  // namespace wheatpaste

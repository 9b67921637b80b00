// log_colour.h - log light or reflectance as its level and its chroma: light changes mostly the first, ink both.
//
// Model   level m = mean of the logs of the bands; chroma along two axes at right angles to it and to each other, of
//         unit length:  (r - g) / sqrt 2,  (b - m) sqrt(3 / 2) = (2 b - r - g) / sqrt 6.
#pragma once

#include <array>

namespace wheatpaste {

inline constexpr double kRedGreenAxis = 0.70710678,
                        kBlueAxis = 1.2247449;  // sqrt(1 / 2), sqrt(3 / 2)

struct LogColour {
  float level = 0;
  std::array<float, 2> chroma{};
};

// logs  of r, g, b.
inline LogColour LogColourOf(const std::array<float, 3>& logs) {
  const float level = (logs[0] + logs[1] + logs[2]) / 3;
  return {level,
          {(logs[0] - logs[1]) * static_cast<float>(kRedGreenAxis),
           (logs[2] - level) * static_cast<float>(kBlueAxis)}};
}

// The bands' logs less the level.
template <typename Number>
std::array<Number, 3> BandsOf(const std::array<Number, 2>& chroma) {
  const Number blue = chroma[1] / Number(kBlueAxis), red_green = chroma[0] / Number(kRedGreenAxis);
  return {-blue / 2 + red_green / 2, -blue / 2 - red_green / 2, blue};
}

}  // namespace wheatpaste

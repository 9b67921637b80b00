// material_modes.h - the few reflectances that a surface is made of, as modes of all that it shows.
//
// Model   a histogram over (two axes of log chroma, log level), blurred by Gaussians of kModeChroma and kModeLevel. A
//         reflectance is drawn to the mean level of its blurred cell: one step of mean shift along the level.
// Source  Comaniciu, Meer 2002, IEEE PAMI 24(5), 603-619 (mean shift); as a histogram derived here.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace wheatpaste {

inline constexpr double kModeChroma = 0.06, kModeLevel = 0.25;

// Two axes across log chroma (r - g, and b against both), and the mean of the log bands.
using LogReflectance = std::array<float, 3>;

class MaterialModes {
 public:
  // At least one.
  explicit MaterialModes(const std::vector<LogReflectance>& samples);

  struct Mode {
    float level = 0;   // to which the reflectance is drawn
    float weight = 0;  // 0 to 1: how much of the surface is near it
  };
  Mode Near(const LogReflectance& reflectance) const;
  // Mean of the samples about the highest cell.
  const LogReflectance& dominating() const { return dominating_; }

 private:
  size_t CellOf(const LogReflectance& reflectance) const;
  void Blur(std::vector<float>& cells) const;
  LogReflectance centre_{};
  std::vector<float> count_, moment_;  // moment: level about the centre's
  float highest_ = 0;
  LogReflectance dominating_{};
};

}  // namespace wheatpaste

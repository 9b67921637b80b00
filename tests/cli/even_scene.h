// even_scene.h - the small scene on a photo of nothing but light gray: what is measured there is ink alone.
#pragma once

#include <array>
#include <cmath>
#include <string>

#include "cli/small_scene.h"

namespace wheatpaste::test {

inline double Linear(double code) {  // IEC 61966-2-1
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

// Mean light of a square in the middle of the mark.
inline std::array<double, 3> MiddleOf(const std::string& path) {
  const auto codes = CodesOf(path);
  std::array<double, 3> sum{};
  for (int y = 115; y < 135; ++y) {
    for (int x = 145; x < 165; ++x) {
      for (size_t k = 0; k < 3; ++k) {
        sum[k] += Linear(codes[static_cast<size_t>(y * kWidth + x) * 3 + k] / 65535.0) / 400;
      }
    }
  }
  return sum;
}

inline void FillMark(const SmallScene& scene, const std::string& colour) {
  WriteText(scene.folder / "mark.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"20mm\">"
            "<rect width=\"100%\" height=\"100%\" fill=\"" +
                colour + "\"/></svg>\n");
}

// A photo of nothing but light gray: no noise, no glare.
inline void MakeEven(const SmallScene& scene) {
  MustRun("/usr/bin/convert -size 320x240 xc:'#c8c8c8' PNG24:'" + scene.folder / "photo.png" + "'");
}

inline void CheckDone(const RunResult& run) {
  INFO(run.err);
  CHECK(run.status == 0);
}

}  // namespace wheatpaste::test

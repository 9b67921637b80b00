// measured_patches.h - the characterisation data of FOGRA39L that this project carries: assets-open/profiles/FOGRA39L_coated.ti3.
#pragma once

#include <array>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "colour/colour.h"
#include "support.h"

namespace wheatpaste::test {

using Inks = std::array<double, 4>;   // C, M, Y, K: as set, 0 to 100
using Bands = std::array<double, 3>;  // X, Y, Z as factors, 1 = all light comes back

struct MeasuredPatch {
  Inks inks{};
  Bands xyz{};
  Lab lab;
};

inline std::vector<MeasuredPatch> ReadMeasuredPatches() {
  std::istringstream lines(ReadText(SourcePath("assets-open/profiles/FOGRA39L_coated.ti3")));
  std::vector<MeasuredPatch> patches;
  for (std::string line; std::getline(lines, line);) {
    std::istringstream numbers(line);
    std::array<double, 11> row{};
    size_t count = 0;
    while (count < row.size() && numbers >> row[count]) ++count;
    if (count < row.size()) continue;
    patches.push_back({{row[1], row[2], row[3], row[4]},
                       {row[5] / 100, row[6] / 100, row[7] / 100},
                       {row[8], row[9], row[10]}});
  }
  REQUIRE(patches.size() == 1617);
  return patches;
}

}  // namespace wheatpaste::test

#include "colour/profile.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "colour/made_profiles.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

// Source  sRGB codes to Lab D50, relative colorimetric, computed with LittleCMS 2.14.
// Taken   S12, S13, in tests/published/lab_of_srgb.csv. Limit   0.01, as listed.
TEST_CASE("Profile: Lab of sRGB codes", "[colour][published]") {
  const Profile srgb = Profile::Srgb();
  const auto rows = ReadCsv(SourcePath("tests/published/lab_of_srgb.csv"));
  REQUIRE(rows.size() == 4);
  for (const auto& row : rows) {
    const std::array<double, 3> channels{std::stod(row[1]) / 255, std::stod(row[2]) / 255,
                                         std::stod(row[3]) / 255};
    INFO(row[1] << " " << row[2] << " " << row[3]);
    const Lab lab = LabFromDevice(srgb, channels);
    CHECK(lab.l == Approx(std::stod(row[4])).margin(0.01));
    CHECK(lab.a == Approx(std::stod(row[5])).margin(0.01));
    CHECK(lab.b == Approx(std::stod(row[6])).margin(0.01));
  }
}

std::string ErrorOf(Bytes bytes) {
  const auto profile = Profile::FromBytes(std::move(bytes), {"scene.toml", 4, 8}, "photo.file");
  REQUIRE_FALSE(profile);
  return FormatError(profile.errors().front());
}

TEST_CASE("Profile: of a kind that describes no picture is refused", "[colour][bad-input]") {
  const std::string message =
      "scene.toml:4:8: error: photo.file: the ICC profile does not describe gray, RGB, CMYK or Lab "
      "pictures";
  CHECK(ErrorOf(MakeDeviceLink()) == message);
  CHECK(ErrorOf(MakeNamedColours()) == message);
}

TEST_CASE("Profile: what is no profile is refused, at its place", "[colour][bad-input]") {
  for (const Bytes& bytes : {Bytes{}, Bytes{1, 2, 3}, Bytes(128, 0), Bytes(4096, 0xff)}) {
    CHECK(ErrorOf(bytes).find("scene.toml:4:8: error: photo.file: the ICC profile is broken") == 0);
  }
}

// A profile that was cut off or damaged is either refused or can be used; it never crashes. Cut inside its
// header or tag table it must be refused.
TEST_CASE("Profile: truncated anywhere, it is refused or usable", "[colour][bad-input]") {
  for (const Bytes& whole : {MakeDisplayProfile(), MakeTableProfile(), Profile::Srgb().bytes()}) {
    const size_t step = whole.size() / 150 + 1;
    for (size_t size = 0; size < whole.size(); size += step) {
      INFO(size << " of " << whole.size() << " bytes");
      auto profile =
          Profile::FromBytes(Bytes(whole.begin(), whole.begin() + static_cast<long>(size)), {}, "");
      if (size < 132) CHECK_FALSE(profile);
      if (!profile) continue;
      const WorkingFromCodes read(*profile, 8);
      const uint8_t codes[4] = {10, 100, 200, 50};
      float r = 0, g = 0, b = 0;
      read.Convert(codes, 1, 4, &r, &g, &b);
      CHECK(std::isfinite(r + g + b));
    }
  }
}

TEST_CASE("Profile: with damaged bytes it is refused or usable", "[colour][bad-input]") {
  std::mt19937 random(17);
  for (const Bytes& whole : {MakeDisplayProfile(), MakeWideProfile(), MakeTableProfile()}) {
    for (int trial = 0; trial < 150; ++trial) {
      Bytes bytes = whole;
      const size_t reach = trial % 2 == 0 ? std::min<size_t>(bytes.size(), 600) : bytes.size();
      for (int k = 0; k < 1 + trial % 6; ++k) {
        bytes[random() % reach] = static_cast<uint8_t>(random());
      }
      auto profile = Profile::FromBytes(std::move(bytes), {}, "");
      if (!profile) continue;
      const WorkingFromCodes read(*profile, 8);
      const uint8_t codes[4] = {10, 100, 200, 50};
      float r = 0, g = 0, b = 0;
      read.Convert(codes, 1, 4, &r, &g, &b);
      CHECK(std::isfinite(r + g + b));
      if (profile->model() != ColourModel::kRgb || !profile->can_encode()) continue;
      const CodesFromWorking write(*profile, 8);
      uint8_t back[3];
      write.Convert(&r, &g, &b, 1, back);
    }
  }
}

}  // namespace
}  // namespace wheatpaste

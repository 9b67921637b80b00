#include "light/height_picture.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <numbers>

#include "output/write_picture.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr double kPi = std::numbers::pi;

// An 8-bit RGB picture, written with the program's own encoder.
void WriteRgb(const std::string& path, SizePx size,
              const std::function<std::array<double, 3>(double, double)>& share) {
  std::vector<uint8_t> codes;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      for (const double s :
           share((static_cast<double>(x) + 0.5) / static_cast<double>(size.width),
                 (static_cast<double>(y) + 0.5) / static_cast<double>(size.height))) {
        codes.push_back(static_cast<uint8_t>(std::lround(255 * s)));
      }
    }
  }
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = size;
  facts.profile = &srgb;
  const auto written = WritePicture(path, PictureFormat::kPng, facts, [&](int64_t y0, int64_t) {
    return codes.data() + 3 * size.width * y0;
  });
  REQUIRE(written);
}

const PrintArea kArea{{0, 0}, {200, 100}, {100, 50}, {}};
const GridShape kGrid{{0, 0}, 2, 101, 51};

Result<HeightPicture> ReadAs(ReliefKind kind, const std::string& path, double white_mm) {
  ReliefMarks marks;
  marks.kind = kind;
  marks.file = {path, {"scene.toml", 7, 22}, "surface.relief.heights"};
  marks.white_mm = white_mm;
  return ReadHeightPicture(marks);
}

// 6 mm at the highest, 0 along the border.
double Dome(double u, double v) { return 6 * std::pow(std::sin(kPi * u) * std::sin(kPi * v), 2); }

}  // namespace

TEST_CASE("Height picture: gray is height, large or small pictures alike", "[light][closed-form]") {
  const TempFolder folder;
  for (const SizePx size : {SizePx{50, 25}, SizePx{800, 400}}) {
    WriteRgb(folder / "h.png", size, [](double u, double v) {
      const double gray = Dome(u, v) / 8;
      return std::array{gray, gray, gray};
    });
    const auto picture = ReadAs(ReliefKind::kHeights, folder / "h.png", 8);
    REQUIRE(picture);
    const GridValues heights = picture->HeightsOn(kGrid, kArea);
    for (int j = 2; j < 49; ++j) {
      for (int i = 2; i < 99; ++i) {
        // Half a code of 8 mm, and what bilinear steps of 4 mm leave of a dome's curvature (z'' h^2 / 8 = 0.03).
        CHECK(heights[kGrid.at(i, j)] == Approx(Dome(i / 100.0, j / 50.0)).margin(0.06));
      }
    }
  }
}

TEST_CASE("Height picture: normals put together give the heights", "[light][closed-form]") {
  const TempFolder folder;
  WriteRgb(folder / "n.png", {400, 200}, [](double u, double v) {
    const double p = 6 * kPi * std::sin(2 * kPi * u) * std::pow(std::sin(kPi * v), 2) / 200;
    const double q = 6 * kPi * std::sin(2 * kPi * v) * std::pow(std::sin(kPi * u), 2) / 100;
    // The normal is (-p, -q, 1) with y down, so (-p, q, 1) with y up.
    const double length = std::sqrt(1 + p * p + q * q);
    return std::array{(1 - p / length) / 2, (1 + q / length) / 2, (1 + 1 / length) / 2};
  });
  const auto picture = ReadAs(ReliefKind::kNormals, folder / "n.png", 0);
  REQUIRE(picture);
  const GridValues heights = picture->HeightsOn(kGrid, kArea);
  double largest = 0;
  for (int j = 0; j < 51; ++j) {
    for (int i = 0; i < 101; ++i) {
      largest = std::max(largest, std::abs(heights[kGrid.at(i, j)] - Dome(i / 100.0, j / 50.0)));
    }
  }
  // 8-bit normals: slopes to 1 / 255 each, averaged; 2 % of the dome.
  CHECK(largest < 0.12);
}

TEST_CASE("Height picture: what cannot be used is refused at its place", "[light][bad-input]") {
  const TempFolder folder;
  const auto missing = ReadAs(ReliefKind::kHeights, folder / "none.png", 8);
  REQUIRE_FALSE(missing);
  CHECK(FormatErrors(missing.errors()).find("scene.toml:7:22: error: surface.relief.heights") == 0);
  WriteText(folder / "text.png", "heights");
  CHECK_FALSE(ReadAs(ReliefKind::kNormals, folder / "text.png", 0));
}

}  // namespace wheatpaste

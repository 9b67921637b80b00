// How large a placement is seen at its centre.
#include "composite/shown_scale.h"

#include <cmath>
#include <numbers>

#include "composite/render_text.h"
#include "geometry_free_homography.h"

namespace wheatpaste::test {
namespace {

constexpr SizePx kPhoto{640, 480};

// A picture of `surface` with a square of 60 mm on it.
RenderedScene Pictured(const std::string& surface, std::optional<SizePx> size,
                       const std::string& at) {
  const TempFolder folder;
  const Bytes gray(static_cast<size_t>(kPhoto.area() * 3), 128);
  WriteSrgbPng(folder / "photo.png", kPhoto, 8, gray.data());
  WriteText(folder / "mark.svg",
            "<svg xmlns='http://www.w3.org/2000/svg' width='60mm' height='60mm'>"
            "<rect width='100%' height='100%' fill='#c02020'/></svg>");
  return RenderText(
      folder,
      "[photo]\nfile = \"photo.png\"\nfocal_px = 800\n[[surface]]\nname = \"card\"\n" + surface +
          "[[placement]]\nsurface = \"card\"\nartwork = \"mark.svg\"\n" + "width = 60\n" + at,
      size);
}

ShownScale ScaleOf(const RenderedScene& rendered) {
  const PreparedArtwork& artwork = rendered.artworks->front();
  const auto scale = ScaleShown(*rendered.scene, rendered.scene->solved.scene.placements.front(),
                                artwork.placed.centre);
  REQUIRE(scale);
  return *scale;
}

// 400 px show 250 mm, at any place.
TEST_CASE("Shown scale: a plane that faces the camera has the one that it was drawn with",
          "[composite][closed-form]") {
  const std::string card =
      "shape = \"plane\"\nsize = [250, 200]\n"
      "corners = [[120, 80], [520, 80], [520, 400], [120, 400]]\n";
  for (const char* at : {"", "at = [50, 60]\n"}) {
    const ShownScale own = ScaleOf(Pictured(card, {}, at));
    CHECK(own.mean == Approx(1.6).epsilon(1e-9));
    CHECK(own.largest == Approx(1.6).epsilon(1e-9));
    const ShownScale half = ScaleOf(Pictured(card, SizePx{320, 240}, at));
    CHECK(half.mean == Approx(0.8).epsilon(1e-9));
    // 120 + 1.6 x, 80 + 1.6 y; the card's middle, or the place that is named.
    const bool is_middle = std::string(at).empty();
    CHECK(own.at.x == Approx(is_middle ? 320 : 200).epsilon(1e-9));
    CHECK(own.at.y == Approx(is_middle ? 240 : 176).epsilon(1e-9));
    CHECK(half.at.x == Approx(own.at.x / 2).epsilon(1e-9));
  }
}

// The corners' own homography, by elimination; its derivatives by central differences of 0.01 mm, whose error is of their
// square.
TEST_CASE("Shown scale: on a slanted plane it is the derivative of the corners' map",
          "[composite][closed-form]") {
  const ShownScale scale =
      ScaleOf(Pictured("shape = \"plane\"\nsize = [250, 200]\n"
                       "corners = [[150, 60], [470, 110], [450, 380], [140, 430]]\n",
                       {}, "at = [170, 70]\n"));
  const Eigen::Matrix3d map = HomographyFromQuad({{{0, 0}, {250, 0}, {250, 200}, {0, 200}}},
                                                 {{{150, 60}, {470, 110}, {450, 380}, {140, 430}}});
  const auto px = [&map](double x, double y) -> Eigen::Vector2d {
    return (map * Eigen::Vector3d(x, y, 1)).hnormalized();
  };
  constexpr double kStep = 0.01;
  Eigen::Matrix2d j;
  j.col(0) = (px(170 + kStep, 70) - px(170 - kStep, 70)) / (2 * kStep);
  j.col(1) = (px(170, 70 + kStep) - px(170, 70 - kStep)) / (2 * kStep);
  CHECK(scale.mean == Approx(std::sqrt(std::abs(j.determinant()))).epsilon(1e-6));
  double largest = 0;  // over directions, a tenth of a degree apart
  for (int step = 0; step < 1800; ++step) {
    const double angle = step * std::numbers::pi / 1800;
    largest = std::max(largest, (j * Eigen::Vector2d(std::cos(angle), std::sin(angle))).norm());
  }
  CHECK(scale.largest == Approx(largest).epsilon(1e-5));
}

// A grid of equal steps on a plane that faces the camera is that plane, kept pixel by pixel in single precision.
TEST_CASE("Shown scale: where mm are kept pixel by pixel it is the same",
          "[composite][closed-form]") {
  std::string grid = "shape = \"patch\"\nsize = [250, 200]\npoints = [";
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 3; ++column) {
      grid += fmt::format("{}[{}, {}]", column == 0 ? row == 0 ? "[" : "], [" : ", ",
                          120 + 200 * column, 80 + 160 * row);
    }
  }
  const ShownScale scale = ScaleOf(Pictured(grid + "]]\n", {}, "at = [50, 60]\n"));
  CHECK(scale.mean == Approx(1.6).epsilon(1e-4));
  CHECK(scale.largest == Approx(1.6).epsilon(1e-4));
  // The pixel that holds it, or one beside it.
  CHECK(std::abs(scale.at.x - 200) <= 1);
  CHECK(std::abs(scale.at.y - 176) <= 1);
}

}  // namespace
}  // namespace wheatpaste::test

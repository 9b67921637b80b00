// A pasted sheet's shadow, edge and wrinkles, on a made photo of even light and a frontal wall, where sums and sides
// have closed forms (composite/contact.h). The print is as bright as the wall: all that changes is the sheet's doing.
#include "composite/contact.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>

#include <fmt/format.h>

#include "base/parallel.h"
#include "colour/srgb.h"
#include "composite/render_text.h"
#include "composite/wrinkle.h"

namespace wheatpaste {
namespace {

using test::TempFolder;
using test::WholePicture;

constexpr SizePx kPhoto{400, 320};  // 100 x 80 mm
constexpr double kThick = 1;        // mm
// Along x only 1 / sqrt(2) of a way that runs to the lower right counts.
const double kDiagonal = std::sqrt(0.5);

void WriteFiles(const TempFolder& folder, int depth) {
  const std::vector<uint16_t> codes(static_cast<size_t>(kPhoto.area() * 3), 0x9f9f);
  test::WriteSrgbPng(folder / "photo.png", kPhoto, depth, codes.data());
  test::WriteText(folder / "sheet.svg",
                  R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40">
<rect width="60" height="40" fill="#ffffff"/></svg>)");
}

// A sheet of 60 x 40 mm in the middle of the wall.
std::string SceneText(const std::string& keys, const std::string& ink) {
  return fmt::format(R"(title = "t"
[photo]
file = "photo.png"
focal_px = 500
[[surface]]
name = "wall"
shape = "plane"
size = [100, 80]
corners = [[0, 0], [400, 0], [400, 320], [0, 320]]
substrate = {{ reflectance = [0.6, 0.6, 0.6] }}
[[placement]]
surface = "wall"
artwork = "sheet.svg"
width = 60
ink = {}
{}
)",
                     ink, keys);
}
constexpr const char* kOpaque = "{ opacity = 1, white = 0.6 }";

// Light with the sheet over light without, green band.
class Ratio {
 public:
  Ratio(const std::string& keys, const std::string& ink, int scale)
      : size_{kPhoto.width * scale, kPhoto.height * scale} {
    const TempFolder folder;
    WriteFiles(folder, 16);
    const RenderedScene rendered = test::RenderText(folder, SceneText(keys, ink), size_);
    codes_ = WholePicture(rendered);
    base_ = rendered.scene->base.codes;
    REQUIRE(rendered.scene->base.depth == 16);
  }
  double At(int64_t x, int64_t y) const { return Light(codes_, x, y) / Light(base_, x, y); }
  const SizePx& size() const { return size_; }

 private:
  double Light(const Bytes& codes, int64_t x, int64_t y) const {
    uint16_t code = 0;
    std::memcpy(&code, codes.data() + (3 * (y * size_.width + x) + 1) * 2, 2);
    return LinearFromSrgb(code / 65535.0);
  }
  SizePx size_;
  Bytes codes_, base_;
};

TEST_CASE("Contact: the shadow lies away from the light and takes k t tan of it, at every size",
          "[composite][closed-form]") {
  for (const char* ink : {kOpaque, "\"transparent\""}) {
    for (const int scale : {1, 2}) {
      if (scale == 2 && std::string_view(ink) != kOpaque) continue;
      INFO(ink << ", " << 4 * scale << " px a mm");
      const Ratio ratio(fmt::format("thickness = {}", kThick), ink, scale);
      const double mm = 0.25 / scale;  // of a px
      const int64_t left = 80 * scale, right = 320 * scale, top = 80 * scale, bottom = 240 * scale;
      const int64_t middle_x = 200 * scale, middle_y = 160 * scale;
      const int64_t reach = 16 * scale;  // 4 mm
      double dark_right = 0, dark_below = 0, bright_left = 0, bright_above = 0;
      for (int64_t i = -reach; i < reach; ++i) {
        dark_right += (1 - ratio.At(right + i, middle_y)) * mm;
        dark_below += (1 - ratio.At(middle_x, bottom + i)) * mm;
        bright_left += (ratio.At(left + i, middle_y) - 1) * mm;
        bright_above += (ratio.At(middle_x, top + i) - 1) * mm;
      }
      // Limit: the ellipse that stands for an even spread strays a little beyond both its ends, and pixels that the
      // edge cuts multiply two means; measured 0.6 %.
      const double shadow = kDirectShare * kThick * kDiagonal;
      CHECK(dark_right == Approx(shadow).epsilon(0.01));
      CHECK(dark_below == Approx(shadow).epsilon(0.01));
      // Limit: the shadow's ellipse reaches a little to this side too; measured 4.5 %.
      const double edge =
          kDirectShare * (std::sqrt(2.0) - 1) * std::min(kThick, kMostEdgeMm) * kDiagonal;
      CHECK(bright_left == Approx(edge).epsilon(0.06));
      CHECK(bright_above == Approx(edge).epsilon(0.06));
      // Half of it half way, which is t tan / sqrt(2) from the edge: between two pixels' centres.
      const double at = kThick * kDiagonal / mm - 0.5, whole = std::floor(at);
      const auto x = right + static_cast<int64_t>(whole);
      const double half = ratio.At(x, middle_y) +
                          (at - whole) * (ratio.At(x + 1, middle_y) - ratio.At(x, middle_y));
      CHECK(1 - half == Approx(kDirectShare / 2).epsilon(0.005));
      // Nothing beyond the reach, and nothing on the sheet away from its edges.
      Placement placement;
      placement.thickness_mm = kThick;
      const auto end =
          static_cast<int64_t>(ShadowReachMm(placement, kDefaultLightFrom) * kDiagonal / mm) + 2;
      CHECK(end * mm < 2.5);
      for (int64_t i = end; i < 3 * end; ++i) CHECK(ratio.At(right + i, middle_y) == 1);
      for (int64_t i = 2; i < 20; ++i) CHECK(ratio.At(left - 2 * scale - i, middle_y) == 1);
      for (int64_t i = 3 * scale; i < 200 * scale; ++i) {
        CHECK(ratio.At(left + i, middle_y) == Approx(1).margin(1e-4));
      }
    }
  }
}

TEST_CASE("Contact: thin sheets lose as much light in pixels that cannot show their shadow's shape",
          "[composite][closed-form]") {
  // 0.2 mm: a shadow of 0.14 mm on average, half a pixel here.
  const Ratio ratio("thickness = 0.2", kOpaque, 1);
  double dark = 0;
  for (int64_t i = -8; i < 8; ++i) dark += (1 - ratio.At(320 + i, 160)) * 0.25;
  // Limit: means multiplied within the pixels of the edge, which here are all there is. The line of paper on the
  // other side is not in the sum.
  CHECK(dark == Approx(kDirectShare * 0.2 * kDiagonal).epsilon(0.04));
}

TEST_CASE("Contact: light from straight above makes no side and no shading",
          "[composite][closed-form]") {
  Placement placement;
  placement.thickness_mm = 3;
  placement.wrinkle = 1;
  const Map<ArtworkPx, SurfaceMm> map(Eigen::Matrix3d(Eigen::Vector3d(4, 4, 1).asDiagonal()));
  CHECK_FALSE(ContactOf(placement, {0, 0, 1}, map, {60, 40}, {240, 160}, {60, 40}).any());
  CHECK(ShadowReachMm(placement, {0, 0, 1}) == 0);
  // From the right: the way to the light is along +x, 2 t tan long.
  const Contact contact =
      ContactOf(placement, Eigen::Vector3d(0.6, 0, 0.8), map, {60, 40}, {240, 160}, {60, 40});
  CHECK(contact.shadow.x() == Approx(4 * 2 * 3 * 0.75));
  CHECK(contact.shadow.y() == Approx(0).margin(1e-9));
  CHECK(contact.shading.x() == Approx(-kMostWrinkle * 0.75));
  CHECK(contact.slopes_from_artwork.x() == Approx(0.25));
}

TEST_CASE("Contact: off leaves every bit as it was", "[composite][invariant]") {
  const TempFolder folder;
  WriteFiles(folder, 8);
  for (const char* ink : {kOpaque, "\"transparent\""}) {
    const auto codes = [&](const char* keys) {
      return WholePicture(test::RenderText(folder, SceneText(keys, ink), kPhoto));
    };
    const Bytes without = codes("");
    CHECK(codes("thickness = 0\nwrinkle = 0") == without);
    CHECK(codes("wrinkle = 0.5") != without);
  }
}

TEST_CASE("Contact: a sheet as large as its surface has no ground for its shadow, and that is said",
          "[composite][closed-form]") {
  const TempFolder folder;
  WriteFiles(folder, 8);
  std::string text = SceneText("thickness = 1", kOpaque);
  text.replace(text.find("width = 60"), 10, "fit = \"cover\"");
  auto scene = ParseScene(text, folder / "scene.toml", {WHEATPASTE_SOURCE_DIR, {}});
  REQUIRE(scene.ok());
  const auto artworks = ReadArtworks(*scene, {}, false);
  REQUIRE(artworks.ok());
  const auto rendered = RenderScene(std::move(*scene), *artworks, {kPhoto});
  REQUIRE(rendered.ok());
  const auto warnings = WarningsOf(*rendered, *artworks);
  REQUIRE(warnings.size() == 1);
  CHECK(
      warnings[0] ==
      "sheet.svg: its thickness does not show, as it ends where its surface ends; its shadow needs "
      "a surface larger than the sheet");
  // And no pixel at the picture's own edge is touched by more than the print, which is as bright as the wall.
  CHECK(WholePicture(*rendered) == rendered->scene->base.codes);
}

TEST_CASE("Contact: any bands and any threads give the same bits", "[composite][invariant]") {
  const TempFolder folder;
  WriteFiles(folder, 8);
  const std::string text = SceneText("thickness = 0.7\nwrinkle = 1\nrotate = 9", kOpaque);
  const Bytes whole = WholePicture(test::RenderText(folder, text, SizePx{533, 427}));
  for (const int threads : {1, 2, 5}) {
    const ThreadLimit limit(threads);
    const RenderedScene again = test::RenderText(folder, text, SizePx{533, 427});
    const BasePicture& base = again.scene->base;
    Bytes rows(whole.size());
    for (int64_t y = 0; y < base.size.height; y += 7 * threads) {
      again.compositor->CompositeRows(y, std::min(base.size.height, y + 7 * threads),
                                      rows.data() + y * base.row_bytes());
    }
    CHECK(rows == whole);
  }
}

TEST_CASE("Wrinkle: mean light stays, no change beyond the bound, the same relief at every size",
          "[composite][closed-form]") {
  // Twenty times as large: a sheet of 1200 x 800 mm.
  auto text = [](const char* wrinkle) {
    std::string scene = SceneText(fmt::format("wrinkle = {}", wrinkle), kOpaque);
    scene.replace(scene.find("[100, 80]"), 9, "[2000, 1600]");
    return scene.replace(scene.find("width = 60"), 10, "width = 1200");
  };
  const TempFolder folder;
  WriteFiles(folder, 16);
  const auto ratios = [&](const char* wrinkle, SizePx size) {
    const RenderedScene rendered = test::RenderText(folder, text(wrinkle), size);
    const Bytes codes = WholePicture(rendered);
    const Bytes& base = rendered.scene->base.codes;
    std::vector<double> on_sheet;
    for (int64_t y = size.height / 4 + 2; y < size.height * 3 / 4 - 2; ++y) {
      for (int64_t x = size.width / 5 + 2; x < size.width * 4 / 5 - 2; ++x) {
        uint16_t with = 0, without = 0;
        std::memcpy(&with, codes.data() + (y * size.width + x) * 6, 2);
        std::memcpy(&without, base.data() + (y * size.width + x) * 6, 2);
        on_sheet.push_back(LinearFromSrgb(with / 65535.0) / LinearFromSrgb(without / 65535.0));
      }
    }
    return on_sheet;
  };
  double spread[2] = {};
  int at = 0;
  for (const SizePx& size : {SizePx{400, 320}, SizePx{800, 640}}) {
    for (const double wrinkle : {1.0, 0.3}) {
      if (wrinkle != 1 && size.width > 400) continue;
      const auto light = ratios(wrinkle == 1 ? "1" : "0.3", size);
      double sum = 0, squares = 0, most = 0;
      for (const double r : light) {
        sum += r;
        squares += (r - 1) * (r - 1);
        most = std::max(most, std::abs(r - 1));
      }
      const auto count = static_cast<double>(light.size());
      INFO(size.width << " px, wrinkle " << wrinkle);
      CHECK(sum / count == Approx(1).margin(0.01));
      CHECK(most < kMostWrinkle * wrinkle + 1e-4);
      // It is there to be seen: somewhere more than a third of the bound.
      CHECK(most > 0.33 * kMostWrinkle * wrinkle);
      if (wrinkle == 1) spread[at++] = std::sqrt(squares / count);
    }
  }
  // 5 mm and 2.5 mm a px: the finer picture shows a little more of the same.
  CHECK(spread[1] > spread[0]);
  CHECK(spread[1] < 1.6 * spread[0]);
}

TEST_CASE("Wrinkle: a relief for each seed, the same in every run, no slope beyond 1",
          "[composite][invariant]") {
  const SurfaceMm sheet{594, 841};
  const auto first = WrinkleSlopes(sheet, 1);
  CHECK(first.size() == SizePx{594, 841});
  const ThreadLimit limit(1);
  const auto again = WrinkleSlopes(sheet, 1), other = WrinkleSlopes(sheet, 2);
  int64_t differing = 0;
  double mean[2] = {}, steepest = 0, own = 0, shared = 0;
  for (int64_t y = 0; y < first.height(); ++y) {
    for (int64_t x = 0; x < first.width(); ++x) {
      const double sx = double{first.row(0, y)[x]}, sy = double{first.row(1, y)[x]};
      for (int k = 0; k < 4; ++k) differing += first.row(k, y)[x] == again.row(k, y)[x] ? 0 : 1;
      mean[0] += sx;
      mean[1] += sy;
      steepest = std::max(steepest, std::hypot(sx, sy));
      own += sx * sx + sy * sy;
      shared += sx * double{other.row(0, y)[x]} + sy * double{other.row(1, y)[x]};
    }
  }
  CHECK(differing == 0);
  CHECK(steepest < 1);
  CHECK(steepest > 0.7);
  const auto area = static_cast<double>(first.size().area());
  CHECK(std::abs(mean[0]) / area < 0.03);
  CHECK(std::abs(mean[1]) / area < 0.03);
  CHECK(std::abs(shared) < 0.2 * own);
  // Large sheets have coarser maps, not larger ones.
  CHECK(WrinkleSlopes({8000000, 500}, 1).size() == SizePx{259054, 16});
  CHECK(WrinkleSlopes({0.2, 3}, 1).size() == SizePx{1, 3});
}

}  // namespace
}  // namespace wheatpaste

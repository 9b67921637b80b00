// Heights, slopes and coverages of finishes against closed forms (composite/finish.h).
#include "composite/finish.h"

#include <catch2/catch.hpp>

#include <cmath>

#include "artwork/artwork.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::TempFolder;
using test::WriteText;

constexpr SizePx kSize{400, 200};
constexpr SurfaceMm kPrinted{40, 20};  // 10 px a mm

std::shared_ptr<const Artwork> ArtworkOf(const TempFolder& folder, const std::string& name,
                                         const std::string& shapes,
                                         const std::string& box = "0 0 40 20") {
  WriteText(folder / name,
            "<svg xmlns='http://www.w3.org/2000/svg' viewBox='" + box + "'>" + shapes + "</svg>");
  auto artwork = ReadArtwork({folder / name, {folder / name}, "artwork"});
  if (!artwork) FAIL(FormatErrors(artwork.errors()));
  return std::move(*artwork);
}

Pyramid DrawnOf(const Artwork& artwork) {
  auto raster = artwork.Rasterise(kSize);
  REQUIRE(raster.ok());
  return Pyramid(std::move(*raster), Edges{});
}

Finish Relief(FinishKind kind, double depth, double edge) {
  Finish finish;
  finish.kind = kind;
  finish.depth_mm = depth;
  finish.edge_mm = edge;
  return finish;
}

// Source  h(x) of finish.h: slope 4 depth t / edge up to the middle of the edge, then down again, t from 0 to 1/2.
// Limit   2.6 % of the steepest: where the profile bends, a difference over 0.2 mm rounds it by 2.5 % on an edge of 2 mm.
TEST_CASE("Emboss: a straight edge rises as its profile says", "[composite][closed-form]") {
  const TempFolder folder;
  // Painted from x = 20 mm on.
  const auto artwork = ArtworkOf(folder, "a.svg", "<rect x='20' width='20' height='20'/>");
  const double depth = 0.3, edge = 2;
  Placement placement;
  for (const FinishKind kind : {FinishKind::kEmboss, FinishKind::kDeboss}) {
    placement.finishes = {Relief(kind, depth, edge)};
    const auto made = PrepareFinishes(placement, DrawnOf(*artwork), 2, {nullptr}, kPrinted);
    REQUIRE(made.ok());
    REQUIRE(made->slopes);
    CHECK(made->coats.empty());
    const auto margin = static_cast<int64_t>(made->margin_px.x());
    const PyramidLevel level = made->planes[0]->level(0);
    const double sign = kind == FinishKind::kEmboss ? 1 : -1;
    double risen = 0;
    for (int64_t x = 100; x < 300; ++x) {
      const double mm = (static_cast<double>(x) + 0.5) / 10 - 20;
      const double expected = std::max(0.0, 2 * depth / edge * (1 - std::abs(mm) / (edge / 2)));
      const float* pixel = level.at(x + margin, level.size.height / 2);
      INFO("at " << mm << " mm");
      CHECK(double{pixel[0]} ==
            Approx(sign * expected).margin(0.026 * 2 * depth / edge).epsilon(0));
      CHECK(std::abs(pixel[1]) < 1e-4f);
      risen += double{pixel[0]} * 0.1;
    }
    CHECK(risen == Approx(sign * depth).epsilon(1e-3));
  }
}

TEST_CASE("Emboss: artwork to its own edge keeps the outer half of its slope",
          "[composite][closed-form]") {
  const TempFolder folder;
  const auto artwork = ArtworkOf(folder, "a.svg", "<rect width='40' height='20'/>");
  Placement placement;
  placement.finishes = {Relief(FinishKind::kEmboss, 0.2, 1)};
  const auto made = PrepareFinishes(placement, DrawnOf(*artwork), 2, {nullptr}, kPrinted);
  REQUIRE(made.ok());
  const PyramidLevel level = made->planes[0]->level(0);
  double risen = 0;
  for (int64_t x = 0; x < level.size.width / 2; ++x) {
    risen += double{level.at(x, level.size.height / 2)[0]} * 0.1;
  }
  CHECK(risen == Approx(0.2).epsilon(1e-3));
}

TEST_CASE("Masks: black is finished, white and clear are not, and planes are shared",
          "[composite][closed-form]") {
  const TempFolder folder;
  const auto artwork = ArtworkOf(folder, "a.svg", "<rect width='40' height='20'/>");
  const auto mask = ArtworkOf(folder, "m.svg",
                              "<rect width='30' height='20' fill='#ffffff'/>"
                              "<rect width='10' height='20' fill='#000000'/>");
  Placement placement;
  Finish foil;
  foil.kind = FinishKind::kFoil;
  Finish varnish;
  placement.finishes = {varnish, foil, Relief(FinishKind::kEmboss, 0.1, 0.4)};
  const auto made =
      PrepareFinishes(placement, DrawnOf(*artwork), 2, {nullptr, mask, nullptr}, kPrinted);
  REQUIRE(made.ok());
  REQUIRE(made->coats.size() == 2);
  CHECK_FALSE(made->coats[0].plane);
  CHECK_FALSE(made->coats[0].foil);
  REQUIRE(made->coats[1].plane);
  CHECK(*made->coats[1].plane == 2);
  CHECK(made->planes.size() == 1);
  const auto margin = static_cast<int64_t>(made->margin_px.x());
  const auto at = [&](int64_t x) { return made->planes[0]->level(0).at(x + margin, 100)[2]; };
  CHECK(at(50) == 1);
  CHECK(at(200) == Approx(0).margin(1e-6));
  CHECK(at(350) == 0);
}

TEST_CASE("Masks: another extent than the artwork's is refused", "[composite][bad-input]") {
  const TempFolder folder;
  const auto artwork = ArtworkOf(folder, "a.svg", "<rect width='40' height='20'/>");
  const auto mask = ArtworkOf(folder, "m.svg", "<rect width='9' height='9'/>", "0 0 20 20");
  Placement placement;
  Finish finish;
  finish.mask = {"m.svg", {"x.toml", 9, 8}, "placement.finish.mask"};
  placement.finishes = {finish};
  const auto made = PrepareFinishes(placement, DrawnOf(*artwork), 2, {mask}, kPrinted);
  REQUIRE_FALSE(made.ok());
  CHECK(FormatErrors(made.errors()) ==
        "x.toml:9:8: error: placement.finish.mask = \"m.svg\": expected the artwork's own extent: "
        "2.000 times as wide as high, not 1.000 times\n");
}

}  // namespace
}  // namespace wheatpaste

// reuse_light_test.cc - what was read from the photo serves every artwork, and holds nothing of any of them.

#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "composite/render_text.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr SizePx kSize{220, 180};

// A board in light that falls off, with a glare on it.
void WritePhoto(const std::string& path) {
  std::vector<uint8_t> codes;
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      const auto u = static_cast<double>(x), v = static_cast<double>(y);
      const double glare =
          90 * std::exp(-((u - 90) * (u - 90) + (v - 80) * (v - 80)) / (2 * 11.0 * 11));
      const double level = 110 + 0.2 * u - 0.1 * v + glare;
      for (int c = 0; c < 3; ++c) codes.push_back(static_cast<uint8_t>(level + 0.5));
    }
  }
  WriteSrgbPng(path, kSize, 8, codes.data());
}

std::string Scene(const std::string& artwork) {
  return "title = \"t\"\n[photo]\nfile = \"photo.png\"\nfocal_px = 300\n[[surface]]\nname = "
         "\"board\"\nshape = \"plane\"\nsize = [200, 160]\ncorners = "
         "[[10,10],[210,14],[208,170],[12,166]]\nsubstrate = { reflectance = [0.8, 0.8, 0.8] }\n"
         "[[placement]]\nsurface = \"board\"\nartwork = \"" +
         artwork + "\"\nwidth = 150\nink = { opacity = 0.5, texture = 0.4 }\n";
}

std::string Svg(const std::string& colour) {
  return "<svg xmlns='http://www.w3.org/2000/svg' width='40' height='30'><circle cx='20' cy='15' "
         "r='13' fill='" +
         colour + "'/></svg>";
}

TEST_CASE("Light: one analysis serves many artworks, to the bit", "[composite][invariant]") {
  const TempFolder folder;
  WritePhoto(folder / "photo.png");
  WriteText(folder / "a.svg", Svg("#101820"));
  WriteText(folder / "b.svg", Svg("#f2aa4c"));
  const RenderedScene first = RenderText(folder, Scene("a.svg"), std::nullopt);
  const RenderedScene second = RenderText(folder, Scene("b.svg"), std::nullopt);
  REQUIRE(first.scene->surfaces[0].charts[0].gloss);  // there is light to be reused

  // The second artwork on the first's analysis, under the first's name.
  const std::string path = folder / "b.svg";
  auto artwork = ReadArtwork({path, {path}, "artwork"});
  if (!artwork) FAIL(FormatErrors(artwork.errors()));
  ArtworkByName by_name;
  by_name["a.svg"] = std::move(*artwork);
  const auto drawn = PrepareArtworks(*first.scene, by_name);
  if (!drawn) FAIL(FormatErrors(drawn.errors()));
  const Compositor compositor(*first.scene, *drawn);
  Bytes codes(WholePicture(first).size());
  compositor.CompositeBand(0, kSize.height, codes.data());

  CHECK(codes == WholePicture(second));
  CHECK(codes != WholePicture(first));
}

}  // namespace
}  // namespace wheatpaste

// drawing_support.h - short ways from SVG text to a drawing that can be measured.
#pragma once

#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/artwork.h"
#include "brand/flat_drawing.h"

namespace wheatpaste::test {

inline std::shared_ptr<const Artwork> SvgOf(const std::string& text) {
  auto art = DecodeArtwork(Bytes(text.begin(), text.end()), {"art.svg", {"scene.toml", 1, 1}, ""});
  if (!art) FAIL(FormatErrors(art.errors()));
  return *art;
}

// An SVG of so many mm, one unit a mm.
inline std::string SvgText(double width_mm, double height_mm, const std::string& inside) {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" "
      "viewBox=\"0 0 {0} {1}\">{2}</svg>",
      width_mm, height_mm, inside);
}

inline constexpr Srgb8 kPond{0x0f, 0x4a, 0x3f}, kCream{0xf6, 0xed, 0xd8}, kOchre{0xe3, 0xa0, 0x2c};

// Drawn at its own size at `px_per_mm`; it may hold pond green, and `more`.
inline FlatDrawing Drawn(double width_mm, double height_mm, const std::string& inside,
                         double px_per_mm, const std::vector<Srgb8>& more = {}) {
  const auto art = SvgOf(SvgText(width_mm, height_mm, inside));
  std::vector<MainColour> colours{{kPond, 0.1}};
  for (const Srgb8& colour : more) colours.push_back({colour, 0.1});
  const auto raster =
      art->Rasterise({std::llround(width_mm * px_per_mm), std::llround(height_mm * px_per_mm)});
  REQUIRE(raster.ok());
  return TellApart(raster->view(), 1 / px_per_mm, colours);
}

}  // namespace wheatpaste::test

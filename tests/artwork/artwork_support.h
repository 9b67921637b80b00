// artwork_support.h - short ways to artwork for the tests of this folder.
#pragma once

#include <memory>
#include <string>

#include <catch2/catch.hpp>

#include "artwork/artwork.h"

namespace wheatpaste::test {

inline Placed<std::string> At(const std::string& file) {
  return {file, {"scene.toml", 4, 11}, "placement.artwork"};
}

inline Bytes BytesOf(const std::string& text) { return Bytes(text.begin(), text.end()); }

inline std::shared_ptr<const Artwork> SvgFrom(const std::string& text) {
  auto art = DecodeArtwork(BytesOf(text), At("art.svg"));
  if (!art) FAIL(FormatErrors(art.errors()));
  return *art;
}

// The first error's line, "" when the file is accepted.
inline std::string Refusal(const std::string& text, const std::string& name = "art.svg") {
  auto art = DecodeArtwork(BytesOf(text), At(name));
  return art.ok() ? "" : FormatError(art.errors().front());
}

// Largest difference of any value between two rasters of one size.
inline double LargestDifference(const Image<LinearPremul>& a, const Image<LinearPremul>& b) {
  REQUIRE(a.size() == b.size());
  double worst = 0;
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t y = 0; y < a.height(); ++y) {
      for (int64_t x = 0; x < a.width(); ++x) {
        worst =
            std::max(worst, std::abs(static_cast<double>(a.row(plane, y)[x]) - b.row(plane, y)[x]));
      }
    }
  }
  return worst;
}

}  // namespace wheatpaste::test

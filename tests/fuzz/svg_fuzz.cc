// svg_fuzz.cc - any bytes as SVG artwork: a raster of finite values, or errors of one line each.
//
// In here the scanner and the averaging, which are ours, run in this process, under its sanitizers.
// Child   reads and draws; running out of its time is an answer, ending by a signal is a finding.
//         Its memory has no limit here, as sanitizers need the addresses.
// Colours each exchanged for itself gives the same bytes; other colours break no drawing that could be
//         drawn.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <optional>
#include <string>

#include "artwork/artwork.h"
#include "artwork/drawing_process.h"
#include "artwork/recolour.h"
#include "artwork/scan_svg.h"
#include "require.h"

namespace {

using namespace wheatpaste;

void CheckErrors(const Errors& errors) {
  for (const Error& error : errors) {
    const std::string line = RequireOneLine(error);
    // Looked for at the start only: a message may quote the file, and the fuzzer learns the words.
    Require(!error.message.starts_with("the drawing ended early"), line);
  }
}

// The text in other colours, where it can be recoloured.
std::optional<Bytes> Recoloured(std::string_view text, const Placed<std::string>& path) {
  Recolouring recolouring{.exact = {{{0, 0, 0}, {0, 0, 0}}}};
  auto same = RecolourSvg(text, recolouring, path);
  if (!same) {
    CheckErrors(same.errors());
    return std::nullopt;
  }
  Require(std::equal(same->svg.begin(), same->svg.end(), text.begin(), text.end()),
          "the same bytes in the same colours");
  for (const Srgb8& colour : same->colours) recolouring.exact[colour] = {1, 2, 3};
  recolouring.others = Srgb8{4, 5, 6};
  auto other = RecolourSvg(text, recolouring, path);
  Require(other.ok(), "recoloured where it could be before");
  return std::move(other->svg);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  drawing_limits() = {5, 5};
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  // Other formats have targets of their own.
  if (!LooksLikeSvg(text)) return 0;
  const Placed<std::string> path{"fuzz.svg", {"scene.toml", 4, 11}, "placement.artwork"};
  auto art = DecodeArtwork(Bytes(data, data + size), path);
  if (!art) {
    CheckErrors(art.errors());
    return 0;
  }
  if (auto recoloured = Recoloured(text, path)) {
    const auto again = DecodeArtwork(std::move(*recoloured), path);
    if (!again) CheckErrors(again.errors());
    Require(again.ok(), "drawn in other colours too");
  }
  Require((*art)->aspect() > 0 && std::isfinite((*art)->aspect()), "an aspect above 0");
  auto raster = (*art)->Rasterise({64, 64});
  if (!raster) {
    CheckErrors(raster.errors());
    return 0;
  }
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t i = 0; i < 64 * 64; ++i) {
      const float value = raster->row(plane, i / 64)[i % 64];
      Require(value >= 0 && value <= 1.0001f, "light from 0 to 1");
    }
  }
  return 0;
}

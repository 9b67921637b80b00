// svg_fuzz.cc - any bytes as SVG artwork: a raster of finite values or errors of one line each. The
// child that draws may not end in any way but by an answer or its deadline.
#include <cmath>
#include <cstdint>
#include <string>

#include "artwork/artwork.h"
#include "artwork/drawing_process.h"
#include "artwork/scan_svg.h"
#include "base/check.h"

namespace {

using namespace wheatpaste;

void CheckErrors(const Errors& errors) {
  for (const Error& error : errors) {
    const std::string line = FormatError(error);
    WHEATPASTE_CHECK(line.find('\n') == std::string::npos);
    WHEATPASTE_CHECK(line.find("ended early") == std::string::npos);
  }
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
  WHEATPASTE_CHECK((*art)->aspect() > 0 && std::isfinite((*art)->aspect()));
  auto raster = (*art)->Rasterise({64, 64});
  if (!raster) {
    CheckErrors(raster.errors());
    return 0;
  }
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t i = 0; i < 64 * 64; ++i) {
      const float value = raster->row(plane, i / 64)[i % 64];
      WHEATPASTE_CHECK(value >= 0 && value <= 1.0001f);
    }
  }
  return 0;
}

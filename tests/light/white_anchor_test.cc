// white_anchor_test.cc - the photo's white, and a material against it.
#include "light/white_anchor.h"

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

TEST_CASE("White: neither clipped nor coloured pixels, however bright", "[light][closed-form]") {
  Image<SceneLinear> light(SizePx{100, 100});
  for (int64_t i = 0; i < 10000; ++i) {
    // A tenth is a white in warm light, a tenth saturated yellow, a tenth clipped.
    const float grey[3] = {0.3f, 0.3f, 0.3f}, white[3] = {0.8f, 0.76f, 0.64f};
    const float yellow[3] = {0.95f, 0.9f, 0.2f}, clipped[3] = {1, 1, 1};
    const float* pixel = i % 10 == 1 ? white : i % 10 == 2 ? yellow : i % 10 == 3 ? clipped : grey;
    for (int c = 0; c < 3; ++c) light.row(c, i / 100)[i % 100] = pixel[c];
  }
  const SceneLinear found = FindWhite(light.view());
  CHECK(found.r == Approx(0.8f));
  CHECK(found.g == Approx(0.76f));
  CHECK(found.b == Approx(0.64f));

  Separation surface;
  surface.shading = Image<RelativeLight>(SizePx{10, 10});
  for (int64_t y = 0; y < 10; ++y) std::fill_n(surface.shading.row(0, y), 10, 0.4f);
  surface.material = {1.25, 1.0, 0.8};
  const Reflectance read = AnchorMaterial(surface, found);
  CHECK(read.r == Approx(0.9 * 0.4 * 1.25 / 0.8));
  CHECK(read.g == Approx(0.9 * 0.4 / 0.76));
  CHECK(read.b == Approx(0.9 * 0.4 * 0.8 / 0.64));
}

}  // namespace
}  // namespace wheatpaste

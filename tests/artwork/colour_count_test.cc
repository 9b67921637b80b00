// Colours counted while something else has the artwork drawn.
#include "artwork/colour_count.h"

#include <catch2/catch.hpp>

#include "artwork_support.h"
#include "base/parallel.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

constexpr char kStripes[] =
    "<svg xmlns='http://www.w3.org/2000/svg' width='100' height='100'>"
    "<rect width='100' height='70' fill='#0d3b66'/>"
    "<rect y='70' width='100' height='20' fill='#f4d35e'/></svg>";

// An image of one colour.
Image<LinearPremul> Plain(SizePx size, const Srgb8& colour) {
  Image<LinearPremul> image(size);
  const SceneLinear linear = LinearFromSrgb(colour);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      image.row(0, y)[x] = static_cast<float>(linear.r);
      image.row(1, y)[x] = static_cast<float>(linear.g);
      image.row(2, y)[x] = static_cast<float>(linear.b);
      image.row(3, y)[x] = 1;
    }
  }
  return image;
}

}  // namespace

// Limit  4 px of 900 rows along the two edges that a stripe has, none of which is flat.
TEST_CASE("Colour count: a drawing that is looked on has its shares, and the same pixels",
          "[artwork][closed-form]") {
  const auto art = SvgFrom(kStripes);
  const auto count = std::make_shared<ColourCount>();
  const auto counted = CountWhenDrawn(art, count);
  CHECK(count->Colours().empty());
  const auto drawn = counted->Rasterise({800, 1000});
  REQUIRE(drawn.ok());
  CHECK(LargestDifference(*drawn, *art->Rasterise({800, 1000})) == 0);
  const auto colours = count->Colours();
  REQUIRE(colours.size() == 2);
  CHECK(colours[0].colour == Srgb8{0x0d, 0x3b, 0x66});
  CHECK(colours[0].share == Approx(70.0 / 90).margin(4.0 / 900));
  CHECK(colours[1].colour == Srgb8{0xf4, 0xd3, 0x5e});
  CHECK(colours[1].share == Approx(20.0 / 90).margin(4.0 / 900));
  CHECK(counted->aspect() == art->aspect());
  CHECK(counted->is_vector());
  CHECK(counted->width_mm().value == art->width_mm().value);
}

TEST_CASE("Colour count: the same for any number of threads", "[artwork][invariant]") {
  const auto shares = [](int threads) {
    const ThreadLimit limit(threads);
    const auto count = std::make_shared<ColourCount>();
    REQUIRE(CountWhenDrawn(SvgFrom(kStripes), count)->Rasterise({900, 800}).ok());
    std::vector<std::pair<Srgb8, double>> found;
    for (const MainColour& colour : count->Colours())
      found.emplace_back(colour.colour, colour.share);
    return found;
  };
  const auto one = shares(1);
  REQUIRE(one.size() == 2);
  for (const int threads : {2, 3, 8}) CHECK(shares(threads) == one);
}

// Every code of 256: each its own centre under rounding, whatever the table in between.
TEST_CASE("Colour count: every code is told exactly, pieces weigh by their area",
          "[artwork][closed-form]") {
  for (int code = 0; code < 256; ++code) {
    const auto byte = static_cast<uint8_t>(code);
    const Srgb8 colour{byte, static_cast<uint8_t>(255 - code), 77};
    ColourCount count;
    count.Add(Plain({5, 4}, colour).view());
    const auto colours = count.Colours();
    REQUIRE(colours.size() == 1);
    CHECK(colours[0].colour == colour);
    CHECK(colours[0].share == 1);
  }
  ColourCount count;
  count.Add(Plain({10, 3}, {255, 0, 0}).view());
  count.Add(Plain({10, 7}, {0, 0, 255}).view());
  const auto colours = count.Colours();
  REQUIRE(colours.size() == 2);
  CHECK(colours[0].colour == Srgb8{0, 0, 255});
  CHECK(colours[0].share == 0.7);
}

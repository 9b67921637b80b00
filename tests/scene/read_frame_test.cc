// [frame]: what of the photo must be seen.
#include <catch2/catch.hpp>

#include "scene_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

const std::string kScene = kPhoto + kPoster;  // lines 1 to 7

}  // namespace

TEST_CASE("Frame: a rectangle or a surface with its margin", "[scene][closed-form]") {
  CHECK_FALSE(Parse(kScene)->frame);
  const auto rectangle = Parse(kScene + "[frame]\nrectangle = [10, 20.5, 300, 400]\n");
  REQUIRE(rectangle.ok());
  REQUIRE(rectangle->frame);
  CHECK(rectangle->frame->rectangle == std::array<double, 4>{10, 20.5, 300, 400});
  const std::string second = "[[surface]]\nname = \"cart\"\nshape = \"plane\"\n" + kCorners;
  const auto surface = Parse(kScene + second + "[frame]\nsurface = \"cart\"\n");
  REQUIRE(surface.ok());
  CHECK_FALSE(surface->frame->rectangle);
  CHECK(surface->frame->surface == 1);
  CHECK(surface->frame->margin == 0.15);
  const auto margin = Parse(kScene + "[frame]\nmargin = 0\nsurface = \"poster\"\n");
  REQUIRE(margin.ok());
  CHECK(margin->frame->margin == 0);
  CHECK(margin->frame->place.line == 10);
}

TEST_CASE("Frame: mistakes in it", "[scene][bad-input]") {
  const auto errors = [](const std::string& lines) { return ErrorsOf(kScene + lines); };
  const std::string at = "scenes/x.toml:";
  const std::string forms =
      "rectangle = [left, top, right, bottom] in photo px, or surface = \"NAME\"\n";
  CHECK(ErrorsOf("frame = 4\n" + kScene) ==
        at + "1:9: error: frame = 4: expected a [frame] table with " + forms);
  CHECK(errors("[frame]\n") == at + "8:1: error: frame: missing; expected " + forms);
  CHECK(
      errors("[frame]\nrectangle = [1, 2, 3]\n") ==
      at + "9:13: error: frame.rectangle = [1, 2, 3]: expected [left, top, right, bottom] in photo "
           "px\n");
  CHECK(errors("[frame]\nrectangle = [300, 2, 300, 9]\n") ==
        at + "9:13: error: frame.rectangle = [300, 2, 300, 9]: expected the right beyond the left "
             "and the bottom below the top\n");
  CHECK(errors("[frame]\nrectangle = [0, 0, nan, 9]\n") ==
        at + "9:20: error: frame.rectangle = [0, 0, nan, 9]: expected a finite number\n");
  CHECK(errors("[frame]\nsurface = \"postr\"\n") ==
        at + "9:11: error: frame.surface = \"postr\": no surface has this name; did you mean "
             "\"poster\"?\n");
  CHECK(errors("[frame]\nsurface = \"xyz\"\n") ==
        at + "9:11: error: frame.surface = \"xyz\": no surface has this name; there are: "
             "\"poster\"\n");
  CHECK(errors("[frame]\nsurface = \"poster\"\nmargin = 3\n") ==
        at + "10:10: error: frame.margin = 3: expected a share of the larger side, from 0 to 2\n");
  CHECK(errors("[frame]\nsurface = \"poster\"\nrectangle = [0, 0, 9, 9]\nmargin = 1\n") ==
        at + "9:11: error: frame.surface = \"poster\": expected rectangle or surface, not both\n" +
            at +
            "11:10: error: frame.margin = 1: expected it beside surface alone; a rectangle says "
            "where it ends\n");
  CHECK(errors("[frame]\nsurfase = \"poster\"\nsurface = \"poster\"\n") ==
        at + "9:1: error: frame.surfase: unknown key; did you mean surface?\n");
}

#include "surface/frame.h"

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

TEST_CASE("Frame: the photo's own size is the photo, pixel for pixel", "[surface][closed-form]") {
  const Frame frame = FramePhoto({1600, 1200}, {1600, 1200});
  CHECK(frame.is_photo());
  CHECK(frame.scale() == 1);
  CHECK(frame.window.x0 == 0);
  CHECK(frame.window.y0 == 0);
  const OutputPx p = frame.output_from_photo()(PhotoPx{12.25, 700.5});
  CHECK(p.x == 12.25);
  CHECK(p.y == 700.5);
}

TEST_CASE("Frame: another size of the same aspect ratio shows the whole photo",
          "[surface][closed-form]") {
  const Frame frame = FramePhoto({1600, 1200}, {400, 300});
  CHECK_FALSE(frame.is_photo());
  CHECK(frame.scale() == 0.25);
  CHECK(frame.window.width == 1600);
  CHECK(frame.window.height == 1200);
  // The photo's outer corner is the picture's outer corner.
  const OutputPx corner = frame.output_from_photo()(PhotoPx{1600, 1200});
  CHECK(corner.x == 400);
  CHECK(corner.y == 300);
}

TEST_CASE("Frame: another aspect ratio shows the largest centred part, unstretched",
          "[surface][closed-form]") {
  const Frame wide = FramePhoto({1600, 1200}, {1920, 1080});
  CHECK(wide.window.width == Approx(1600));
  CHECK(wide.window.height == Approx(900));
  CHECK(wide.window.y0 == Approx(150));
  CHECK(wide.window.x0 == Approx(0).margin(1e-9));
  const Frame tall = FramePhoto({1600, 1200}, {900, 1600});
  CHECK(tall.window.height == Approx(1200));
  CHECK(tall.window.width == Approx(675));
  CHECK(tall.window.x0 == Approx(462.5));
  for (const Frame& frame : {wide, tall}) {
    const auto middle = frame.output_from_photo()(PhotoPx{800, 600});
    CHECK(middle.x == Approx(static_cast<double>(frame.size.width) / 2));
    CHECK(middle.y == Approx(static_cast<double>(frame.size.height) / 2));
    const auto jacobian = frame.output_from_photo().Jacobian(PhotoPx{10, 10});
    CHECK(jacobian(0, 0) == Approx(jacobian(1, 1)));
    CHECK(jacobian(0, 1) == 0);
  }
}

}  // namespace
}  // namespace wheatpaste

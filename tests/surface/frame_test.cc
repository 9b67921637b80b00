#include "surface/frame.h"

#include <algorithm>
#include <cstdint>
#include <utility>

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

// What must be seen, in a photo of 1600 x 1200.
constexpr SizePx kPhoto{1600, 1200};
const SourceWindow kSeen{300, 200, 400, 600};  // centre 500, 500

// Photo px per output px, across and down.
std::pair<double, double> StepsOf(const FrameOnSheet& framed) {
  return {framed.window.width / static_cast<double>(framed.size.width),
          framed.window.height / static_cast<double>(framed.size.height)};
}

void CheckInPhoto(const FrameOnSheet& framed, SizePx photo) {
  const SourceWindow& w = framed.window;
  CHECK(w.x0 >= -1e-9);
  CHECK(w.y0 >= -1e-9);
  CHECK(w.x0 + w.width <= static_cast<double>(photo.width) + 1e-9);
  CHECK(w.y0 + w.height <= static_cast<double>(photo.height) + 1e-9);
  CHECK(StepsOf(framed).first == Approx(StepsOf(framed).second).epsilon(1e-12));
}

TEST_CASE("Frame on a sheet: cover is the smallest window that holds what must be seen",
          "[surface][closed-form]") {
  // 3 : 2, so its height decides: 600 px high, 900 wide, around the centre 500, 500.
  const FrameOnSheet wide = FrameOnto({{300, 200}, {300, 200}}, PictureFit::kCover, kPhoto, kSeen);
  CHECK(wide.window.width == Approx(900));
  CHECK(wide.window.height == Approx(600));
  CHECK(wide.window.x0 == Approx(50));
  CHECK(wide.window.y0 == Approx(200));
  CHECK(wide.picture == RectPx{0, 0, 300, 200});
  CHECK(wide.seen == Approx(1));
  // 2 : 1, 1200 px wide: centred it would begin at -100, so it is moved to the photo's edge.
  const FrameOnSheet wider = FrameOnto({{400, 200}, {400, 200}}, PictureFit::kCover, kPhoto, kSeen);
  CHECK(wider.window.x0 == Approx(0).margin(1e-9));
  CHECK(wider.window.width == Approx(1200));
  CHECK(wider.seen == Approx(1));
  // 10 : 1 would take 6000 px: the whole width, 160 px of the 600 px that must be seen.
  const FrameOnSheet band =
      FrameOnto({{1000, 100}, {1000, 100}}, PictureFit::kCover, kPhoto, kSeen);
  CHECK(band.window.width == Approx(1600));
  CHECK(band.window.y0 == Approx(500 - 80));
  CHECK(band.seen == Approx(160.0 / 600));
  for (const FrameOnSheet& framed : {wide, wider, band}) CheckInPhoto(framed, kPhoto);
}

TEST_CASE("Frame on a sheet: bleed shows more of the photo around the same trimmed picture",
          "[surface][closed-form]") {
  // 2 photo px to each px of the sheet: 10 px of bleed are 20 photo px.
  const SheetSize sheet{{450, 300}, {470, 320}};
  const FrameOnSheet framed = FrameOnto(sheet, PictureFit::kCover, kPhoto, kSeen);
  CHECK(TrimWithin(sheet) == RectPx{10, 10, 460, 310});
  CHECK(framed.window.x0 == Approx(50 - 20));
  CHECK(framed.window.y0 == Approx(200 - 20));
  CHECK(framed.window.width == Approx(940));
  CHECK(framed.seen == Approx(1));
  CheckInPhoto(framed, kPhoto);
  // All of the photo must be seen, and then there is none for the bleed: 300 of 320 px remain, both ways.
  const FrameOnSheet whole =
      FrameOnto({{400, 300}, {420, 320}}, PictureFit::kCover, kPhoto, WholeWindow(kPhoto));
  CHECK(whole.seen == Approx(0.9375 * 0.9375));
  CheckInPhoto(whole, kPhoto);
  // Nothing in particular: the largest part that has the shape of the whole.
  const FrameOnSheet centred = FrameOnto(sheet, PictureFit::kCover, kPhoto, {});
  CHECK(centred.window.width == Approx(1600));
  CHECK(centred.window.x0 == Approx(0).margin(1e-9));
  CHECK(centred.window.y0 == Approx((1200 - 1600 * 320.0 / 470) / 2));
}

TEST_CASE("Frame on a sheet: contain shows all of it, as large as the sheet takes it",
          "[surface][closed-form]") {
  // The whole photo on an upright sheet: 300 px wide, 225 high, in the middle of 400.
  const FrameOnSheet whole = FrameOnto({{300, 400}, {300, 400}}, PictureFit::kContain, kPhoto, {});
  CHECK(whole.window == WholeWindow(kPhoto));
  CHECK(whole.picture == RectPx{0, 87, 300, 312});
  CHECK(whole.size == SizePx{300, 225});
  // At the photo's own size its pixels stay as they are.
  const FrameOnSheet same =
      FrameOnto({{1600, 2000}, {1600, 2000}}, PictureFit::kContain, kPhoto, {});
  CHECK(FramePhoto(kPhoto, PictureWish{same.size, same.window}).is_photo());
  CHECK(same.picture == RectPx{0, 400, 1600, 1600});
  // What must be seen alone, upright on a square: 200 x 300 px.
  const FrameOnSheet part =
      FrameOnto({{300, 300}, {300, 300}}, PictureFit::kContain, kPhoto, kSeen);
  CHECK(part.window == kSeen);
  CHECK(part.picture == RectPx{50, 0, 250, 300});
}

TEST_CASE("Frame on a sheet: a contained picture goes into the bleed where it touches the edge",
          "[surface][closed-form]") {
  // 2 photo px to a px. Above and below the picture touches; left and right it does not.
  const SheetSize sheet{{300, 300}, {340, 340}};
  const FrameOnSheet part = FrameOnto(sheet, PictureFit::kContain, kPhoto, kSeen);
  CHECK(part.picture == RectPx{70, 0, 270, 340});
  CHECK(part.window.y0 == Approx(200 - 40));
  CHECK(part.window.height == Approx(680));
  CHECK(part.window.x0 == Approx(300));
  CHECK_FALSE(part.bleed_ends);
  CheckInPhoto(part, kPhoto);
  // Only 20 photo px above it: 10 px of the bleed, the rest is ground.
  const FrameOnSheet near_edge =
      FrameOnto(sheet, PictureFit::kContain, kPhoto, SourceWindow{300, 20, 400, 600});
  CHECK(near_edge.picture == RectPx{70, 10, 270, 340});
  CHECK(near_edge.bleed_ends);
  CheckInPhoto(near_edge, kPhoto);
}

TEST_CASE("Frame: a crop of the photo's own size is not the photo", "[surface][closed-form]") {
  const Frame crop = FramePhoto(kPhoto, PictureWish{kPhoto, SourceWindow{100, 75, 1400, 1050}});
  CHECK_FALSE(crop.is_photo());
  CHECK(crop.scale() == Approx(1600.0 / 1400));
  CHECK(FramePhoto(kPhoto, PictureWish{}).is_photo());
}

// Shapes and sizes in all their combinations: within the photo, never stretched, and seen where it can be.
TEST_CASE("Frame on a sheet: stays within the photo and keeps its shape", "[surface][invariant]") {
  uint32_t state = 5;
  const auto below = [&state](int64_t most) {
    state = state * 1664525 + 1013904223;
    return 1 + static_cast<int64_t>(state >> 8) % most;
  };
  for (int i = 0; i < 2000; ++i) {
    const SizePx photo{below(3000), below(3000)}, trimmed{below(2000), below(2000)};
    const int64_t bleed = below(60) - 1;
    const SheetSize sheet{trimmed, {trimmed.width + bleed, trimmed.height + bleed}};
    const double x0 = static_cast<double>(below(photo.width) - 1);
    const double y0 = static_cast<double>(below(photo.height) - 1);
    const SourceWindow seen{x0, y0,
                            static_cast<double>(below(photo.width - static_cast<int64_t>(x0))),
                            static_cast<double>(below(photo.height - static_cast<int64_t>(y0)))};
    INFO(photo.width << "x" << photo.height << " on " << trimmed.width << "x" << trimmed.height
                     << " bleed " << bleed << " seen " << seen.x0 << " " << seen.y0 << " "
                     << seen.width << " " << seen.height);
    const FrameOnSheet cover = FrameOnto(sheet, PictureFit::kCover, photo, seen);
    CheckInPhoto(cover, photo);
    const double step = cover.window.width / static_cast<double>(cover.size.width);
    // Of the window of the sheet's shape around it; a photo that has room for that, shows all of it.
    const double needed = std::max(seen.width / static_cast<double>(trimmed.width),
                                   seen.height / static_cast<double>(trimmed.height));
    if (step >= needed * (1 - 1e-9) && bleed == 0) CHECK(cover.seen == Approx(1));
    const FrameOnSheet contain = FrameOnto(sheet, PictureFit::kContain, photo, seen);
    CheckInPhoto(contain, photo);
    CHECK(contain.picture.x0 >= 0);
    CHECK(contain.picture.y1 <= sheet.with_bleed.height);
    CHECK((contain.picture.width() >= trimmed.width || contain.picture.height() >= trimmed.height));
  }
}

}  // namespace
}  // namespace wheatpaste

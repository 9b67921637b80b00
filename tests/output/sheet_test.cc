// A picture on its sheet: every pixel of the canvas by arithmetic.
#include "output/sheet.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "transicc.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

// 1 px a mm: marks 5 px long, 2 px off the bleed, with 1 px around them.
constexpr Ppi kPxPerMm{25.4};
constexpr SizePx kBled{30, 20};
constexpr RectPx kTrim{3, 3, 27, 17};
constexpr RectPx kPicture{0, 5, 30, 15};

bool Within(const RectPx& rect, int64_t x, int64_t y) {
  return x >= rect.x0 && x < rect.x1 && y >= rect.y0 && y < rect.y1;
}

// Codes that tell channel, column and row apart.
template <typename Code>
std::vector<Code> PictureCodes(SizePx size, int channels) {
  std::vector<Code> codes;
  for (int64_t i = 0; i < size.area() * channels; ++i) {
    codes.push_back(static_cast<Code>(1 + i * 7 % 250));
  }
  return codes;
}

template <typename Code>
RowSource SourceOf(const std::vector<Code>& codes, int64_t codes_per_row) {
  return [&codes, codes_per_row](int64_t y0, int64_t) {
    return reinterpret_cast<const uint8_t*>(codes.data() + y0 * codes_per_row);
  };
}

Profile ReadProfile(const std::string& name) {
  const std::string path = SourcePath("assets-open/profiles/" + name);
  const auto bytes = ReadWholeFile({path, {path}, ""}, kMaxProfileBytes);
  return Profile::FromBytes(bytes.value(), {path}, "").value();
}

// The whole canvas, asked for in bands of `band` rows.
template <typename Code>
std::vector<Code> AllRows(const SheetLayout& layout, const Profile& profile, const Srgb8& ground,
                          const RowSource& picture, int64_t band) {
  SheetRows rows(layout, 8 * sizeof(Code), profile, ground, picture);
  const auto codes_per_row =
      static_cast<size_t>(layout.canvas.width * ChannelCount(profile.model()));
  std::vector<Code> all;
  for (int64_t y0 = 0; y0 < layout.canvas.height; y0 += band) {
    const int64_t y1 = std::min(y0 + band, layout.canvas.height);
    const auto* codes = reinterpret_cast<const Code*>(rows.Rows(y0, y1));
    all.insert(all.end(), codes, codes + codes_per_row * static_cast<size_t>(y1 - y0));
  }
  return all;
}

}  // namespace

TEST_CASE("Sheet: without marks the canvas is the sheet with its bleed", "[output][closed-form]") {
  const SheetLayout layout = LayOutSheet(kBled, kTrim, kPicture, {});
  CHECK(layout.canvas == kBled);
  CHECK(layout.bleed == WholeOf(kBled));
  CHECK(layout.trim == kTrim);
  CHECK(layout.picture == kPicture);
  CHECK(layout.marks.empty());
}

TEST_CASE("Sheet: crop marks lie on the lines of the cut, off the bleed", "[output][closed-form]") {
  const SheetLayout layout = LayOutSheet(kBled, kTrim, kPicture, kPxPerMm);
  CHECK(layout.canvas == SizePx{46, 36});
  CHECK(layout.bleed == RectPx{8, 8, 38, 28});
  CHECK(layout.trim == RectPx{11, 11, 35, 25});
  const std::vector<RectPx> marks{
      {10, 1, 11, 6}, {10, 30, 11, 35}, {35, 1, 36, 6}, {35, 30, 36, 35},  // upright
      {1, 10, 6, 11}, {40, 10, 45, 11}, {1, 25, 6, 26}, {40, 25, 45, 26}};
  CHECK(layout.marks == marks);
  // At 300 ppi: 0.25 pt are 1.04 px, 5 mm 59.06, 2 mm 23.6; at 1200 ppi 0.25 pt are 4.2 px.
  const SheetLayout fine = LayOutSheet({2551, 3579}, {35, 35, 2515, 3543}, {}, Ppi{300});
  CHECK(fine.marks[0].width() == 1);
  CHECK(fine.marks[0].height() == 59);
  CHECK(fine.bleed.y0 - fine.marks[0].y1 == 24);
  CHECK(LayOutSheet(kBled, kTrim, kPicture, Ppi{1200}).marks[0].width() == 4);
}

TEST_CASE("Sheet: paper, marks, ground and picture, pixel by pixel, in any bands",
          "[output][closed-form]") {
  const SheetLayout layout = LayOutSheet(kBled, kTrim, kPicture, kPxPerMm);
  const Profile srgb = Profile::Srgb();
  const auto codes = PictureCodes<uint8_t>({30, 10}, 3);
  const auto all =
      AllRows<uint8_t>(layout, srgb, {20, 130, 240}, SourceOf(codes, 90), layout.canvas.height);
  int wrong = 0;
  for (int64_t y = 0; y < layout.canvas.height; ++y) {
    for (int64_t x = 0; x < layout.canvas.width; ++x) {
      std::array<int, 3> expected{255, 255, 255};
      if (Within(layout.bleed, x, y)) expected = {20, 130, 240};
      for (const RectPx& mark : layout.marks) {
        if (Within(mark, x, y)) expected = {0, 0, 0};
      }
      for (size_t c = 0; c < 3; ++c) {
        if (Within(layout.picture, x, y)) {
          expected[c] = codes[static_cast<size_t>((y - layout.picture.y0) * 90 +
                                                  (x - layout.picture.x0) * 3) +
                              c];
        }
        wrong += all[static_cast<size_t>((y * layout.canvas.width + x) * 3) + c] != expected[c];
      }
    }
  }
  CHECK(wrong == 0);
  for (const int64_t band : {1, 7, 16}) {
    CHECK(AllRows<uint8_t>(layout, srgb, {20, 130, 240}, SourceOf(codes, 90), band) == all);
  }
}

// Source  transicc of LittleCMS: the ground through the press's profile, relative, black-point compensation.
// Limit   0.01 % of ink: each interpolates the profile in its own steps; 0.005 measured.
TEST_CASE("Sheet: in CMYK marks are all inks, paper is none, the ground is separated",
          "[output][reference]") {
  const SheetLayout layout = LayOutSheet(kBled, kTrim, kPicture, kPxPerMm);
  const Profile press = ReadProfile("coated_offset.icc");
  const auto codes = PictureCodes<uint16_t>({30, 10}, 4);
  const auto all = AllRows<uint16_t>(layout, press, {0xc0, 0x20, 0x20}, SourceOf(codes, 120), 5);
  const auto at = [&](int64_t x, int64_t y) {
    const uint16_t* pixel = all.data() + (y * layout.canvas.width + x) * 4;
    return std::vector<int>(pixel, pixel + 4);
  };
  CHECK(at(0, 0) == std::vector<int>{0, 0, 0, 0});
  CHECK(at(10, 3) == std::vector<int>{65535, 65535, 65535, 65535});
  CHECK(at(8, 13) == std::vector<int>(codes.begin(), codes.begin() + 4));
  const auto inks = Transicc(
      "-i*sRGB '-o" + SourcePath("assets-open/profiles/coated_offset.icc") + "' -t1 -b -c0",
      "192 32 32");
  REQUIRE(inks.size() == 4);
  for (size_t i = 0; i < 4; ++i) {
    CHECK(at(8, 9)[i] / 655.35 == Approx(inks[i]).margin(0.01));
  }
  // White as a ground is paper, whatever the profile makes of white.
  const auto white = AllRows<uint16_t>(layout, press, {255, 255, 255}, SourceOf(codes, 120), 36);
  CHECK(white[static_cast<size_t>((9 * layout.canvas.width + 8) * 4)] == 0);
}

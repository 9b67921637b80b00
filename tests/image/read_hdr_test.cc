// Radiance pictures: pixels written by hand, other programs' files, damage.
#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>

#include "image/read_hdr.h"
#include "must_run.h"
#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

std::string Header(int64_t width, int64_t height) {
  return fmt::format("#?RADIANCE\n# by hand\nEXPOSURE=2\nFORMAT=32-bit_rle_rgbe\n\n-Y {} +X {}\n",
                     height, width);
}

std::string Pixel(int r, int g, int b, int e) {
  return {static_cast<char>(r), static_cast<char>(g), static_cast<char>(b), static_cast<char>(e)};
}

Result<Image<SceneLinear>> Decode(const std::string& text) {
  const auto* data = reinterpret_cast<const uint8_t*>(text.data());
  return DecodeHdr(Bytes(data, data + text.size()),
                   {"sky.hdr", {"scene.toml", 4, 8}, "stage.light_map.file"});
}

std::string ErrorOf(const std::string& text) {
  const auto image = Decode(text);
  return image.ok() ? "" : FormatErrors(image.errors());
}

// Rows packed by runs: 10 x 2, red ramps, green one run, blue 0, exponents in two parts.
std::string Packed() {
  std::string text = Header(10, 2);
  for (int y = 0; y < 2; ++y) {
    text += std::string("\x02\x02\x00\x0a", 4);
    text += '\x0a';
    for (int x = 0; x < 10; ++x) text += static_cast<char>(10 * x + y);
    text += std::string("\x8a\x80", 2);                      // 10 times 128
    text += std::string("\x8a\x00", 2);                      // 10 times 0
    text += std::string("\x84\x80\x02\x81\x82\x84\x88", 7);  // 4 of 128; 129, 130; 4 of 136
  }
  return text;
}

}  // namespace

TEST_CASE("Radiance: mantissas times 2^(e - 136), rows from the top", "[image][closed-form]") {
  const auto flat = Decode(Header(2, 2) + Pixel(128, 64, 255, 128) + Pixel(1, 2, 3, 136) +
                           Pixel(200, 200, 200, 0) + Pixel(255, 0, 1, 1));
  REQUIRE(flat.ok());
  CHECK(flat->size() == SizePx{2, 2});
  const float values[4][3] = {{0.5f, 0.25f, 255.0f / 256},
                              {1, 2, 3},
                              {0, 0, 0},  // an exponent of 0 is black
                              {std::ldexp(255.0f, -135), 0, std::ldexp(1.0f, -135)}};
  for (int i = 0; i < 4; ++i) {
    for (int plane = 0; plane < 3; ++plane) {
      CHECK(flat->row(plane, i / 2)[i % 2] == values[i][plane]);
    }
  }
  const auto packed = Decode(Packed());
  REQUIRE(packed.ok());
  for (int64_t y = 0; y < 2; ++y) {
    for (int64_t x = 0; x < 10; ++x) {
      const int e = x < 4 ? 128 : x == 4 ? 129 : x == 5 ? 130 : 136;
      CHECK(packed->row(0, y)[x] == std::ldexp(static_cast<float>(10 * x + y), e - 136));
      CHECK(packed->row(1, y)[x] == std::ldexp(128.0f, e - 136));
      CHECK(packed->row(2, y)[x] == 0);
    }
  }
}

// ImageMagick 6.9.11-60 (Debian 12) holds such a file as linear light; named sRGB it hands out the numbers unchanged,
// but for its own 16 bits: half a step of 65535 is 7.7e-6.
TEST_CASE("Radiance: the numbers that another program reads", "[image][reference]") {
  const TempFolder folder;
  MustRun(
      "/usr/bin/convert -size 33x17 -define quantum:format=floating-point -depth 32 "
      "gradient:#fff-#123 -set colorspace RGB 'HDR:" +
      (folder / "a.hdr") + "'");
  const std::string raw =
      MustRun("/usr/bin/convert '" + (folder / "a.hdr") +
              "' -set colorspace sRGB -depth 32 -define quantum:format=floating-point -endian LSB "
              "rgb:-");
  const auto image = ReadHdr({folder / "a.hdr", {"scene.toml", 4, 8}, "stage.light_map.file"});
  REQUIRE(image.ok());
  REQUIRE(image->size() == SizePx{33, 17});
  REQUIRE(raw.size() == size_t{33} * 17 * 3 * 4);
  float largest = 0;
  for (int64_t i = 0; i < 33 * 17 * 3; ++i) {
    float theirs = 0;
    std::memcpy(&theirs, raw.data() + 4 * i, 4);
    const float ours = image->row(static_cast<int>(i % 3), i / 3 / 33)[i / 3 % 33];
    largest = std::max(largest, ours);
    INFO(i);
    CHECK(ours == Approx(theirs).epsilon(0).margin(7.7e-6));
  }
  CHECK(largest > 0.5f);
}

TEST_CASE("Radiance: files that are none, too large, damaged", "[image][bad-input]") {
  const std::string at = "scene.toml:4:8: error: stage.light_map.file = \"sky.hdr\": ";
  CHECK(ErrorOf("") == at + "is no Radiance picture, expected an .hdr file\n");
  CHECK(ErrorOf("\x89PNG") == at + "is no Radiance picture, expected an .hdr file\n");
  const std::string header =
      at +
      "this Radiance picture is cut short or damaged (expected FORMAT=32-bit_rle_rgbe, and a "
      "line -Y HEIGHT +X WIDTH)\n";
  CHECK(ErrorOf("#?RADIANCE\n") == header);
  CHECK(ErrorOf("#?RADIANCE\nFORMAT=32-bit_rle_xyze\n\n-Y 2 +X 2\n") == header);
  CHECK(ErrorOf("#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n+Y 2 +X 2\n" + std::string(16, 'a')) ==
        header);
  for (const auto& [width, height] :
       {std::pair{60001, 1}, {0, 5}, {5, -5}, {10000, 10000}, {2147483647, 2147483647}}) {
    CHECK(ErrorOf(Header(width, height)).find(" px, expected 1 to 60000 px a side and at most") !=
          std::string::npos);
  }
  CHECK(ErrorOf(Header(5000, 5000) + std::string(1000, 'a')) ==
        at + "is cut short or damaged: 1072 bytes of coded picture cannot unfold to the 100000000 "
             "bytes its header promises\n");
  CHECK(ErrorOf(Packed().substr(0, Packed().size() - 1)) ==
        at + "this Radiance picture is cut short or damaged (it ends early)\n");
  const std::string bad =
      at + "this Radiance picture is cut short or damaged (a row does not unpack)\n";
  std::string other_width = Packed();
  other_width[Header(10, 2).size() + 3] = 11;
  CHECK(ErrorOf(other_width) == bad);
  std::string long_run = Packed();
  long_run[Header(10, 2).size() + 15] = '\x8b';
  CHECK(ErrorOf(long_run) == bad);
  CHECK(ErrorOf(Header(1, 1) + Pixel(255, 1, 1, 160)) ==
        at + "holds light of 4.27819e+09 at pixel 0, 0; expected at most 1e+09\n");
  const auto missing = ReadHdr({"/nowhere/a.hdr", {"scene.toml", 4, 8}, "k"});
  REQUIRE_FALSE(missing.ok());
}

TEST_CASE("Radiance: every beginning of a file is an error", "[image][bad-input]") {
  const std::string packed = Packed();
  const std::string flat = Header(2, 2) + std::string(16, '\x80');
  for (const std::string& text : {packed, flat}) {
    REQUIRE(Decode(text).ok());
    for (size_t length = 0; length < text.size(); ++length) {
      CHECK_FALSE(Decode(text.substr(0, length)).ok());
    }
    CHECK(Decode(text + "more").ok());
  }
  // Rows of empty runs come to an end with the file.
  CHECK_FALSE(
      Decode(Header(10, 2) + std::string("\x02\x02\x00\x0a", 4) + std::string(100, '\0')).ok());
}

#include "present/jpeg_picture.h"

#include <catch2/catch.hpp>

#include "colour/profile.h"
#include "colour/srgb.h"
#include "image/read_bitmap.h"
#include "output/write_picture.h"
#include "support.h"

namespace wheatpaste {
namespace {

// Stripes of one black and one white px, which average to half the light.
Bytes Stripes(SizePx size) {
  Bytes codes;
  for (int64_t i = 0; i < size.width * size.height; ++i) {
    const uint8_t code = i % size.width % 2 == 0 ? 0 : 255;
    codes.insert(codes.end(), {code, code, code});
  }
  return codes;
}

std::string Written(const test::TempFolder& folder, const std::string& name, SizePx size,
                    const Bytes& codes, const Profile* profile) {
  PictureFacts facts;
  facts.size = size;
  facts.profile = profile;
  const std::string path = folder / name;
  REQUIRE(WritePicture(path, *PictureFormatOf(path), facts, [&](int64_t y0, int64_t) {
            return codes.data() + y0 * size.width * 3;
          }).ok());
  return path;
}

TEST_CASE("Within: the longer side reaches the limit, nothing grows", "[present][closed-form]") {
  CHECK(Within({1920, 1080}, 480) == SizePx{480, 270});
  CHECK(Within({1080, 1920}, 480) == SizePx{270, 480});
  CHECK(Within({300, 200}, 480) == SizePx{300, 200});
  CHECK(Within({10'000, 1}, 100) == SizePx{100, 1});
}

TEST_CASE("JPEG picture: a file in sRGB goes as it is, byte for byte", "[present][invariant]") {
  const test::TempFolder folder;
  const Profile srgb = Profile::Srgb(), p3 = Profile::DisplayP3();
  const SizePx size{64, 40};
  const std::string path = Written(folder, "a.jpg", size, Stripes(size), &srgb);
  const auto bytes = ReadWholeFile({path, {path}, ""}, 1 << 20);
  REQUIRE(bytes.ok());
  const auto file = PictureFile::Read(path);
  REQUIRE(file.ok());
  const JpegPicture same = file->Jpeg({.max_side_px = 64, .only_srgb = true});
  CHECK(same.as_it_is);
  CHECK(same.bytes == *bytes);
  CHECK_FALSE(file->Jpeg({.max_side_px = 64, .always_anew = true}).as_it_is);
  CHECK_FALSE(file->Jpeg({.max_side_px = 64, .max_bytes = 10}).as_it_is);
  CHECK_FALSE(file->Jpeg({.max_side_px = 63}).as_it_is);
  // Other colours: as it is where the reader knows profiles, else not.
  const auto wide = PictureFile::Read(Written(folder, "p3.jpg", size, Stripes(size), &p3));
  REQUIRE(wide.ok());
  CHECK(wide->Jpeg({.max_side_px = 64}).as_it_is);
  CHECK_FALSE(wide->Jpeg({.max_side_px = 64, .only_srgb = true}).as_it_is);
}

TEST_CASE("JPEG picture: reduced in linear light, other colours become sRGB",
          "[present][closed-form]") {
  const test::TempFolder folder;
  const SizePx size{400, 200};
  const auto stripes =
      ReadJpegPicture(Written(folder, "s.png", size, Stripes(size), nullptr), {.max_side_px = 50});
  REQUIRE(stripes.ok());
  CHECK(stripes->size == SizePx{50, 25});
  const auto seen = DecodeBitmap(stripes->bytes, {"made", {"made"}, ""});
  REQUIRE(seen.ok());
  // Half of the light (IEC 61966-2-1), not half of the code; away from the edge, where the kernel sees fewer stripes.
  // 3: what JPEG of quality 88 may add to a flat gray.
  const int half = SrgbFromLinear(SceneLinear{0.5f, 0.5f, 0.5f}).g;
  CHECK(std::abs(seen->row(12)[3 * 25] - half) <= 3);
  CHECK_FALSE(seen->profile.has_value());

  // A green of Display P3 that sRGB holds; its codes in sRGB by the conversion of profile.h.
  const Profile p3 = Profile::DisplayP3();
  Bytes green;
  for (int i = 0; i < 32 * 32; ++i) green.insert(green.end(), {90, 160, 80});
  const auto made = ReadJpegPicture(Written(folder, "g.png", {32, 32}, green, &p3),
                                    {.max_side_px = 32, .quality = 95});
  REQUIRE(made.ok());
  const auto anew = DecodeBitmap(made->bytes, {"made", {"made"}, ""});
  REQUIRE(anew.ok());
  float r = 0, g = 0, b = 0;
  WorkingFromCodes(p3, 8).Convert(green.data(), 1, 3, &r, &g, &b);
  const Srgb8 expected = SrgbFromLinear(SceneLinear{r, g, b});
  CHECK(std::abs(anew->row(16)[48] - expected.r) <= 2);
  CHECK(std::abs(anew->row(16)[49] - expected.g) <= 2);
  CHECK(std::abs(anew->row(16)[50] - expected.b) <= 2);
  CHECK(expected.r != 90);
}

TEST_CASE("JPEG picture: a damaged file is not passed on", "[present][bad-input]") {
  const test::TempFolder folder;
  const SizePx size{64, 40};
  const std::string path = Written(folder, "a.jpg", size, Stripes(size), nullptr);
  const auto bytes = ReadWholeFile({path, {path}, ""}, 1 << 20);
  REQUIRE(bytes.ok());
  test::WriteText(folder / "cut.jpg", std::string(bytes->begin(), bytes->begin() + 300));
  CHECK_FALSE(ReadJpegPicture(folder / "cut.jpg", {.max_side_px = 64}).ok());
  CHECK_FALSE(ReadJpegPicture(folder / "none.jpg", {.max_side_px = 64}).ok());
}

}  // namespace
}  // namespace wheatpaste

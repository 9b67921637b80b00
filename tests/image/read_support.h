// read_support.h - pictures for the tests of readers and writers: a base picture, other programs'
// output.
//
// Programs  /usr/bin/convert is ImageMagick 6.9.11-60 (Debian 12); exiftool 12.57.
#pragma once

#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "image/read_bitmap.h"
#include "must_run.h"
#include "support.h"

namespace wheatpaste::test {

inline constexpr int kBaseWidth = 37;
inline constexpr int kBaseHeight = 23;

// A PPM with slopes, a hard edge and saturated colours; no two rows, columns or corners alike.
inline std::string BasePpm(int depth) {
  const int most = depth == 16 ? 65535 : 255;
  std::string text = fmt::format("P6\n{} {}\n{}\n", kBaseWidth, kBaseHeight, most);
  const auto put = [&](int value) {
    if (depth == 16) text += static_cast<char>(value >> 8);
    text += static_cast<char>(value & 255);
  };
  for (int y = 0; y < kBaseHeight; ++y) {
    for (int x = 0; x < kBaseWidth; ++x) {
      put(most * x / (kBaseWidth - 1));
      put(x * 2 < y * 3 ? most : most * y / kBaseHeight / 3);
      put((x * 1237 + y * 7919) % (most + 1));
    }
  }
  return text;
}

inline void Convert(const std::string& arguments) { MustRun("/usr/bin/convert " + arguments); }

// The pixels of `path` as ImageMagick reads them, in one of its raw layouts: gray, rgb, rgba, cmyk.
inline std::string RawPixels(const std::string& path, const std::string& layout, int depth,
                             const std::string& options = "") {
  return MustRun(fmt::format("/usr/bin/convert '{}' {} -depth {} -endian LSB {}:-", path, options,
                             depth, layout));
}

inline Result<Bitmap> ReadFile(const std::string& path) {
  return ReadBitmap({path, {"scene.toml", 4, 8}, "photo.file"});
}

inline Bitmap MustRead(const std::string& path) {
  auto bitmap = ReadFile(path);
  INFO(path << "\n" << (bitmap ? "" : FormatErrors(bitmap.errors())));
  REQUIRE(bitmap.ok());
  return std::move(*bitmap);
}

inline std::string ErrorOf(const std::string& path) {
  const auto bitmap = ReadFile(path);
  REQUIRE_FALSE(bitmap.ok());
  REQUIRE(bitmap.errors().size() == 1);
  return FormatError(bitmap.errors().front());
}

// The codes as text, for comparison with RawPixels; gray is spread to RGB when `spread_gray`.
inline std::string CodesOf(const Bitmap& bitmap, bool spread_gray = false) {
  if (!spread_gray || bitmap.model != ColourModel::kGray) {
    return {bitmap.codes.begin(), bitmap.codes.end()};
  }
  const size_t bytes = static_cast<size_t>(bitmap.depth / 8);
  const size_t pixel = bytes * static_cast<size_t>(bitmap.channels());
  std::string text;
  for (size_t at = 0; at < bitmap.codes.size(); at += pixel) {
    const auto* gray = reinterpret_cast<const char*>(bitmap.codes.data()) + at;
    for (int i = 0; i < 3; ++i) text.append(gray, bytes);
    text.append(gray + bytes, pixel - bytes);
  }
  return text;
}

inline void WriteSrgbProfile(const std::string& path) {
  const Profile srgb = Profile::Srgb();
  WriteText(path, {srgb.bytes().begin(), srgb.bytes().end()});
}

// First place where two rows of bytes differ, "same" where they do not.
inline std::string Difference(const std::string& a, const std::string& b) {
  if (a.size() != b.size()) return fmt::format("{} bytes against {}", a.size(), b.size());
  for (size_t i = 0; i < a.size(); ++i) {
    if (a[i] == b[i]) continue;
    return fmt::format("byte {}: {} against {}", i, static_cast<unsigned char>(a[i]),
                       static_cast<unsigned char>(b[i]));
  }
  return "same";
}

}  // namespace wheatpaste::test

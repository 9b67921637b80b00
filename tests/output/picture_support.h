// picture_support.h - codes to write, and their comparison with what another program read.
#pragma once

#include <cmath>
#include <string>

#include "image/read_support.h"
#include "output/write_picture.h"

namespace wheatpaste::test {

// Smooth in both directions, with a hard edge, so that lossy formats can hold it too.
inline Bytes MakeCodes(SizePx size, int depth) {
  Bytes codes;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const int64_t values[] = {65535 * x / size.width, x * 2 < y ? 60000 : 9000 + y * 37,
                                65535 - 65535 * y / size.height};
      for (const int64_t value : values) {
        const auto code = static_cast<uint16_t>(value);
        if (depth == 16) {
          codes.push_back(static_cast<uint8_t>(code & 255));
        }
        codes.push_back(static_cast<uint8_t>(code >> 8));
      }
    }
  }
  return codes;
}

inline RowSource SourceOf(const Bytes& codes, int64_t row_bytes) {
  return [&codes, row_bytes](int64_t y0, int64_t) { return codes.data() + y0 * row_bytes; };
}

inline Result<int64_t> Write(const std::string& path, const PictureFacts& facts,
                             const Bytes& codes) {
  const auto format = PictureFormatOf(path);
  REQUIRE(format.ok());
  return WritePicture(path, *format, facts,
                      SourceOf(codes, static_cast<int64_t>(codes.size()) / facts.size.height));
}

inline double RootMeanSquare(const std::string& a, const std::string& b) {
  REQUIRE(a.size() == b.size());
  double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) {
    const double d = static_cast<unsigned char>(a[i]) - static_cast<unsigned char>(b[i]);
    sum += d * d;
  }
  return std::sqrt(sum / static_cast<double>(a.size()));
}

// Pixels with nothing in common with their neighbours; `channels` of 8 or 16 bits.
inline Bytes MakeNoise(SizePx size, int channels, int depth) {
  Bytes codes(static_cast<size_t>(size.area() * channels * depth / 8));
  uint32_t noise = 1;
  for (uint8_t& code : codes) {
    code = static_cast<uint8_t>((noise = noise * 1664525 + 1013904223) >> 24);
  }
  return codes;
}

inline std::string TextOf(const Bytes& bytes) { return {bytes.begin(), bytes.end()}; }

inline Profile ReadProfile(const std::string& name) {
  const std::string path = SourcePath("assets-open/profiles/" + name);
  const std::string text = ReadText(path);
  auto profile = Profile::FromBytes({text.begin(), text.end()}, {path}, "profile");
  REQUIRE(profile.ok());
  return *profile;
}

}  // namespace wheatpaste::test

// Planes of floats as other programs read them. Programs  as float_tiff.h; tiffinfo 4.5.0, ImageMagick 6.9.11-60.
#include "output/write_float_tiff.h"

#include <catch2/catch.hpp>

#include <csignal>

#include <sys/resource.h>

#include <fmt/format.h>

#include "float_tiff.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

constexpr SizePx kSize{301, 577};  // several strips

float ValueAt(int64_t x, int64_t y, int band) {
  return static_cast<float>(x * (band + 1)) * 0.37f - static_cast<float>(y) * 1234.5f;
}

Status Write(PendingFile& file, int bands, TiffSamples samples) {
  const FloatFacts facts{kSize, bands, samples, "Height, millimetres"};
  return WriteFloatTiff(file, facts, [&](int64_t y0, int64_t y1, float* pixels) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < kSize.width; ++x) {
        for (int band = 0; band < bands; ++band) {
          *pixels++ = samples == TiffSamples::kWhole16
                          ? static_cast<float>(x - 100) / 100 + static_cast<float>(band)
                          : ValueAt(x, y, band);
        }
      }
    }
  });
}

void MustWrite(const std::string& path, int bands, TiffSamples samples) {
  auto file = PendingFile::Create(path);
  REQUIRE(file.ok());
  REQUIRE(Write(*file, bands, samples).ok());
  REQUIRE(file->Commit().ok());
}

}  // namespace

TEST_CASE("Float TIFF: other programs read every bit of every band", "[output][reference]") {
  const TempFolder folder;
  const std::string path = folder / "a.tif";
  for (const int bands : {1, 2, 3}) {
    INFO(bands << " bands");
    MustWrite(path, bands, TiffSamples::kFloat32);
    const auto samples =
        TiffSamplesOf<float>(path, static_cast<size_t>(kSize.area()) * static_cast<size_t>(bands));
    int64_t wrong = 0;
    size_t at = 0;
    for (int64_t y = 0; y < kSize.height; ++y) {
      for (int64_t x = 0; x < kSize.width; ++x) {
        for (int band = 0; band < bands; ++band)
          wrong += samples[at++] == ValueAt(x, y, band) ? 0 : 1;
      }
    }
    CHECK(wrong == 0);
    const std::string facts = MustRun("tiffinfo '" + path + "'");
    CHECK_THAT(facts, Catch::Contains("Image Width: 301 Image Length: 577") &&
                          Catch::Contains("Sample Format: IEEE floating point") &&
                          Catch::Contains("Bits/Sample: 32") &&
                          Catch::Contains("ImageDescription: Height, millimetres\n") &&
                          Catch::Contains("Compression Scheme: AdobeDeflate") &&
                          Catch::Contains("floating point predictor 3") &&
                          Catch::Contains(fmt::format("Samples/Pixel: {}\n", bands)) &&
                          !Catch::Contains("Resolution"));
  }
}

TEST_CASE("Float TIFF: shares as 16 bits, rounded, kept within 0 and 1", "[output][reference]") {
  const TempFolder folder;
  const std::string path = folder / "a.tif";
  MustWrite(path, 1, TiffSamples::kWhole16);
  // Also by a program that has a decoder of its own choosing: ImageMagick, one row.
  MustRun("/usr/bin/convert '" + path + "[301x1+0+0]' -depth 16 -endian LSB gray:'" +
          folder / "row.raw" + "'");
  const std::string row = ReadText(folder / "row.raw");
  const auto samples = TiffSamplesOf<uint16_t>(path, static_cast<size_t>(kSize.area()));
  REQUIRE(row.size() == 602);
  for (const auto& [x, code] : {std::pair{0, 0},
                                {99, 0},
                                {100, 0},
                                {101, 655},
                                {133, 21627},
                                {150, 32768},
                                {200, 65535},
                                {300, 65535}}) {
    INFO("x " << x);
    CHECK(samples[static_cast<size_t>(x)] == code);
    uint16_t seen = 0;
    std::memcpy(&seen, row.data() + 2 * x, 2);
    CHECK(seen == code);
  }
}

TEST_CASE("Float TIFF: a refused write says why and leaves nothing", "[output][bad-input]") {
  const TempFolder folder;
  struct rlimit before {};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &before) == 0);
  std::signal(SIGXFSZ, SIG_IGN);
  for (const rlim_t limit : {rlim_t{0}, rlim_t{5000}}) {
    auto file = PendingFile::Create(folder / "a.tif");
    REQUIRE(file.ok());
    struct rlimit tight = before;
    tight.rlim_cur = limit;
    REQUIRE(setrlimit(RLIMIT_FSIZE, &tight) == 0);
    const auto written = Write(*file, 3, TiffSamples::kFloat32);
    REQUIRE(setrlimit(RLIMIT_FSIZE, &before) == 0);
    REQUIRE_FALSE(written.ok());
    CHECK(FormatErrors(written.errors()) ==
          folder / "a.tif" + ": error: cannot write: File too large\n");
  }
  std::signal(SIGXFSZ, SIG_DFL);
  CHECK(folder.List().empty());
}

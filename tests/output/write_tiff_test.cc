// Every way to lay out a TIFF is read by libtiff's own programs and by ImageMagick, to the last code.
//
// Source  tiffinfo, tiffcp 4.5.0; ImageMagick 6.9.11-60, of Debian 12.
#include "output/picture_support.h"
#include "output/tiff_to_sink.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

struct Way {
  TiffCompression compression;
  bool tiles;
  const char* scheme;  // in the words of tiffinfo
};

constexpr Way kWays[] = {{TiffCompression::kNone, false, "None"},
                         {TiffCompression::kNone, true, "None"},
                         {TiffCompression::kLzw, false, "LZW"},
                         {TiffCompression::kLzw, true, "LZW"},
                         {TiffCompression::kDeflate, false, "AdobeDeflate"},
                         {TiffCompression::kDeflate, true, "AdobeDeflate"}};

// The upper half of noise, so that no order of rows or bytes looks like another, the lower half smooth.
Bytes MakeMixture(SizePx size, int channels, int depth) {
  Bytes codes = MakeNoise(size, channels, depth);
  const size_t row = codes.size() / static_cast<size_t>(size.height);
  for (size_t i = codes.size() / 2; i < codes.size(); ++i)
    codes[i] = static_cast<uint8_t>(i % row / 8 + i / row);
  return codes;
}

}  // namespace

TEST_CASE(
    "TIFF: strips and tiles, each compression, depth and model: pixels as libtiff and ImageMagick "
    "read them",
    "[output][reference]") {
  const TempFolder folder;
  const Profile srgb = Profile::Srgb(), press = ReadProfile("coated_offset.icc");
  const std::string path = folder / "a.tif";
  for (const int channels : {3, 4}) {
    for (const int depth : {8, 16}) {
      PictureFacts facts;
      facts.size = {397, 530};  // tiles that end inside and outside; more than one strip
      facts.depth = depth;
      facts.density = {300};
      facts.profile = channels == 4 ? &press : &srgb;
      const Bytes codes = MakeMixture(facts.size, channels, depth);
      for (const Way& way : kWays) {
        INFO(channels << " channels, " << depth << " bits, " << way.scheme
                      << (way.tiles ? ", tiles" : ", strips"));
        facts.compression = way.compression;
        facts.tiles = way.tiles;
        REQUIRE(Write(path, facts, codes).ok());
        const std::string said = MustRun("tiffinfo " + path + " 2>&1");
        CHECK_THAT(said,
                   Catch::Contains(fmt::format("Compression Scheme: {}", way.scheme)) &&
                       Catch::Contains("Image Width: 397 Image Length: 530") &&
                       Catch::Contains("Resolution: 300, 300 pixels/inch") &&
                       Catch::Contains(fmt::format("Bits/Sample: {}", depth)) &&
                       Catch::Contains(channels == 4 ? "Photometric Interpretation: separated"
                                                     : "Photometric Interpretation: RGB color") &&
                       Catch::Contains("ICC Profile: <present>") && !Catch::Contains("arning"));
        CHECK((said.find("Tile Width: 256 Tile Length: 256") != std::string::npos) == way.tiles);
        CHECK((said.find("Predictor: horizontal differencing") != std::string::npos) ==
              (way.compression != TiffCompression::kNone));
        MustRun(fmt::format("tiffcp -s -r 530 -c none {} {}", path, folder / "plain.tif"));
        // One strip of plain codes behind the header of 8 bytes.
        CHECK(ReadText(folder / "plain.tif").find(TextOf(codes)) == 8);
        CHECK(MustRead(path).codes == codes);
        if (way.compression != TiffCompression::kNone) continue;
        CHECK(Difference(RawPixels(path, channels == 4 ? "cmyk" : "rgb", depth, "+profile '*'"),
                         TextOf(codes)) == "same");
      }
    }
  }
}

TEST_CASE("TIFF: what 32-bit offsets do not reach becomes a BigTIFF", "[output][published]") {
  // Source  TIFF 6.0, section 2 (version 42); the BigTIFF design of libtiff (version 43).
  const TempFolder folder;
  for (const bool big : {false, true}) {
    auto file = PendingFile::Create(folder / "a.tif");
    REQUIRE(file.ok());
    PictureSink sink(*file);
    TiffJob job;
    job.sink = &sink;
    {
      const TiffHandle tiff = OpenTiff(job, big ? int64_t{4} << 30 : int64_t{1} << 30);
      REQUIRE(tiff != nullptr);
    }
    REQUIRE(file->Commit().ok());
    const std::string bytes = ReadText(folder / "a.tif");
    REQUIRE(bytes.size() >= 4);
    CHECK(bytes.substr(0, 2) == "II");
    CHECK(static_cast<int>(bytes[2]) == (big ? 43 : 42));
  }
}

// Written pictures are what other programs read: size, density, profile, and pixels.
//
// Source  ImageMagick 6.9.11-60 (identify, convert), exiftool 12.57, tiffinfo 4.5.0,
// pngcheck 3.0.3,
//         webpinfo 1.2.4, all of Debian 12.
// Limit   PNG and TIFF exact; JPEG and WebP as stated at the check.
#include "output/write_picture.h"

#include <csignal>

#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/parallel.h"
#include "output/picture_support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

struct Case {
  const char* name;
  int depth;
  double limit;  // root mean square difference from the codes, in 8-bit codes
};

// JPEG quality 92 and WebP quality 92 with halved chroma, on slopes with one hard edge.
constexpr Case kCases[] = {{"a8.png", 8, 0},   {"a16.png", 16, 0}, {"a8.tif", 8, 0},
                           {"a16.tif", 16, 0}, {"a.jpg", 8, 1.5},  {"a.webp", 8, 4}};

// PDF is looked at with other programs: write_pdf_test.cc.
std::vector<Case> AllCases() {
  std::vector<Case> cases(std::begin(kCases), std::end(kCases));
  cases.push_back({"a.pdf", 8, 0});
  return cases;
}

}  // namespace

TEST_CASE("Every format and depth: other programs read size, density, profile and pixels",
          "[output][reference]") {
  const TempFolder folder;
  const SizePx size{211, 157};
  const Profile profile = Profile::Srgb();
  for (const Case& test : kCases) {
    for (const double ppi : {72.0, 300.0}) {
      for (const bool tagged : {false, true}) {
        const std::string path = folder / test.name;
        INFO(path << " ppi " << ppi << " tagged " << tagged);
        const Bytes codes = MakeCodes(size, test.depth);
        PictureFacts facts;
        facts.size = size;
        facts.depth = test.depth;
        facts.density = {ppi};
        facts.profile = tagged ? &profile : nullptr;
        const auto written = Write(path, facts, codes);
        REQUIRE(written.ok());
        CHECK(*written == static_cast<int64_t>(ReadText(path).size()));

        CHECK(MustRun("identify -format '%w %h %[channels] %z' " + path) ==
              fmt::format("211 157 srgb {}", test.depth));
        const std::string raw = RawPixels(path, "rgb", test.depth, "+profile '*'");
        const std::string wanted(codes.begin(), codes.end());
        if (test.limit == 0) CHECK(Difference(raw, wanted) == "same");
        if (test.limit > 0) CHECK(RootMeanSquare(raw, wanted) < test.limit);

        // exiftool reads PNG density in pixels a metre, all others in inches.
        const bool png = EndingOf(path) == "png";
        const std::string density = MustRun(
            fmt::format("exiftool -s3 -n -{} {}", png ? "PixelsPerUnitX" : "XResolution", path));
        CHECK(std::stod(density) == Approx(png ? std::round(ppi / 0.0254) : ppi));
        MustRun(fmt::format("exiftool -icc_profile -b {} > {}", path, folder / "seen.icc"));
        const std::string seen = ReadText(folder / "seen.icc");
        CHECK(seen == (tagged ? std::string(profile.bytes().begin(), profile.bytes().end()) : ""));

        const Bitmap back = MustRead(path);
        CHECK(back.size == size);
        CHECK(back.depth == test.depth);
        CHECK(back.ppi == Approx(ppi).margin(0.02));
        CHECK(back.profile.has_value() == tagged);
        if (test.limit == 0) CHECK(back.codes == codes);
      }
    }
  }
  CHECK_THAT(MustRun("pngcheck " + folder / "a16.png"), Catch::Contains("OK"));
  CHECK_THAT(MustRun("tiffinfo " + folder / "a16.tif"),
             Catch::Contains("Bits/Sample: 16") &&
                 Catch::Contains("Compression Scheme: AdobeDeflate") &&
                 Catch::Contains("Predictor: horizontal differencing"));
  CHECK_THAT(MustRun("webpinfo " + folder / "a.webp"), Catch::Contains("No error detected"));
}

TEST_CASE("JPEG: a profile of more than 64 KB goes through several segments",
          "[output][reference]") {
  const TempFolder folder;
  // The built-in profile, with room behind its last tag: the header's size says so
  // (ICC.1:2022, 7.2.2).
  Bytes bytes = Profile::Srgb().bytes();
  bytes.resize(200'000);
  for (int i = 0; i < 4; ++i)
    bytes[static_cast<size_t>(i)] = static_cast<uint8_t>(200'000 >> (24 - 8 * i));
  const auto profile = Profile::FromBytes(bytes, {"large"}, "profile");
  REQUIRE(profile.ok());
  const SizePx size{40, 30};
  PictureFacts facts;
  facts.size = size;
  facts.profile = &*profile;
  const Bytes codes = MakeCodes(size, 8);
  for (const char* name : {"a.jpg", "a.png", "a.tif", "a.webp"}) {
    INFO(name);
    REQUIRE(Write(folder / name, facts, codes).ok());
    MustRun(fmt::format("exiftool -icc_profile -b {} > {}", folder / name, folder / "seen.icc"));
    CHECK(ReadText(folder / "seen.icc") == std::string(bytes.begin(), bytes.end()));
    CHECK(MustRead(folder / name).profile->bytes() == bytes);
  }
}

TEST_CASE("JPEG: chroma is whole; JPEG and WebP: quality follows the facts",
          "[output][reference]") {
  const TempFolder folder;
  const SizePx size{64, 64};
  const Bytes codes = MakeCodes(size, 8);
  PictureFacts facts;
  facts.size = size;
  for (const int quality : {50, 92}) {
    facts.quality = quality;
    REQUIRE(Write(folder / "a.jpg", facts, codes).ok());
    CHECK(MustRun("identify -format '%[jpeg:sampling-factor] %Q' " + folder / "a.jpg") ==
          fmt::format("1x1,1x1,1x1 {}", quality));
  }
  // WebP does not store its quality: the coarser one is smaller.
  facts.quality = 92;
  const auto fine = Write(folder / "a.webp", facts, codes);
  facts.quality = 50;
  const auto coarse = Write(folder / "a.webp", facts, codes);
  REQUIRE((fine.ok() && coarse.ok()));
  CHECK(*coarse < *fine);
}

TEST_CASE("The same arguments give the same bytes", "[output][invariant]") {
  const TempFolder folder;
  const SizePx size{97, 61};
  const Profile profile = Profile::Srgb();
  for (const Case& test : AllCases()) {
    INFO(test.name);
    PictureFacts facts;
    facts.size = size;
    facts.depth = test.depth;
    facts.profile = &profile;
    const Bytes codes = MakeCodes(size, test.depth);
    REQUIRE(Write(folder / test.name, facts, codes).ok());
    const std::string first = ReadText(folder / test.name);
    REQUIRE(Write(folder / test.name, facts, codes).ok());
    CHECK(ReadText(folder / test.name) == first);
  }
}

TEST_CASE("The same bytes for any number of threads", "[output][invariant]") {
  const TempFolder folder;
  PictureFacts facts;
  facts.size = {1300, 1100};  // several bands of several pieces
  const Bytes codes = MakeNoise(facts.size, 3, 8);
  for (const char* name : {"a.tif", "tiles.tif", "a.pdf"}) {
    INFO(name);
    facts.tiles = std::string(name) == "tiles.tif";
    std::string one;
    for (const int threads : {1, 4}) {
      const ThreadLimit limit(threads);
      REQUIRE(Write(folder / name, facts, codes).ok());
      const std::string bytes = ReadText(folder / name);
      if (threads == 1) one = bytes;
      CHECK(Difference(bytes, one) == "same");
    }
  }
}

TEST_CASE("A refused write leaves nothing and says why in the system's words",
          "[output][bad-input]") {
  const TempFolder folder;
  const SizePx size{600, 500};
  const Profile profile = Profile::Srgb();
  struct rlimit before {};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &before) == 0);
  std::signal(SIGXFSZ, SIG_IGN);
  for (const Case& test : AllCases()) {
    for (const rlim_t limit : {rlim_t{0}, rlim_t{700}, rlim_t{3000}}) {
      INFO(test.name << " with room for " << limit << " bytes");
      PictureFacts facts;
      facts.size = size;
      facts.depth = test.depth;
      facts.profile = &profile;
      const Bytes codes = MakeCodes(size, test.depth);
      struct rlimit tight = before;
      tight.rlim_cur = limit;
      REQUIRE(setrlimit(RLIMIT_FSIZE, &tight) == 0);
      const auto written = Write(folder / test.name, facts, codes);
      REQUIRE(setrlimit(RLIMIT_FSIZE, &before) == 0);
      REQUIRE_FALSE(written.ok());
      CHECK(FormatErrors(written.errors()) ==
            folder / test.name + ": error: cannot write: File too large\n");
      CHECK(folder.List().empty());
    }
  }
  std::signal(SIGXFSZ, SIG_DFL);
}

TEST_CASE("A full disk leaves the earlier file as it was", "[output][bad-input]") {
  const TempFolder folder;
  const std::string disk = folder / "disk";
  REQUIRE(mkdir(disk.c_str(), 0755) == 0);
  // Mounting needs rights that a plain user has not; the limit on file sizes above serves there.
  if (Run("mount -t tmpfs -o size=16k none " + disk).status != 0) return;
  for (const char* name : {"a.png", "a.jpg", "a.tif", "a.webp", "a.pdf"}) {
    const std::string path = disk + "/" + name;
    WriteText(path, "earlier");
    const SizePx size{900, 700};
    const Bytes codes = MakeNoise(size, 3, 8);
    PictureFacts facts;
    facts.size = size;
    const auto written = Write(path, facts, codes);
    CHECK_FALSE(written.ok());
    if (!written.ok()) {
      CHECK(FormatErrors(written.errors()) ==
            path + ": error: cannot write: No space left on device\n");
    }
    CHECK(ReadText(path) == "earlier");
    CHECK(Run("ls -A " + disk).out == std::string(name) + "\n");
    unlink(path.c_str());
  }
  MustRun("umount " + disk);
}

TEST_CASE("Folders that are not there, sides beyond a format, unknown endings: each its own error",
          "[output][bad-input]") {
  const TempFolder folder;
  PictureFacts facts;
  facts.size = {4, 4};
  const Bytes codes = MakeCodes(facts.size, 8);
  const auto lost = Write(folder / "none/a.png", facts, codes);
  REQUIRE_FALSE(lost.ok());
  CHECK_THAT(FormatErrors(lost.errors()),
             Catch::Contains("error: cannot write: No such file or directory"));

  facts.size = {16384, 1};
  const Bytes wide(static_cast<size_t>(facts.size.width * 3));
  const auto too_wide = Write(folder / "a.webp", facts, wide);
  REQUIRE_FALSE(too_wide.ok());
  CHECK(FormatErrors(too_wide.errors()) ==
        folder / "a.webp: error: is 16384 x 1 px, expected 1 to 16383 px a side for WebP\n");
  CHECK(folder.List().empty());

  const auto format = PictureFormatOf("out/a.gif");
  REQUIRE_FALSE(format.ok());
  CHECK(FormatErrors(format.errors()) ==
        "out/a.gif: error: expected a name ending in .png, .jpg, .tif, .webp or .pdf\n");
  CHECK(*PictureFormatOf("A.JPEG") == PictureFormat::kJpeg);
  CHECK(*PictureFormatOf("A.Tif") == PictureFormat::kTiff);
  CHECK(*PictureFormatOf("a.pdf") == PictureFormat::kPdf);
  CHECK(DepthFor(PictureFormat::kJpeg, 16) == 8);
  CHECK(DepthFor(PictureFormat::kPdf, 16) == 8);
  CHECK(DepthFor(PictureFormat::kTiff, 16) == 16);
  CHECK(DepthFor(PictureFormat::kPng, 8) == 8);
}

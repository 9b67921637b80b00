// CMYK and Lab artwork, with a profile and without, against LittleCMS's own program.
#include <sstream>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/artwork.h"
#include "artwork_support.h"
#include "colour/srgb.h"
#include "must_run.h"
#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

constexpr char kInk[] = "12 180 90 40";  // codes of 255

std::string Icc() { return SourcePath("assets-open/profiles/coated_offset.icc"); }

std::shared_ptr<const Artwork> Read(const std::string& path, const AssumedInks* press = nullptr) {
  auto art = ReadArtwork(At(path), press);
  if (!art) FAIL(FormatErrors(art.errors()));
  return *art;
}

// A plain picture of that ink, by ImageMagick, which is told to leave codes alone.
void MakeInkPicture(const std::string& path, bool with_profile) {
  MustRun("printf '\\014\\264\\132\\050' > '" + path +
          ".raw' && /usr/bin/convert -size 1x1 -depth 8 cmyk:'" + path +
          ".raw' -sample 24x16! -quality 100 " + (with_profile ? "-profile '" + Icc() + "' " : "") +
          "'" + path + "'");
}

void CheckColour(const Artwork& artwork, const std::vector<double>& codes, double limit) {
  const auto drawn = artwork.Rasterise(artwork.pixels());
  REQUIRE(drawn.ok());
  REQUIRE(codes.size() == 3);
  for (int band = 0; band < 3; ++band) {
    INFO("band " << band);
    CHECK(SrgbFromLinear(double{drawn->row(band, 5)[5]}) * 255 ==
          Approx(codes[static_cast<size_t>(band)]).margin(limit));
  }
}

std::vector<double> Transicc(const TempFolder& folder, const std::string& options,
                             const std::string& line) {
  WriteText(folder / "in.txt", line + "\n");
  std::istringstream out(MustRun("transicc -n " + options + " < '" + folder / "in.txt" + "'"));
  std::vector<double> numbers;
  for (double number; out >> number;) numbers.push_back(number);
  return numbers;
}

}  // namespace

// Source  transicc, ink to sRGB, relative colorimetric with black-point compensation.
// Limit   0.3 of a code: the ink's percents are exact in neither; JPEG 2 codes, its own rounding at quality 100.
TEST_CASE("Ink artwork: CMYK with a profile comes in as LittleCMS says", "[artwork][reference]") {
  const TempFolder folder;
  const auto expected =
      Transicc(folder, "-t1 -b '-i" + Icc() + "' '-o*sRGB'",
               fmt::format("{} {} {} {}", 12 / 2.55, 180 / 2.55, 90 / 2.55, 40 / 2.55));
  for (const char* name : {"art.tif", "art.jpg"}) {
    INFO(name);
    MakeInkPicture(folder / name, true);
    const auto art = Read(folder / name);
    CHECK(art->colour_description() == "Coated offset (FOGRA39L)");
    CHECK(art->notes().empty());
    CheckColour(*art, expected, std::string(name) == "art.tif" ? 0.3 : 2);
  }
}

TEST_CASE("Ink artwork: CMYK without a profile takes the print condition's, or is refused",
          "[artwork][reference]") {
  const TempFolder folder;
  MakeInkPicture(folder / "tagged.tif", true);
  MakeInkPicture(folder / "plain.tif", false);
  auto bytes = ReadWholeFile({Icc(), {}, ""}, 1 << 20);
  REQUIRE(bytes.ok());
  auto profile = Profile::FromBytes(std::move(*bytes), {}, "");
  REQUIRE(profile.ok());
  const AssumedInks press{*profile, "coated offset (FOGRA39)"};
  const auto tagged = Read(folder / "tagged.tif"), plain = Read(folder / "plain.tif", &press);
  CHECK(plain->colour_description() == "coated offset (FOGRA39) (assumed)");
  REQUIRE(plain->notes().size() == 1);
  CHECK(plain->notes()[0] ==
        "the artwork's file names no colour profile; its colours are taken as coated offset "
        "(FOGRA39)");
  CHECK(LargestDifference(*tagged->Rasterise({24, 16}), *plain->Rasterise({24, 16})) == 0);
  const auto refused = ReadArtwork(At(folder / "plain.tif"));
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.errors()[0].message ==
        "CMYK without a profile: expected an embedded ICC profile, or a print condition that "
        "stands in "
        "for it");
}

// Source  transicc, Lab to sRGB. Limit  0.6 of a code: 8 bits of Lab are finer than that, ImageMagick's own way to
//         Lab is not.
TEST_CASE("Ink artwork: a Lab TIFF without a profile is CIE Lab D50", "[artwork][reference]") {
  const TempFolder folder;
  // L 60, a 25, b -30, as TIFF's CIELab holds them: L of 255, a and b signed.
  const std::string raw = folder / "lab.raw";
  MustRun("printf '\\231\\231\\142' > '" + raw + "'");
  MustRun("/usr/bin/convert -size 24x16 xc:'#8080c0' -colorspace Lab -depth 8 '" +
          folder / "art.tif" + "'");
  const auto art = Read(folder / "art.tif");
  CHECK(art->colour_description() == "CIE Lab, D50 (assumed)");
  REQUIRE(art->notes().size() == 1);
  CheckColour(*art, {128, 128, 192}, 2);
}

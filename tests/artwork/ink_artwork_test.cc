// CMYK and Lab artwork, with a profile and without, against LittleCMS's own program.

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/artwork.h"
#include "artwork_support.h"
#include "colour/srgb.h"
#include "must_run.h"
#include "support.h"
#include "transicc.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

std::string Icc() { return SourcePath("assets-open/profiles/coated_offset.icc"); }

std::shared_ptr<const Artwork> Read(const std::string& path, const AssumedInks* press = nullptr) {
  auto art = ReadArtwork(At(path), {}, press);
  if (!art) FAIL(FormatErrors(art.errors()));
  return *art;
}

// A plain picture of ink 12 180 90 40 (codes of 255), by ImageMagick, which is told to leave codes alone.
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

}  // namespace

// Source  transicc, ink to sRGB, relative colorimetric with black-point compensation.
// Limit   0.3 of a code: the ink's percents are exact in neither; JPEG 2 codes, its own rounding at quality 100.
TEST_CASE("Ink artwork: CMYK with a profile comes in as LittleCMS says", "[artwork][reference]") {
  const TempFolder folder;
  const auto expected =
      Transicc("-t1 -b '-i" + Icc() + "' '-o*sRGB'",
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

// Source  a Lab TIFF of 8 bits as tificc of LittleCMS writes it, its codes read with od (TIFF 6.0, section 23: L of 255, a
//         and b signed), turned to sRGB by transicc. Limit  0.3 of a code.
// Note    tificc's 16-bit Lab TIFFs call themselves ICC Lab but hold signed a and b, so they serve as no reference.
TEST_CASE("Ink artwork: a Lab TIFF without a profile is CIE Lab D50", "[artwork][reference]") {
  const TempFolder folder;
  const std::string rgb = folder / "rgb.tif", lab = folder / "lab.tif";
  MustRun("/usr/bin/convert -size 24x16 xc:'#3080c0' -depth 8 '" + rgb + "'");
  MustRun("tificc -t1 -w8 '-i*sRGB' '-o*Lab4' '" + rgb + "' '" + lab + "'");
  const double l = std::stod(MustRun("od -An -tu1 -j8 -N1 '" + lab + "'"));
  const double a = std::stod(MustRun("od -An -td1 -j9 -N1 '" + lab + "'"));
  const double b = std::stod(MustRun("od -An -td1 -j10 -N1 '" + lab + "'"));
  const auto art = Read(lab);
  CHECK(art->colour_description() == "CIE Lab, D50 (assumed)");
  REQUIRE(art->notes().size() == 1);
  CheckColour(*art, Transicc("-t1 '-i*Lab4' '-o*sRGB'", fmt::format("{} {} {}", l / 2.55, a, b)),
              0.3);
}

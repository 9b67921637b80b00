#include "colour/spectrum.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <string>

#include "colour/adapt.h"
#include "colour/difference.h"
#include "colour/spectrum_file.h"
#include "colour/srgb.h"
#include "support.h"

namespace wheatpaste {
namespace {

SceneLinear Colour(float r, float g, float b) { return {r, g, b}; }

// Limit   2e-4: the printed matrix of IEC 61966-2-1 maps white to D65 to four decimals.
TEST_CASE("Spectrum: smooth spectra have the colours they are made for", "[colour][closed-form]") {
  for (const SceneLinear& c : {Colour(1, 0, 0), Colour(0, 1, 0), Colour(0, 0, 1), Colour(1, 1, 1),
                               Colour(0.2f, 0.5f, 0.1f), Colour(0.9f, 0.6f, 0.05f)}) {
    const SceneLinear back = LinearFromSpectrum(SmoothSpectrum(c));
    CHECK(back.r == Approx(c.r).margin(2e-4));
    CHECK(back.g == Approx(c.g).margin(2e-4));
    CHECK(back.b == Approx(c.b).margin(2e-4));
  }
}

TEST_CASE("Spectrum: white and gray are flat, primaries stay within 0 and 1",
          "[colour][invariant]") {
  const Spectrum gray = SmoothSpectrum({0.3f, 0.3f, 0.3f});
  for (const double r : gray.at) CHECK(r == Approx(0.3).margin(1e-7));
  const Spectrum primaries[3] = {SmoothSpectrum({1, 0, 0}), SmoothSpectrum({0, 1, 0}),
                                 SmoothSpectrum({0, 0, 1})};
  for (size_t i = 0; i < kSpectrumBands; ++i) {
    double sum = 0;
    for (const Spectrum& primary : primaries) {
      CHECK(primary.at[i] >= 0);
      sum += primary.at[i];
      // Smooth: no step of more than a quarter between samples.
      if (i > 0) CHECK(std::abs(primary.at[i] - primary.at[i - 1]) < 0.25);
    }
    CHECK(sum == Approx(1).margin(1e-7));
  }
}

// Source  Argyll 2.3.1: spec2cie -i D50 -o 1931_2, on these three curves at the same 36 samples.
// Limit   0.1 of 100: Argyll interpolates between samples, here they are summed.
TEST_CASE("Spectrum: colours of three curves as Argyll has them", "[colour][reference]") {
  const auto hump = [](double nm, double middle, double width) {
    return std::exp(-(nm - middle) * (nm - middle) / (width * width));
  };
  struct Curve {
    std::function<double(double)> at;
    Xyz xyz;
  };
  const Curve curves[] = {
      {[](double nm) { return 0.10 + 0.45 / (1 + std::exp(-(nm - 560) / 60)); },
       {34.3594, 32.5507, 14.2138}},
      {[&](double nm) { return 0.06 + 0.5 * hump(nm, 520, 40); }, {12.402, 27.0557, 12.2014}},
      {[&](double nm) { return 0.04 + 0.4 * hump(nm, 450, 35); }, {8.13996, 5.38984, 27.3742}}};
  for (const Curve& curve : curves) {
    Spectrum spectrum;
    for (size_t i = 0; i < kSpectrumBands; ++i) {
      spectrum.at[i] = curve.at(kFirstNm + kStepNm * static_cast<double>(i));
    }
    const Xyz xyz = XyzFromSpectrum(spectrum);
    CHECK(100 * xyz.x == Approx(curve.xyz.x).margin(0.1).epsilon(0));
    CHECK(100 * xyz.y == Approx(curve.xyz.y).margin(0.1).epsilon(0));
    CHECK(100 * xyz.z == Approx(curve.xyz.z).margin(0.1).epsilon(0));
  }
}

// Source  MacAdam 1935: the limits of surfaces' chroma; numbers here are far to either side of them. The print trade's
//         solids exist (FOGRA39L).
TEST_CASE("Spectrum: which colours a material can have", "[colour][published]") {
  const auto possible = [](double l, double a, double b) {
    return IsPossibleMaterial(XyzFromLab({l, a, b}, kWhiteD50));
  };
  CHECK(possible(100, 0, 0));
  CHECK(possible(95, 0, -2));
  CHECK(possible(55, -37, -50));
  CHECK(possible(48, 74, -3));
  CHECK(possible(89, -5, 93));
  CHECK(possible(20, 0, 0));
  CHECK_FALSE(possible(98, 40, 0));
  CHECK_FALSE(possible(50, 140, 0));
  CHECK_FALSE(possible(20, 0, -140));
}

std::string CgatsOf(const std::string& fields, const std::string& rows,
                    const std::string& extra = "") {
  return "CGATS.17\nORIGINATOR \"a test # not a comment\"\n# a comment\n" + extra +
         "BEGIN_DATA_FORMAT\n" + fields + "\nEND_DATA_FORMAT\nBEGIN_DATA\n" + rows + "\nEND_DATA\n";
}

Placed<std::string> AFile() {
  return {"kraft.txt", {"scene.toml", 3, 4}, "surface.substrate.spectrum"};
}

std::string MistakeOf(const std::string& text) {
  const auto spectrum = ParseSpectrumFile(text, AFile());
  REQUIRE_FALSE(spectrum.ok());
  return FormatErrors(spectrum.errors());
}

std::string Wavelengths(const std::string& prefix, int from, int to, int step) {
  std::string names = "SAMPLE_ID";
  for (int nm = from; nm <= to; nm += step) names += " " + prefix + std::to_string(nm);
  return names;
}

std::string Values(const std::string& name, const std::string& value, int count) {
  std::string row = name;
  for (int i = 0; i < count; ++i) row += " " + value;
  return row;
}

TEST_CASE("Spectrum files: each way of naming wavelengths, shares and percent",
          "[colour][closed-form]") {
  for (const char* prefix : {"SPECTRAL_NM", "SPECTRAL_NM_", "SPECTRAL_", "SPEC_", "nm", "R_"}) {
    INFO(prefix);
    const auto flat = ParseSpectrumFile(
        CgatsOf(Wavelengths(prefix, 400, 700, 10), Values("\"A 1\"", "0.25", 31)), AFile());
    REQUIRE(flat.ok());
    for (const double r : flat->at) CHECK(r == Approx(0.25));
  }
  const auto percent =
      ParseSpectrumFile(CgatsOf(Wavelengths("SPECTRAL_NM", 380, 730, 10),
                                Values("A1", "40", 36) + "\n" + Values("A2", "60", 36)),
                        AFile());
  REQUIRE(percent.ok());
  CHECK(percent->at[10] == Approx(0.5));
  const auto norm = ParseSpectrumFile(CgatsOf(Wavelengths("SPEC_", 380, 780, 20),
                                              Values("A1", "1.5", 21), "SPECTRAL_NORM \"100\"\n"),
                                      AFile());
  REQUIRE(norm.ok());
  CHECK(norm->at[10] == Approx(0.015));
}

TEST_CASE("Spectrum files: what is wrong is said at its line", "[colour][bad-input]") {
  CHECK(MistakeOf("hello") ==
        "kraft.txt: error: expected a CGATS text file with BEGIN_DATA_FORMAT and BEGIN_DATA\n");
  CHECK(MistakeOf(CgatsOf("SAMPLE_ID LAB_L", "1 50")) ==
        "kraft.txt:4:1: error: has no spectra: expected fields such as SPECTRAL_NM400\n");
  CHECK(MistakeOf(CgatsOf(Wavelengths("SPEC_", 400, 650, 10), Values("A", "0.5", 26))) ==
        "kraft.txt:4:1: error: the spectrum runs from 400 to 650 nm, expected 400 to 700 nm at "
        "least\n");
  CHECK(
      MistakeOf(CgatsOf(Wavelengths("SPEC_", 400, 500, 10) + " SPEC_560" +
                            Wavelengths(" SPEC_", 570, 700, 10).substr(9),
                        Values("A", "0.5", 26))) ==
      "kraft.txt:4:1: error: the spectrum has a gap from 500 to 560 nm, expected steps of 20 nm at "
      "most\n");
  CHECK(MistakeOf(CgatsOf(Wavelengths("SPEC_", 400, 700, 10), Values("A", "0.5", 30))) ==
        "kraft.txt:7:1: error: 31 values, expected rows of 32 fields each\n");
  CHECK(MistakeOf(CgatsOf(Wavelengths("SPEC_", 400, 700, 10), Values("A", "0.5", 30) + " x")) ==
        "kraft.txt:8:1: error: x at 700 nm, expected a number\n");
  CHECK(MistakeOf(CgatsOf(Wavelengths("SPEC_", 400, 700, 10), Values("A", "-0.5", 31))) ==
        "kraft.txt:7:1: error: the reflectance at 400 nm is -0.5, expected 0 to 1.3\n");
  CHECK(MistakeOf(
            CgatsOf(Wavelengths("SPEC_", 400, 700, 10) + " SPEC_500", Values("A", "0.5", 32))) ==
        "kraft.txt:5:1: error: 500 nm stands twice\n");
}

}  // namespace
}  // namespace wheatpaste

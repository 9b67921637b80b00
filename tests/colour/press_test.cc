// A press by its profile, against the measurements that the profile was made from and LittleCMS's own program.
#include "colour/press.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <sstream>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "colour/adapt.h"
#include "colour/difference.h"
#include "colour/made_profiles.h"
#include "colour/srgb.h"
#include "measured_patches.h"
#include "must_run.h"
#include "support.h"
#include "transicc.h"

namespace wheatpaste {
namespace {

using namespace test;

std::string ProfilePath(const std::string& name) {
  return SourcePath("assets-open/profiles/" + name + ".icc");
}

Profile ReadProfile(const std::string& path) {
  auto bytes = ReadWholeFile({path, {path}, ""}, kMaxProfileBytes);
  REQUIRE(bytes.ok());
  auto profile = Profile::FromBytes(std::move(*bytes), {path}, "");
  REQUIRE(profile.ok());
  return std::move(*profile);
}

Press ReadPress(const std::string& name) {
  auto press = Press::Make(ReadProfile(ProfilePath(name)), {}, "");
  REQUIRE(press.ok());
  return std::move(*press);
}

SceneLinear RandomColour(std::mt19937& random) {
  std::uniform_real_distribution<double> code(0, 1);
  const auto band = [&] { return static_cast<float>(LinearFromSrgb(code(random))); };
  const float r = band(), g = band(), b = band();
  return {r, g, b};
}

SceneLinear HeldByTable(const Press& press, ProofIntent intent, SceneLinear colour) {
  press.HoldRow(intent, 1, &colour.r, &colour.g, &colour.b);
  return colour;
}

// Lab of each line of numbers.
std::vector<Lab> TransiccLab(const std::string& options, const std::string& lines) {
  const auto numbers = Transicc(options, lines);
  std::vector<Lab> labs;
  for (size_t i = 0; i + 2 < numbers.size(); i += 3) {
    labs.push_back({numbers[i], numbers[i + 1], numbers[i + 2]});
  }
  return labs;
}

}  // namespace

// Source  FOGRA39L characterisation data, Fogra 2006, all 1617 patches: assets-open/profiles/FOGRA39L_coated.ti3.
// Limit   CIEDE2000 0.3 in the mean, 1.5 at most: what smooth tables can follow of measurements.
TEST_CASE("Press: the profile of FOGRA39 reproduces its published patches", "[colour][published]") {
  const Press press = ReadPress("coated_offset");
  const auto patches = ReadMeasuredPatches();
  double sum = 0, worst = 0;
  for (const MeasuredPatch& patch : patches) {
    const double shift = DeltaE2000(press.LabOfInk(ProofIntent::kAbsolute, patch.inks), patch.lab);
    sum += shift;
    worst = std::max(worst, shift);
  }
  INFO("mean " << sum / 1617 << ", worst " << worst);
  CHECK(sum / 1617 <= 0.3);
  CHECK(worst <= 1.5);
}

// Source  paper, solids, overprints and ramps of FOGRA39L: tests/published/fogra39_primaries.csv. Limit  1 CIEDE2000.
TEST_CASE("Press: paper and solids of FOGRA39", "[colour][published]") {
  const Press press = ReadPress("coated_offset");
  const auto rows = ReadCsv(SourcePath("tests/published/fogra39_primaries.csv"));
  REQUIRE(rows.size() == 52);
  for (const auto& row : rows) {
    const auto number = [&row](size_t i) { return std::stod(row[i]); };
    INFO("C " << row[0] << " M " << row[1] << " Y " << row[2] << " K " << row[3]);
    const Lab published{number(7), number(8), number(9)};
    const Lab lab =
        press.LabOfInk(ProofIntent::kAbsolute, {number(0), number(1), number(2), number(3)});
    CHECK(DeltaE2000(lab, published) < 1);
  }
}

// Source  S16: along black from none to full, ink that is looked at, separated again and looked at once more keeps its
//         lightness within 3 (limit of LittleCMS's own test of a CMYK profile, testbed/testcms2.c).
// Note    There the profile is test1.icc, which is not openly at hand; ours of FOGRA39 stands in. S14 lists colours of
//         that very file and is left out for the same reason.
TEST_CASE("Press: black keeps its lightness through a second separation", "[colour][published]") {
  const Press press = ReadPress("coated_offset");
  for (int black = 0; black <= 100; ++black) {
    const Lab seen = press.LabOfInk(ProofIntent::kRelative, {0, 0, 0, double(black)});
    const HeldColour again = press.Hold(LinearFromLabD50(seen));
    INFO("K " << black);
    CHECK(std::abs(again.nearest.l - seen.l) < 3);
  }
}

// Source  S15, of LittleCMS's testbed/testcms2.c: Lab16 0x1234 0x3434 0x9A9A is 7.11070, -76, 26.
constexpr double kLab16Limit = 1e-4;

TEST_CASE("Lab in 16 bits", "[colour][published]") {
  const Lab lab = LabFromDevice(Profile::LabD50(),
                                std::array{0x1234 / 65535.0, 0x3434 / 65535.0, 0x9A9A / 65535.0});
  CHECK(lab.l == Approx(7.11070).margin(kLab16Limit));
  CHECK(lab.a == Approx(-76).margin(kLab16Limit));
  CHECK(lab.b == Approx(26).margin(kLab16Limit));
}

// Source  transicc of LittleCMS (liblcms2-utils 2.14): sRGB to ink, relative colorimetric with black-point
//         compensation, and ink to Lab. Limit  0.01 in Lab; 0.01 % of ink and one code of its printed digits.
TEST_CASE("Press: LittleCMS's own program separates and sees the same", "[colour][reference]") {
  const std::string icc = ProfilePath("uncoated_offset");
  const Press press = ReadPress("uncoated_offset");
  std::string codes, inks;
  std::vector<HeldColour> held;
  std::mt19937 random(5);
  for (int i = 0; i < 60; ++i) {
    std::array<int, 3> rgb{};
    for (int& code : rgb) code = static_cast<int>(random() % 256);
    held.push_back(
        press.Hold(LinearFromSrgb(Srgb8{static_cast<uint8_t>(rgb[0]), static_cast<uint8_t>(rgb[1]),
                                        static_cast<uint8_t>(rgb[2])})));
    codes += fmt::format("{} {} {}\n", rgb[0], rgb[1], rgb[2]);
    const auto& ink = held.back().ink_percent;
    inks += fmt::format("{:.9f} {:.9f} {:.9f} {:.9f}\n", ink[0], ink[1], ink[2], ink[3]);
  }
  const TempFolder folder;
  WriteText(folder / "in.txt", codes);
  std::istringstream out(
      MustRun("transicc -n -t1 -b '-i*sRGB' '-o" + icc + "' < '" + folder / "in.txt" + "'"));
  for (const HeldColour& colour : held) {
    for (const double ours : colour.ink_percent) {
      double theirs = -1;
      out >> theirs;
      CHECK(ours == Approx(theirs).margin(0.02));
    }
  }
  for (const ProofIntent intent : {ProofIntent::kRelative, ProofIntent::kAbsolute}) {
    const bool absolute = intent == ProofIntent::kAbsolute;
    const auto labs =
        TransiccLab(fmt::format("-t{} '-i{}' '-o*Lab4'", absolute ? 3 : 1, icc), inks);
    REQUIRE(labs.size() == held.size());
    for (size_t i = 0; i < held.size(); ++i) {
      const Lab& ours = absolute ? held[i].absolute : held[i].relative;
      INFO(i);
      CHECK(ours.l == Approx(labs[i].l).margin(0.01));
      CHECK(ours.a == Approx(labs[i].a).margin(0.01));
      CHECK(ours.b == Approx(labs[i].b).margin(0.01));
    }
  }
}

TEST_CASE("Press: white is the paper, black is as light as the press leaves it",
          "[colour][closed-form]") {
  for (const char* name : {"coated_offset", "uncoated_offset", "magazine", "newsprint",
                           "us_coated_sheetfed", "us_web_coated", "us_newsprint"}) {
    const Press press = ReadPress(name);
    const HeldColour white = press.Hold({1, 1, 1}), black = press.Hold({0, 0, 0});
    INFO(name);
    CHECK(white.total_ink_percent() < 0.5);
    CHECK(DeltaE2000(white.relative, Lab{100, 0, 0}) < 0.3);
    CHECK(black.relative.l > 3);
    CHECK(std::abs(black.relative.l - black.nearest.l) < 3);
    const SceneLinear paper = HeldByTable(press, ProofIntent::kRelative, {1, 1, 1});
    for (const float band : {paper.r, paper.g, paper.b}) CHECK(band == Approx(1).margin(0.005));
  }
}

TEST_CASE("Press: the table keeps to its stated error", "[colour][twin]") {
  const Press press = ReadPress("coated_offset");
  std::mt19937 random(11);
  for (const ProofIntent intent : {ProofIntent::kRelative, ProofIntent::kAbsolute}) {
    std::vector<double> shifts;
    for (int i = 0; i < 4000; ++i) {
      const SceneLinear colour = RandomColour(random);
      const HeldColour exact = press.Hold(colour);
      shifts.push_back(
          DeltaE2000(LabD50FromLinear(HeldByTable(press, intent, colour)),
                     intent == ProofIntent::kRelative ? exact.relative : exact.absolute));
    }
    std::sort(shifts.begin(), shifts.end());
    double sum = 0;
    for (const double shift : shifts) sum += shift;
    INFO("mean " << sum / 4000 << ", 99 of 100 " << shifts[3960] << ", worst " << shifts.back());
    CHECK(sum / 4000 < kPressTableMeanError);
    CHECK(shifts[3960] < kPressTableLargeError);
  }
}

TEST_CASE("Press: colours beyond sRGB come out finite, of the same hue", "[colour][invariant]") {
  const Press press = ReadPress("coated_offset");
  // Display P3's green and red in the working space, much light, and what is no number.
  for (const SceneLinear& colour :
       {SceneLinear{-0.2249f, 1.0421f, -0.0786f}, SceneLinear{1.2249f, -0.0421f, -0.0197f},
        SceneLinear{9, 9, 9}, SceneLinear{NAN, 0.5f, INFINITY}}) {
    const SceneLinear held = HeldByTable(press, ProofIntent::kRelative, colour);
    for (const float band : {held.r, held.g, held.b}) {
      CHECK(std::isfinite(band));
      CHECK(band > -0.3);
      CHECK(band < 1.2);
    }
  }
  const SceneLinear bright = HeldByTable(press, ProofIntent::kRelative, {9, 9, 9});
  CHECK(bright.g == Approx(1).margin(0.01));
}

TEST_CASE("Press: the same bits on one thread and on many", "[colour][invariant]") {
  std::array<std::vector<float>, 2> values;
  for (size_t run = 0; run < 2; ++run) {
    const ThreadLimit limit(run == 0 ? 1 : 4);
    const Press press = ReadPress("newsprint");
    std::mt19937 random(3);
    for (int i = 0; i < 500; ++i) {
      const SceneLinear held = HeldByTable(press, ProofIntent::kRelative, RandomColour(random));
      values[run].insert(values[run].end(), {held.r, held.g, held.b});
    }
  }
  CHECK(values[0] == values[1]);
}

TEST_CASE("Press: a profile that is none of a press is refused", "[colour][bad-input]") {
  const auto refused = Press::Make(Profile::Srgb(), {"scene.toml", 2, 19}, "print_condition");
  REQUIRE_FALSE(refused.ok());
  CHECK(FormatErrors(refused.errors()) ==
        "scene.toml:2:19: error: print_condition: expected a press's profile, CMYK and able to "
        "choose "
        "ink; \"sRGB built-in\" is for RGB\n");
}

}  // namespace wheatpaste

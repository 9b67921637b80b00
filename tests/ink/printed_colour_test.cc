#include "ink/printed_colour.h"

#include <catch2/catch.hpp>

#include <algorithm>

#include "colour/adapt.h"
#include "colour/difference.h"
#include "colour/srgb.h"
#include "ink/ink_table.h"

namespace wheatpaste {
namespace {

Substrate SubstrateOf(const Lab& lab) {
  Substrate substrate;
  const SceneLinear c = LinearFromLabD50(lab);
  substrate.reflectance = {double{c.r}, double{c.g}, double{c.b}};
  return substrate;
}
const Substrate kPaper = SubstrateOf({95, 0, -2}), kKraft = SubstrateOf({62, 7.5, 22}),
                kBlack = SubstrateOf({18, 0, -1});

Ink FilmInk(double hiding, double white = 0.85) {
  Ink ink;
  ink.hiding = hiding;
  ink.white = white;
  return ink;
}

double Difference(const SceneLinear& a, const SceneLinear& b) {
  return DeltaE2000(LabD50FromLinear(a), LabD50FromLinear(b));
}

SceneLinear Of(const Substrate& s) {
  return {static_cast<float>(s.reflectance.r), static_cast<float>(s.reflectance.g),
          static_cast<float>(s.reflectance.b)};
}

// By definition of a filtering ink: white is no ink, and on the paper of its look it has its look.
// Limit   0.02: white of the printed matrix of IEC 61966-2-1 is D65 to four decimals only; 0.1 through the table of looks.
TEST_CASE("PrintedColour: clear inks have their colour on white paper, and white is no ink",
          "[ink][closed-form]") {
  for (const Substrate& substrate : {kPaper, kKraft, kBlack}) {
    CHECK(Difference(PrintedColour(FilmInk(0), substrate, {1, 1, 1}), Of(substrate)) < 0.02);
  }
  Substrate flat;
  flat.reflectance = {kReferencePaper, kReferencePaper, kReferencePaper};
  for (const Srgb8& code : {Srgb8{13, 59, 102}, Srgb8{244, 211, 94}, Srgb8{200, 30, 40}}) {
    const SceneLinear c = LinearFromSrgb(code);
    const auto scale = static_cast<float>(kReferencePaper);
    CHECK(Difference(PrintedColour(FilmInk(0), flat, c), {c.r * scale, c.g * scale, c.b * scale}) <
          0.1);
  }
}

// What everyone who prints on kraft has seen (common practice, no source): clear yellow is lost, white under it brings it
// back; covering white is nearly white; black is black on both.
TEST_CASE("PrintedColour: on kraft clear inks sink in and an underbase lifts them",
          "[ink][closed-form]") {
  const SceneLinear yellow = LinearFromSrgb(Srgb8{244, 211, 94});
  const auto lightness = [](const SceneLinear& c) { return LabD50FromLinear(c).l; };
  Ink lifted = FilmInk(0);
  Ink white = FilmInk(0.8, 0.82);
  white.colour = SceneLinear{1, 1, 1};
  white.solid = true;
  lifted.underbase = std::make_shared<const Ink>(white);
  const double sunk = lightness(PrintedColour(FilmInk(0), kKraft, yellow));
  const double up = lightness(PrintedColour(lifted, kKraft, yellow));
  const double paper = lightness(PrintedColour(FilmInk(0), kPaper, yellow));
  INFO("L* on kraft " << sunk << ", on white ink on kraft " << up << ", on paper " << paper);
  CHECK(sunk < 58);
  CHECK(up > sunk + 12);
  CHECK(paper > up);
  // On black cotton: clear ink vanishes, covering ink does not.
  CHECK(lightness(PrintedColour(FilmInk(0), kBlack, yellow)) < 20);
  CHECK(lightness(PrintedColour(FilmInk(0.93), kBlack, yellow)) > 70);
}

// Energy: clear ink returns no more than the substrate does; nothing returns more than its white or its ground.
TEST_CASE("PrintedColour: inks add no light", "[ink][invariant]") {
  for (const double hiding : {0.0, 0.4, 0.9}) {
    for (const Substrate& substrate : {kPaper, kKraft, kBlack}) {
      for (const float level : {0.0f, 0.3f, 1.0f}) {
        const SceneLinear printed =
            PrintedColour(FilmInk(hiding), substrate, {level, level, level});
        const double ground =
            std::max({substrate.reflectance.r, substrate.reflectance.g, substrate.reflectance.b});
        CHECK(printed.g <= std::max(ground, hiding > 0 ? 0.86 : 0.0) + 1e-4);
        CHECK(printed.g >= 0);
      }
    }
  }
}

TEST_CASE("PrintedColour: white may be paper where ink covers", "[ink][closed-form]") {
  Ink ink = FilmInk(0.95);
  ink.white_is = White::kPaper;
  CHECK(Difference(PrintedColour(ink, kKraft, {1, 1, 1}), Of(kKraft)) < 0.02);
  // A tint is its share of solid ink beside paper.
  const SceneLinear solid = PrintedColour(ink, kKraft, {0, 0, 0});
  const SceneLinear half = PrintedColour(ink, kKraft, {0.5f, 0.5f, 0.5f});
  CHECK(half.r == Approx(0.5 * (solid.r + Of(kKraft).r)).margin(1e-4));
  ink.white_is = White::kInk;
  CHECK(LabD50FromLinear(PrintedColour(ink, kKraft, {1, 1, 1})).l > 88);
}

TEST_CASE("PrintedColour: an ink of one colour runs from paper to its own look",
          "[ink][closed-form]") {
  Ink ink = FilmInk(0);
  const SceneLinear look = LinearFromSrgb(Srgb8{20, 80, 60});
  ink.colour = look;
  Substrate flat;
  flat.reflectance = {kReferencePaper, kReferencePaper, kReferencePaper};
  const auto scale = static_cast<float>(kReferencePaper);
  CHECK(Difference(PrintedColour(ink, flat, {1, 1, 1}), {scale, scale, scale}) < 0.02);
  CHECK(Difference(PrintedColour(ink, flat, {0, 0, 0}),
                   {look.r * scale, look.g * scale, look.b * scale}) < 0.1);
  // Luminance falls in a straight line, whatever the artwork's hue.
  const auto y = [&](float level) {
    const SceneLinear c = PrintedColour(ink, flat, {level, level, level});
    return double{Luminance(c.r, c.g, c.b)};
  };
  CHECK(y(0.5f) == Approx((y(0) + y(1)) / 2).margin(2e-3));
  ink.solid = true;
  CHECK(y(0.5f) == Approx(y(0)).margin(1e-9));
}

TEST_CASE("PrintedColour: label stock comes between", "[ink][closed-form]") {
  Ink ink = FilmInk(0);
  Substrate label = kPaper;
  label.hiding = 1;
  ink.stock = std::make_shared<const Substrate>(label);
  const SceneLinear red{0.5f, 0.05f, 0.05f};
  CHECK(Difference(PrintedColour(ink, kKraft, red), PrintedColour(FilmInk(0), kPaper, red)) < 0.05);
  label.hiding = 0;
  ink.stock = std::make_shared<const Substrate>(label);
  CHECK(Difference(PrintedColour(ink, kKraft, red), PrintedColour(FilmInk(0), kKraft, red)) < 0.05);
}

// Limit   kInkTableMaxError, CIEDE2000, of the print under D50.
TEST_CASE("InkTable: agrees with the inks it is made from", "[ink][twin][numbers]") {
  std::vector<Ink> inks{FilmInk(0), FilmInk(0.4), FilmInk(0.95), FilmInk(0.9)};
  inks[3].white_is = White::kPaper;
  inks.push_back(FilmInk(0.1));
  inks.back().colour = SceneLinear{0.02f, 0.1f, 0.06f};
  double worst = 0;
  for (const Ink& ink : inks) {
    for (const Substrate& substrate : {kPaper, kKraft, kBlack}) {
      const InkTable table(ink, substrate);
      const InkOnSubstrate exact(ink, substrate);
      const auto printed = [&](const PrintedLight& light) {
        const SceneLinear blank = Of(substrate);
        const float bands[3] = {blank.r, blank.g, blank.b};
        float sum[3];
        for (size_t i = 0; i < 3; ++i) {
          sum[i] = static_cast<float>(light.share *
                                          (light.filter[i] * double{bands[i]} + light.cover[i]) +
                                      (1 - light.share) * double{bands[i]});
        }
        return SceneLinear{sum[0], sum[1], sum[2]};
      };
      for (int i = 0; i < 24 * 24 * 24; ++i) {
        const auto level = [](int k) {
          const float root = (static_cast<float>(k) + 0.5f) / 24;
          return root * root;
        };
        const SceneLinear c{level(i / 576), level(i / 24 % 24), level(i % 24)};
        worst = std::max(worst, Difference(printed(table.At(c)), printed(exact.At(c))));
      }
    }
  }
  INFO("largest CIEDE2000 " << worst);
  CHECK(worst <= kInkTableMaxError);
  CHECK(worst > 0);
}

}  // namespace
}  // namespace wheatpaste

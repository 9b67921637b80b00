// printed_colour.h - what colours of the artwork are once they are printed on a substrate.
//
// Model   a place of the print returns  L' - S' = F (L - S) + H E : F is printed over blank for light that comes back from the
//         substrate, H what the ink itself returns. A plain ink (Ink::opacity) has F = (1 - opacity) C, H = opacity white C.
//         A film is computed at each wavelength of colour/spectrum.h: the artwork's colour, relative to white, is the ink's
//         look on the reference paper (film.h); the film so found lies on the underbase, that on the stock, that on the
//         substrate. With R(Rs) of the stack, per band of the working primaries and seen under D50,
//             H = band of R(0),  F = band of (R(Rs) - R(0)) / band of Rs.
//         Where white is paper and the ink hides, a colour C is a tint: it covers the share 1 - min(C), in the colour that
//         gives C together with the white left over. An ink of one colour is a tint whose dots cover a share of the paper
//         by Yule-Nielsen (halftone.h); white is none, black is solid, luminance on paper falls in a straight line between.
// Threads immutable once made; any thread may use them.
#pragma once

#include <array>
#include <memory>
#include <vector>

#include "colour/colour.h"
#include "colour/spectrum.h"
#include "ink/film.h"
#include "scene/scene.h"

namespace wheatpaste {

struct PrintedLight {
  std::array<double, 3> filter{};  // F
  std::array<double, 3> cover{};   // H
  double share =
      1;  // of the place that holds ink; F and H are of that share, the rest is as without artwork
};

class InkOnSubstrate {
 public:
  // Expects a substrate that is known.
  InkOnSubstrate(const Ink& ink, const Substrate& substrate);

  // artwork  linear, not premultiplied. Where it leaves [0, 1], what goes beyond is added as a plain ink would.
  PrintedLight At(const SceneLinear& artwork) const;

  // The two steps of At: the colour of the ink that is there and its share; that ink, solid.
  struct Split {
    SceneLinear ink;
    double share = 1;
  };
  Split SplitOf(const SceneLinear& artwork) const;
  PrintedLight Solid(const SceneLinear& ink) const;

  // Where the artwork paints nothing: F = 1, H = 0, or the label stock.
  const PrintedLight& unprinted() const { return unprinted_; }
  bool covers() const { return covers_; }

 private:
  // Reflectance below the ink's surface of all that lies under the ink, over the substrate and over black.
  struct Ground {
    double substrate = 0, black = 0;
  };
  PrintedLight FilmAt(const Spectrum& look) const;
  PrintedLight Tint(double dots) const;
  PrintedLight LightOf(const Spectrum& whole, const Spectrum& over_black) const;
  double DotsFor(double luminance) const;

  Ink ink_;
  double hiding_ = 0;
  std::array<double, 3> blank_{};
  std::shared_ptr<const InkSystem> system_;
  std::array<Ground, kSpectrumBands> ground_{};
  Spectrum bare_, bare_black_;  // as measured, without the ink
  Spectrum colour_;             // of an ink of one colour: its look
  PrintedLight unprinted_;
  bool covers_ = false;
};

// One colour, for checks and reports: the reflectance of that place of the print, in the working primaries; may leave
// [0, 1] where no display shows it.
SceneLinear PrintedColour(const Ink& ink, const Substrate& substrate, const SceneLinear& artwork);

// The same of where the artwork paints nothing: the substrate, or the label stock on it.
SceneLinear UnprintedColour(const Ink& ink, const Substrate& substrate);

}  // namespace wheatpaste

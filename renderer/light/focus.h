// focus.h - how blurred the photograph is at a surface, from its edges.
//
// Model   a straight step edge in linear luminance Y, seen through blur and pixel, is
//             Y(d) = B + A Phi((d - m) / sigma),   d = (p - p0) . n(theta)
//         with Phi the normal distribution. B, A, m, theta, sigma are fitted to the pixels themselves (no interpolation,
//         no difference quotient, so neither adds blur), over a strip kFocusStripPx to each side along the edge.
//         sigma holds the pixel's own extent: a perfectly sharp antialiased edge has sqrt(1/12) = 0.289 px.
// Points  the steepest pixel of each tile; kept where the fit explains the strip (no stripe, corner, curve, halo,
//         clipped plateau) and sigma is certain to 10 % + 0.05 px. Texture and shadows make edges softer than the
//         lens does, never sharper: the sharpest lump of sigmas counts (from the lowest fifth, the median of all within
//         a factor kLumpReach of it, until it stands).
// Plane   sigma = s0 + sx (x - cx) + sy (y - cy), taken where it has a fifth more of the points within reach than any
//         constant, and differs by more than 0.15 px over them.
// Source  derived here (fit of a Gaussian-blurred step); tests/light/focus_test.cc holds it against closed forms and the
//         gradient ratio of Zhuo, Sim 2011, Pattern Recognition 44(9), 1852-1858, R = sqrt(1 + sigma0^2 / sigma^2).
#pragma once

#include <optional>

#include "image/elliptical_average.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int kFocusStripPx = 3;
inline constexpr int kLeastFocusPoints = 40;
inline constexpr double kLumpReach = 1.3;
// The Gaussian blur whose step is nearest, by least squares, to a step seen through the pixel filter (1 - (r/R)^2)^2:
// 0.3695 R, computed for this file. (The filter's standard deviation is sqrt(1/8) R.)
inline constexpr double kPixelFilterSigmaPx = double{kFilterRadiusPx} * 0.3695;

struct Focus {
  double sigma_px = 0;               // at (x, y), the mean place of the points
  double x = 0, y = 0;               // px of the view, centres at .5
  double slope_x = 0, slope_y = 0;   // px per px
  double least_px = 0, most_px = 0;  // of the points that decided; SigmaAt stays between them
  double spread_px = 0;              // robust standard deviation of those about the model
  int points = 0;                    // that decided

  double SigmaAt(double px, double py) const;

  // How many times wider the pixel filter becomes for artwork to be as soft as the photo: at least 1.
  double WideningAt(double px, double py) const;
  double MostWidening() const;
};

// light    the picture, or the part of it around the surface.
// seen     the surface in it, same size; edges within margin_px of it count.
// returns  nothing where fewer than kLeastFocusPoints edges agree.
// threads  any; the same bits for any thread count.
std::optional<Focus> EstimateFocus(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                                   int margin_px);

}  // namespace wheatpaste

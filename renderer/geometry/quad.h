// quad.h - one rectangle as pictured: is it possible, and what does it tell of camera and aspect ratio.
//
// Corners run clockwise in photo px from the rectangle's own top left: top left, top right, bottom right,
// bottom left. Pixels are square, the principal point is given (the photo's centre).
// Source  Zhang, He, MSR-TR-2003-39, section 3.2 (Digital Signal Processing 17, 2007). With m1 .. m4 the
//         images of (0,0), (w,0), (0,h), (w,h), homogeneous:
//             k2 = ((m1 x m4) . m3) / ((m2 x m4) . m3),  k3 = ((m1 x m4) . m2) / ((m3 x m4) . m2)
//             n2 = k2 m2 - m1,  n3 = k3 m3 - m1
//             f^2 from n2^T omega n3 = 0;  (w/h)^2 = (n2^T omega n2) / (n3^T omega n3)
//         where omega = A^-T A^-1 and A holds f and the principal point.
#pragma once

#include <array>
#include <optional>

#include "geometry/coords.h"

namespace wheatpaste {

using Quad = std::array<PhotoPx, 4>;

// Hand-placed marks are taken to be this good, per coordinate, where uncertainties are reported.
inline constexpr double kMarkingErrorPx = 0.5;

enum class QuadFault {
  kNone,
  kCoincident,  // two corners lie closer than kLeastSidePx
  kFlat,        // three corners lie nearly on a line
  kCrossed,     // two sides cross each other
  kDented,      // a corner points inwards: no camera sees a rectangle so
  kMirrored     // the corners run counter-clockwise
};

// Marks closer than this cannot be told apart by hand.
inline constexpr double kLeastSidePx = 2.0;

QuadFault FindQuadFault(const Quad& corners);

struct QuadVectors {
  double k2 = 0, k3 = 0;
  Eigen::Vector3d n2, n3;
};
QuadVectors QuadVectorsOf(const Quad& corners);

// Where the two pairs of opposite sides meet: of the top and bottom side, of the left and right side.
struct VanishingPoints {
  Eigen::Vector3d across, down;  // homogeneous, photo px
};
VanishingPoints VanishingPointsOf(const Quad& corners);

// A number with one standard deviation, from kMarkingErrorPx on each coordinate of each corner.
struct Estimate {
  double value = 0;
  double sd = 0;
};

// Focal length in px, from the quad alone. Nothing where the quad does not tell: a pair of sides is
// parallel in the picture, or the equation has no positive root.
std::optional<Estimate> FocalFromQuad(const Quad& corners, PhotoPx principal);

// Width divided by height of the rectangle, for a camera of focal length `focal_px`.
std::optional<Estimate> AspectFromQuad(const Quad& corners, PhotoPx principal, double focal_px);

}  // namespace wheatpaste

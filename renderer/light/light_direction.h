// light_direction.h - where the light on a face comes from, read from how its folds are shaded.
//
// Model   R = (1 - a . grad z) / sqrt(1 + |grad z|^2), a = tan(slant) (cos tilt, sin tilt) (relief.h).
//         Tilt: shading changes most along the light: main axis of the mean of grad R grad R^T. For heights of no
//         preferred direction that is the light's; where one direction of folds leads it is theirs, and a is then what acts
//         along it, which is all that their shading can tell. Which end of the axis: the one towards which the whole face
//         gets brighter, by more than kTellingChange from side to side, as a lamp is nearer there; else light comes from
//         above.
//         Slant: slopes to both sides are as frequent, so that the linear part has no skewness; what skewness R shows comes
//         from the square root, and from how the view stretches slopes. With g = grad z of the linear solution for
//         tan(slant) = 1, z = Z / tan(slant), find the slant whose
//             sum v (R sqrt(1 + |g|^2 / tan^2) - mean)^3,   v = 1 + w . g / tan   (a pixel's area on the sheet)
//         is 0. To leading order of a sinusoid without shift: skew / variance^2 = -(3 / 4) / tan^2.
//         A few folds make a poor statistic: the slant is the most likely one, with the standardised skewness uncertain by
//         kSkewnessSd and ln tan(slant) by kSlantSd about that of kUsualSlantDegrees.
// Range   slant 20 to 70 degrees.
// Source  derived here; tests/light/light_direction_test.cc. Tilt after Pentland 1982, J. Opt. Soc. Am. 72(4), 448-455
//         (from memory).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "surface/flat_grid.h"

namespace wheatpaste {

inline constexpr double kLeastSlantDegrees = 20, kMostSlantDegrees = 70, kUsualSlantDegrees = 45;

inline constexpr double kTellingChange = 0.05;
// On ten rendered canvases of three folds each (tests/ref/folded_stage.h) the skewness that was left for the true slant.
inline constexpr double kSkewnessSd = 0.3;
// Lamps 30 to 60 degrees off a face: a choice.
inline constexpr double kSlantSd = 0.35;

struct LightDirection {
  double tilt_rad = 0;             // from the face's x towards its y (down)
  double slant_rad = 0;            // from the face's normal
  Eigen::Vector2d Slopes() const;  // a
};

// ratio, weights  R at the nodes of `shape`, and 1 where it was seen.
// brighter        change of the face's own brightness, its logarithm, per mm.
// above           which way on the face is up in the picture (any length).
Eigen::Vector2d EstimateTilt(const GridShape& shape, const GridValues& ratio,
                             const std::vector<double>& weights, const Eigen::Vector2d& brighter,
                             const Eigen::Vector2d& above);

// tan(slant). unit_heights  the solution for tan(slant) = 1, mm. shift  w of the view at each node.
double EstimateSlant(const GridShape& shape, const GridValues& ratio,
                     const std::vector<double>& weights, const GridValues& unit_heights,
                     const std::vector<Eigen::Vector2d>& shift);

// A point of some face: its normal, camera axes, and the light it shows over its reflectance.
struct ShadedNormal {
  Eigen::Vector3d normal;
  double light = 0;
};

// light = ambient + max(0, towards . normal)
struct FittedLight {
  double ambient = 0;
  Eigen::Vector3d towards;  // camera axes; its length is the lamp's share
};

// Least squares over the samples, once more without those that miss by more than 2.5 times the usual (shadows); a little
// of each unknown's square keeps what the normals do not tell small. None where normals differ by less than about
// kLeastSpreadDegrees, or what differs is not lit from one side.
inline constexpr double kLeastSpreadDegrees = 8;
std::optional<FittedLight> FitLight(const std::vector<ShadedNormal>& samples);

// "its upper left", of a direction in a face's axes: x right, y down, z out.
std::string SideOf(const Eigen::Vector3d& to_light);

}  // namespace wheatpaste

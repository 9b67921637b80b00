// surroundings.h - what a mirror on the surface sees: a room as simple as the photo can tell of it.
//
// Model   radiance in units of what a perfect diffuser returns, directions unit, camera axes (x right, y down, z away):
//         a dome, brighter above its horizon than below, of mean 1, times `ambient`:
//             dome(d) = 1 + contrast s(d . up / width),   s(x) = (3 x - x^3) / 2 within [-1, 1], else -1 or 1
//         and one lamp towards `to_light`, small against the dome, that a diffuser facing it returns as `lamp`.
//         A diffuser of normal n returns     Diffuse(n) = ambient (1 + contrast (n . up) / 2) + lamp max(0, n . to_light)
//         (of the dome with a sharp horizon exactly: its upper part fills the share (1 + n . up) / 2 of n's hemisphere.)
//         In a rough mirror the horizon is as much wider as the roughness, and the lamp has a size of its own.
// Source  derived here; tests/ink/foil_test.cc. Contrast, width and the lamp's size are choices, made by eye on the sample
//         scenes; a larger lamp as a rougher mirror after Karis 2013, SIGGRAPH course (from memory).
#pragma once

#include <Eigen/Core>

namespace wheatpaste {

inline constexpr double kDomeContrast = 0.6;
inline constexpr double kHorizonWidth = 0.3;
inline constexpr double kLampSize = 0.2;  // alpha of its image in a perfect mirror

struct Surroundings {
  Eigen::Vector3d up{0, -1, 0};
  double ambient = 1;
  double contrast = kDomeContrast;
  Eigen::Vector3d to_light{0, -1, 0};
  double lamp = 0;

  double Diffuse(const Eigen::Vector3d& normal) const;
  // The dome's part of what a mirror of this roughness sends on from direction d.
  double Dome(const Eigen::Vector3d& direction, double roughness) const;
};

// Roughness with which the lamp is mirrored.
double LampRoughness(double roughness);

}  // namespace wheatpaste

// surroundings.h - what a mirror on the surface sees: a room as simple as the photo can tell of it.
//
// Model   radiance in units of what a perfect diffuser returns, directions unit, camera axes (x right, y down, z away):
//         a dome times `ambient`, brighter the higher, and uneven as rooms are: with t = d . up, u = n . up,
//             dome(d) = ground + sky ((1 - alpha) max(0, t)^2 + alpha (1 + t)^2 / 8)
//                       + uneven sum over j of w_j exp(-(k_j alpha)^2) cos(k_j d . a_j + p_j)
//         in a mirror of roughness alpha, which turns light by about sqrt(2) alpha to each side; ground + sky / 8 = 1;
//         and one lamp towards `to_light`, small against the dome, that a diffuser facing it returns as `lamp`.
//         A diffuser of normal n returns     Diffuse(n) = ambient (ground + sky (1 + u)^2 / 8) + lamp max(0, n . to_light)
//         (exactly, but for the waves, which nearly even out: of max(0, t)^2 half is t^2 / 2, of which it returns (1 + u^2) / 8, and the
//         rest is odd, of which it keeps the first harmonic only, u / 4).
//         The room is not endless: its walls and lamps stand kRoomSize times as far from the object as the camera, so that
//         from place to place on it the same direction shows another part of the room.
// Source  derived here; tests/ink/foil_test.cc. What the room holds is not known: its heights, waves and sizes are choices,
//         made by eye on the sample scenes. A larger lamp as a rougher mirror: after Karis 2013, SIGGRAPH course (from memory).
#pragma once

#include <Eigen/Core>

namespace wheatpaste {

inline constexpr double kSky = 3.2;
inline constexpr double kRoomUnevenness = 0.5;
inline constexpr double kRoomSize = 0.35;
// Alpha of the lamp's image in a perfect mirror; where its direction is guessed its place may not be shown so narrowly.
inline constexpr double kLampSize = 0.2, kGuessedLampSize = 0.8;

struct Surroundings {
  Eigen::Vector3d up{0, -1, 0};
  double ambient = 1;
  double sky = kSky;
  double uneven = kRoomUnevenness;
  Eigen::Vector3d to_light{0, -1, 0};
  double lamp = 0;
  double lamp_size = kLampSize;

  double Diffuse(const Eigen::Vector3d& normal) const;
  // The dome's part of what a mirror of this roughness sends on from direction d.
  double Dome(const Eigen::Vector3d& direction, double roughness) const;
  // Roughness with which the lamp is mirrored.
  double LampRoughness(double roughness) const;
};

}  // namespace wheatpaste

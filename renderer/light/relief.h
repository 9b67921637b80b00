// relief.h - heights of a face from how its folds are lit.
//
// Model   heights z mm above flat mm, towards the camera, lit from the direction a = tan(slant) (cos tilt, sin tilt) in
//         the face's axes (x right, y down); light over what the flat face would show:
//             R = (1 - a . grad z) / sqrt(1 + |grad z|^2)
//         Linear in small slopes: R - 1 = -a . grad z, which the Fourier transform solves:
//             Z = conj(T) S / (|T|^2 + damping |a k|^2),   T = -i a . k
//         Slopes square to the light leave no trace and come out 0. What the linear form leaves out is put back in a few
//         rounds: R sqrt(1 + |grad z|^2) - 1 in place of R - 1, and R taken from where the camera sees each point.
//         Least squares from there, with z = 0 along the face's own sides (they are where they were marked), no say for
//         nodes that were not seen, and the same damping:
//             sum w (s + a . grad z)^2 + |a|^2 sum (damping |grad z|^2 + (2 pi / longest)^2 z^2)   ->  least
//         and in the end all heights as much larger as the damping took along the light. Where the light is fitted to faces
//         of known normals (light_direction.h), a changes over the face and the face's own shading is divided out first.
// Source  Pentland 1990, International Journal of Computer Vision 4(2), 153-162 (linear shading); the rest derived here,
//         tests/light/relief_test.cc and tests/ref/relief_test.cc.
#pragma once

#include <optional>

#include <Eigen/Core>

#include "light/flat_light.h"
#include "light/light_direction.h"
#include "surface/face_view.h"

namespace wheatpaste {

struct Relief {
  GridValues heights;  // mm, at the nodes of the light's grid
  LightDirection light;
  bool estimated = false;  // the light was not given
  bool shadows = false;    // hard edges were left out
};

inline constexpr double kReliefDamping = 0.05;
// Waves longer than this share of the face are more likely light that falls off than folds.
inline constexpr double kLongestShare = 0.75;

// What is known of the light before the folds are looked at: one of the two, or neither.
struct GivenLight {
  std::optional<Eigen::Vector3d> from;  // unit vector to it, camera axes, from the scene
  std::optional<FittedLight> fitted;    // from faces whose normals are known and differ
};

// flat  the face's light as the camera sees it.
// None where the light given comes from behind the face, or straight onto it.
std::optional<Relief> ReadRelief(FlatLight flat, const FaceView& view, const PrintArea& area,
                                 const GivenLight& given);

}  // namespace wheatpaste

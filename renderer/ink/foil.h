// foil.h - the light that foil and varnish send to the camera.
//
// Model   n the normal, v the unit vector to the camera, p the place in the room; r = 2 (n . v) n - v + p, made unit, what is
//         mirrored; l to_light - p, made unit, the lamp's direction; h = (v + l) / |v + l|;
//         E the light on the flat surface (of its normal n_flat), level = E / Diffuse(n_flat) in each band:
//             foil     level * lacquer * (A(n . v) Dome(r) + lamp pi F(v . h) D(h) G2 / (4 n . v)
//                                         + F_again (1 - one(n . v)) Diffuse(n))
//             varnish  level * max(0, lamp F (pi D(h) G2 / (4 n . v) - n . l)),   F of a coat with F0 = kVarnishF0
//         Varnish adds no more than the lamp's mirror image, less what the surface under it mirrored of the lamp to all sides:
//         that is in the photo already, as is what it mirrors of the dome.
//         In even light foil of F0 = 1 returns E, whatever its roughness; of any F0 at most E (lamp left out).
// Source  ggx.h, surroundings.h; tests/ink/foil_test.cc. kVarnishF0 = ((1.5 - 1) / (1.5 + 1))^2, of refractive index 1.5, usual
//         for varnish (from memory).
// Threads const objects; any thread.
#pragma once

#include <array>

#include <Eigen/Core>

#include "ink/ggx.h"
#include "ink/surroundings.h"
#include "scene/finish.h"

namespace wheatpaste {

inline constexpr double kVarnishF0 = 0.04;
// Nearer to its limb a surface counts as seen under this cosine.
inline constexpr double kLeastFacing = 0.02;

// Of one pixel.
struct MirrorView {
  Eigen::Vector3d normal;
  Eigen::Vector3d to_camera;
  Eigen::Vector3d off_middle =
      Eigen::Vector3d::Zero();  // from the room's middle, in sizes of the room
};

class Foil {
 public:
  explicit Foil(const Finish& finish);
  // Radiance for level 1.
  std::array<double, 3> Mirrored(const Surroundings& surroundings, const MirrorView& view) const;

 private:
  double roughness_;
  FacetAlbedoTable albedo_;
  std::array<double, 3> f0_{}, lacquer_{}, again_{};
};

// What a varnished surface sends beyond the bare one, for level 1.
double VarnishGlint(double roughness, const Surroundings& surroundings, const MirrorView& view);

}  // namespace wheatpaste

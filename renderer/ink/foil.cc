#include "ink/foil.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "ink/conductor.h"

namespace wheatpaste {
namespace {

double Schlick(double f0, double cosine) { return f0 + (1 - f0) * std::pow(1 - cosine, 5); }

// The lamp in a rough mirror: pi lamp D G2 / (4 n . v), and v . h, on which F hangs.
struct LampImage {
  double strength = 0, v_h = 1;
};
LampImage ImageOfLamp(double roughness, const Surroundings& surroundings, const MirrorView& view,
                      double facing) {
  const Eigen::Vector3d to_lamp = (surroundings.to_light - view.off_middle).normalized();
  const double n_l = view.normal.dot(to_lamp);
  if (!(surroundings.lamp > 0 && n_l > 0)) return {};
  const Eigen::Vector3d h = (view.to_camera + to_lamp).normalized();
  const double alpha = surroundings.LampRoughness(roughness);
  return {std::numbers::pi * surroundings.lamp * FacetDensity(view.normal.dot(h), alpha) *
              FacetShadow(facing, n_l, alpha) / (4 * facing),
          std::clamp(view.to_camera.dot(h), 0.0, 1.0)};
}

double FacingOf(const MirrorView& view) {
  return std::clamp(view.normal.dot(view.to_camera), kLeastFacing, 1.0);
}

}  // namespace

Foil::Foil(const Finish& finish) : roughness_(finish.roughness), albedo_(finish.roughness) {
  const Reflectance metal = MetalReflectance(finish.metal);
  f0_ = {metal.r, metal.g, metal.b};
  lacquer_ = {finish.lacquer.r, finish.lacquer.g, finish.lacquer.b};
  for (size_t k = 0; k < 3; ++k) again_[k] = MirroredAgain(f0_[k], albedo_.mean());
}

std::array<double, 3> Foil::Mirrored(const Surroundings& surroundings,
                                     const MirrorView& view) const {
  const double facing = FacingOf(view);
  const Eigen::Vector3d mirrored =
      (2 * view.normal.dot(view.to_camera) * view.normal - view.to_camera + view.off_middle)
          .normalized();
  const FacetAlbedo albedo = albedo_.At(facing);
  const double dome = surroundings.Dome(mirrored, roughness_);
  const LampImage lamp = ImageOfLamp(roughness_, surroundings, view, facing);
  const double even = (1 - albedo.one) * surroundings.Diffuse(view.normal);
  std::array<double, 3> light{};
  for (size_t k = 0; k < 3; ++k) {
    light[k] = lacquer_[k] * ((f0_[k] * (albedo.one - albedo.schlick) + albedo.schlick) * dome +
                              Schlick(f0_[k], lamp.v_h) * lamp.strength + again_[k] * even);
  }
  return light;
}

double VarnishGlint(double roughness, const Surroundings& surroundings, const MirrorView& view) {
  const LampImage lamp = ImageOfLamp(roughness, surroundings, view, FacingOf(view));
  const double spread = surroundings.lamp * std::max(0.0, view.normal.dot(surroundings.to_light));
  return Schlick(kVarnishF0, lamp.v_h) * std::max(0.0, lamp.strength - spread);
}

}  // namespace wheatpaste

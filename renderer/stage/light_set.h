// light_set.h - all lights of a world: one drawn for a point, and those that a ray meets.
//
// Model   lights are of air: they shine and hide nothing, so what a ray meets of them is added up. A soft light is drawn by its area, the
//         sun's disc evenly, the light map where it is bright. Which light is drawn goes by an estimate w of what each
//         would send to the point if nothing stood between:
//             map pi mean,   sun pi irradiance max(n . l, 0.1),   soft radiance min(A cos_l / d^2, 2 pi) max(n . l, 0.1)
//         with l the way to the light's middle and cos_l no less than 0.1 before its plane; 0 behind it.
//         A light found both by drawing it (density p) and by what a surface scattered (density q) counts p^2 / (p^2 + q^2) and
//         q^2 / (p^2 + q^2) (power heuristic).
// Source  Veach, Guibas 1995, SIGGRAPH 95, 419-428. The estimate: derived here; any positive one gives the same mean.
// Units   mm from `middle`.
// Threads const objects; any thread.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "stage/light_map.h"
#include "stage/world.h"

namespace wheatpaste {

// A way to a light, as a point draws it.
struct LightDraw {
  Eigen::Vector3f direction;
  float distance = 0;  // infinity: beyond everything
  Eigen::Array3f light = Eigen::Array3f::Zero();
  float density = 0;  // per solid angle, the choice of the light included
  bool certain =
      false;  // one direction alone: `light` is irradiance over density, no ray finds it otherwise
};

// Where a ray comes from, as far as lights must know to tell how they would have been drawn there.
struct LightAsker {
  Eigen::Vector3f at, normal;
  float estimate = 0;  // LightSet::Estimate; 0: lights were not drawn there
  float density = 0;   // of the ray's direction, as it was scattered
};

class LightSet {
 public:
  LightSet(const World& world, const Eigen::Vector3d& middle);

  // Sum of w.
  float Estimate(const Eigen::Vector3f& at, const Eigen::Vector3f& normal) const;
  // numbers  choice: which light; on: where on it, both in [0, 1).
  std::optional<LightDraw> Draw(const Eigen::Vector3f& at, const Eigen::Vector3f& normal,
                                float estimate, float choice, Pair on) const;

  // Asks memory for what Draw reads with these numbers `on`.
  void Fetch(std::span<const Pair> on) const {
    if (map_) map_->Fetch(on);
  }

  // What a scattered ray meets of lights before `far`, each weighted against its drawing.
  // map_px  FetchMapPx(direction); not read unless far is infinite.
  Eigen::Array3f Meet(const LightAsker& asker, const Eigen::Vector3f& direction, float far,
                      const Eigen::Vector2f& map_px) const;
  // Where in the light map the direction lies; memory is asked for what Meet reads there.
  Eigen::Vector2f FetchMapPx(const Eigen::Vector3f& direction) const {
    return map_ ? map_->FetchPx(direction) : Eigen::Vector2f(0, 0);
  }
  // What the camera sees: what lies behind everything, and lights that are shown.
  Eigen::Array3f Show(const Eigen::Vector3f& from, const Eigen::Vector3f& direction,
                      float far) const;

 private:
  struct Soft {
    Eigen::Vector3f corner, right, up, normal, middle;
    Eigen::Array3f radiance;
    float area, luminance;
    bool shown;
    float Weight(const Eigen::Vector3f& at, const Eigen::Vector3f& normal_at) const;
    // Distance along the ray to the light's front; nothing where it is passed by.
    std::optional<float> Distance(const Eigen::Vector3f& from,
                                  const Eigen::Vector3f& direction) const;
  };
  struct Sun {
    Eigen::Vector3f to, across, along;
    Eigen::Array3f radiance;  // of its disc; of a sun without size: pi times its irradiance
    float density = 0;        // even over its disc; 0: without size
    float height = 0;         // 1 - cosine of its radius
    float sin2 = 0;           // square of its radius's sine
    float luminance = 0;      // pi times irradiance
    float Weight(const Eigen::Vector3f& normal_at) const;
  };

  std::optional<LightMap> map_;
  std::optional<Surrounding> behind_;
  Eigen::Array3f background_;
  std::vector<Soft> soft_;
  std::optional<Sun> sun_;
  float map_weight_ = 0;
};

// Weight of what was found with density p where q could have found it too.
inline float PowerShare(float p, float q) { return p * p / (p * p + q * q); }

}  // namespace wheatpaste

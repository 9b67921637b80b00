#include "stage/light_set.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/frame_of.h"

namespace wheatpaste {
namespace {

constexpr float kPi = std::numbers::pi_v<float>;
constexpr float kInfinity = std::numeric_limits<float>::infinity();
// Cosines in estimates: a light's middle may stand below a horizon that its edge stands above.
constexpr float kLeastCosine = 0.1f;

float LuminanceOf(const Eigen::Array3f& light) { return Luminance(light[0], light[1], light[2]); }

}  // namespace

LightSet::LightSet(const World& world, const Eigen::Vector3d& middle)
    : background_(world.background.cast<float>().array()) {
  if (world.light_map) {
    map_.emplace(*world.light_map);
    map_weight_ = kPi * map_->mean();
    if (world.light_map->behind) {
      behind_.emplace(world.light_map->behind->view(), world.light_map->turn_rad);
    }
  }
  for (const WorldSoftLight& light : world.soft_lights) {
    const Eigen::Vector3d across = light.right.cross(light.up);
    Soft soft;
    soft.corner = (light.corner - middle).cast<float>();
    soft.right = light.right.cast<float>();
    soft.up = light.up.cast<float>();
    soft.normal = across.normalized().cast<float>();
    soft.middle = soft.corner + 0.5f * (soft.right + soft.up);
    soft.radiance = light.radiance.cast<float>().array();
    soft.area = static_cast<float>(across.norm());
    soft.luminance = LuminanceOf(soft.radiance);
    soft.shown = light.shown;
    soft_.push_back(soft);
  }
  if (world.sun) {
    Sun sun;
    sun.to = world.sun->to_sun.normalized().cast<float>();
    std::tie(sun.across, sun.along) = FrameOf(sun.to);
    const double cosine = world.sun->cos_radius, sin2 = (1 - cosine) * (1 + cosine);
    const Eigen::Array3d whole = std::numbers::pi * world.sun->irradiance.array();
    sun.luminance = LuminanceOf(whole.cast<float>());
    sun.sin2 = static_cast<float>(sin2);
    sun.height = static_cast<float>(1 - cosine);
    // A disc that faces the surface: irradiance = pi sin^2 radiance.
    sun.radiance = (sin2 > 0 ? whole / (std::numbers::pi * sin2) : whole).cast<float>();
    sun.density = sin2 > 0 ? static_cast<float>(1 / (2 * std::numbers::pi * (1 - cosine))) : 0;
    sun_ = sun;
  }
}

float LightSet::Soft::Weight(const Eigen::Vector3f& at, const Eigen::Vector3f& normal_at) const {
  if (normal.dot(at - corner) <= 0) return 0;
  const Eigen::Vector3f way = middle - at;
  const float d2 = way.squaredNorm(), d = std::sqrt(d2);
  const float cosine = std::max(-normal.dot(way), kLeastCosine * d) / d;
  return luminance * std::min(area * cosine / d2, 2 * kPi) *
         std::max(normal_at.dot(way) / d, kLeastCosine);
}

std::optional<float> LightSet::Soft::Distance(const Eigen::Vector3f& from,
                                              const Eigen::Vector3f& direction) const {
  const float towards = -normal.dot(direction);
  if (towards <= 0) return std::nullopt;
  const float distance = normal.dot(from - corner) / towards;
  if (distance <= 0) return std::nullopt;
  const Eigen::Vector3f at = from + distance * direction - corner;
  const float x = at.dot(right), y = at.dot(up);
  if (x < 0 || x > right.squaredNorm() || y < 0 || y > up.squaredNorm()) return std::nullopt;
  return distance;
}

float LightSet::Sun::Weight(const Eigen::Vector3f& normal_at) const {
  return luminance * std::max(normal_at.dot(to), kLeastCosine);
}

float LightSet::Estimate(const Eigen::Vector3f& at, const Eigen::Vector3f& normal) const {
  float sum = map_weight_;
  if (sun_) sum += sun_->Weight(normal);
  for (const Soft& soft : soft_) sum += soft.Weight(at, normal);
  return sum;
}

std::optional<LightDraw> LightSet::Draw(const Eigen::Vector3f& at, const Eigen::Vector3f& normal,
                                        float estimate, float choice, Pair on) const {
  LightDraw draw;
  float left = choice * estimate;
  for (const Soft& soft : soft_) {
    const float weight = soft.Weight(at, normal);
    if (left < weight) {
      const Eigen::Vector3f way = soft.corner + on.x * soft.right + on.y * soft.up - at;
      const float d2 = way.squaredNorm(), d = std::sqrt(d2);
      const float cosine = -soft.normal.dot(way) / d;
      if (!(cosine > 0)) return std::nullopt;
      draw.direction = way / d;
      draw.distance = d;
      draw.light = soft.radiance;
      draw.density = weight / estimate * d2 / (cosine * soft.area);
      return draw;
    }
    left -= weight;
  }
  draw.distance = kInfinity;
  if (sun_) {
    const float weight = sun_->Weight(normal);
    if (left < weight || !map_) {
      draw.light = sun_->radiance;
      if (sun_->density == 0) {
        draw.certain = true;
        draw.direction = sun_->to;
        draw.density = weight / estimate;
        return draw;
      }
      const float below = on.x * sun_->height;  // 1 - cosine
      const float sine = std::sqrt(below * (2 - below)), turn = 2 * kPi * on.y;
      draw.direction = (sine * std::cos(turn) * sun_->across + sine * std::sin(turn) * sun_->along +
                        (1 - below) * sun_->to)
                           .normalized();
      draw.density = weight / estimate * sun_->density;
      return draw;
    }
  }
  if (!map_) return std::nullopt;
  const LightMap::Drawn drawn = map_->Draw(on);
  if (!(drawn.density > 0)) return std::nullopt;
  draw.direction = drawn.direction;
  draw.light = drawn.light;
  draw.density = map_weight_ / estimate * drawn.density;
  return draw;
}

Eigen::Array3f LightSet::Meet(const LightAsker& asker, const Eigen::Vector3f& direction, float far,
                              const Eigen::Vector2f& map_px) const {
  Eigen::Array3f sum = Eigen::Array3f::Zero();
  const bool drawn = asker.estimate > 0;
  // Share of a light whose own density is `own` and whose weight is w.
  const auto share = [&](float weight, float own) {
    return drawn ? PowerShare(asker.density, weight / asker.estimate * own) : 1.0f;
  };
  for (const Soft& soft : soft_) {
    const auto distance = soft.Distance(asker.at, direction);
    if (!distance || *distance >= far) continue;
    const float own = *distance * *distance / (-soft.normal.dot(direction) * soft.area);
    sum += share(soft.Weight(asker.at, asker.normal), own) * soft.radiance;
  }
  if (far < kInfinity) return sum;
  // By the chord: sin of a small angle keeps digits that its cosine loses.
  if (sun_ && sun_->density > 0 && direction.dot(sun_->to) > 0 &&
      direction.cross(sun_->to).squaredNorm() < sun_->sin2) {
    sum += share(sun_->Weight(asker.normal), sun_->density) * sun_->radiance;
  }
  if (map_) {
    const LightMap::Seen seen = map_->Look(direction, map_px);
    sum += share(map_weight_, seen.density) * seen.light;
  }
  return sum;
}

Eigen::Array3f LightSet::Show(const Eigen::Vector3f& from, const Eigen::Vector3f& direction,
                              float far) const {
  Eigen::Array3f sum = Eigen::Array3f::Zero();
  for (const Soft& soft : soft_) {
    if (!soft.shown) continue;
    const auto distance = soft.Distance(from, direction);
    if (distance && *distance < far) sum += soft.radiance;
  }
  if (far == kInfinity) sum += behind_ ? behind_->Light(direction) : background_;
  return sum;
}

}  // namespace wheatpaste

#include "stage/trace_paths.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "stage/frame_of.h"
#include "stage/material_lobes.h"
#include "stage/trace_point.h"

namespace wheatpaste {
namespace {

constexpr float kInfinity = std::numeric_limits<float>::infinity();

// Pairs of numbers that a path draws: kPixel, kLens, then those of each bounce.
enum Dimension : uint32_t { kPixel, kLens, kChoice, kScatter, kLight, kEnd, kAfterBounce };
constexpr uint32_t kEachBounce = kAfterBounce - kChoice;

}  // namespace

struct TracePaths::Path {
  Sampler sampler;
  TraceRay ray;
  LightAsker asker;
  Pair on_light;           // numbers with which the next light is drawn
  Eigen::Vector2f map_px;  // where in the light map a ray that meets nothing ends
  bool spread = false;
  bool straight = true;  // from the camera through nothing but glass
  // Since the first scattering; of that its diffuse (over A) and other part.
  Eigen::Array3f through = Eigen::Array3f::Ones();
  float first_diffuse = 0;
  Eigen::Array3f first_mirrored = Eigen::Array3f::Ones();
  // Of the light that was asked for, if nothing stands before it.
  Eigen::Array3f asked_lit, asked_mirrored, asked_thrown;
  // Of `through`, what the diffuse part of a thrower sent on at the second hit.
  Eigen::Array3f thrown = Eigen::Array3f::Zero();
  PathSample* sample = nullptr;

  void Add(const Eigen::Array3f& light) {
    const Eigen::Array3f all = through * light;
    sample->lit += first_diffuse * all;
    sample->mirrored += first_mirrored * all;
    if (sample->thrower >= 0) sample->thrown += first_diffuse * thrown * light;
  }
};

TracePaths::TracePaths(const World& world, const TraceOptions& options)
    : world_(world),
      rays_(world),
      lights_(world, rays_.middle()),
      look_(world),
      seed_(options.seed),
      most_bounces_(options.most_bounces),
      soft_(options.soft),
      prints_throw_(options.prints_throw),
      world_from_camera_(world.camera.rotation.transpose().cast<float>()),
      camera_at_((world.camera.at - rays_.middle()).cast<float>()) {}

TraceRay TracePaths::CameraRay(int64_t x, int64_t y, const Sampler& sampler) const {
  const WorldCamera& camera = world_.camera;
  const Pair on = sampler.At(kPixel);
  const double per_px = 1 / camera.focal_px;
  const double px =
      static_cast<double>(x) + double{on.x} - static_cast<double>(camera.size.width) / 2;
  const double py =
      static_cast<double>(y) + double{on.y} - static_cast<double>(camera.size.height) / 2;
  Eigen::Vector3f along(static_cast<float>(px * per_px), static_cast<float>(py * per_px), 1);
  Eigen::Vector3f from = Eigen::Vector3f::Zero();
  if (camera.lens_radius_mm > 0) {
    const Pair lens = sampler.At(kLens);
    const float r = static_cast<float>(camera.lens_radius_mm) * std::sqrt(lens.x);
    const float turn = 2 * std::numbers::pi_v<float> * lens.y;
    from = {r * std::cos(turn), r * std::sin(turn), 0};
    along -= from / static_cast<float>(camera.focus_mm);
  }
  return {camera_at_ + world_from_camera_ * from, (world_from_camera_ * along).normalized(),
          kInfinity};
}

void TracePaths::Fetch(std::array<Path, kAtOnce>& paths, const int* going, const TraceHit* hits,
                       int count, int bounce) const {
  const uint32_t dimension = static_cast<uint32_t>(bounce) * kEachBounce + kLight;
  std::array<Pair, kAtOnce> on_lights;
  size_t hit_count = 0;
  const auto triangle = [&](int k) -> const WorldTriangle& {
    return world_.triangles[static_cast<size_t>(hits[k].triangle)];
  };
  for (int k = 0; k < count; ++k) {
    Path& path = paths[static_cast<size_t>(going[k])];
    if (hits[k].triangle < 0) {
      if (!path.straight) path.map_px = lights_.FetchMapPx(path.ray.direction);
      continue;
    }
    const auto* const bytes = reinterpret_cast<const char*>(&triangle(k));
    AskFor(bytes);
    AskFor(bytes + sizeof(WorldTriangle) - 1);
    on_lights[hit_count++] = path.on_light = path.sampler.At(dimension);
  }
  lights_.Fetch({on_lights.data(), hit_count});
  for (int k = 0; k < count; ++k) {
    const TraceHit& hit = hits[k];
    if (hit.triangle < 0) continue;
    rays_.Fetch(triangle(k));
    const bool soft = soft_ && paths[static_cast<size_t>(going[k])].spread;
    look_.Fetch(triangle(k), {1 - hit.u - hit.v, hit.u, hit.v}, soft);
  }
}

bool TracePaths::Step(Path& path, const TraceHit& hit, int bounce, TraceRay& toward) const {
  toward.far = 0;
  const Eigen::Vector3f& along = path.ray.direction;
  path.Add(path.straight ? lights_.Show(path.ray.origin, along, hit.distance)
                         : lights_.Meet(path.asker, along, hit.distance, path.map_px));
  if (hit.triangle < 0) return false;
  const bool first = bounce == 0;
  if (!first && bounce == most_bounces_) return false;
  const TracePoint point =
      FindPoint(world_, rays_, look_, hit, along, soft_ && path.spread, first || prints_throw_);
  const bool paper = point.material.kind == WorldMaterialKind::kPaper;
  const bool glass = point.material.kind == WorldMaterialKind::kGlass;
  if (first) {
    if (paper) path.sample->albedo = point.material.albedo;
    path.sample->normal = point.normal;
    path.sample->depth = (point.at - camera_at_).dot(world_from_camera_.col(2));
    if (most_bounces_ == 0) return false;
  }

  const bool second = bounce == 1;
  if (second && paper && !point.material.inside && !world_.throwers.empty()) {
    const int32_t chart = world_.triangles[static_cast<size_t>(hit.triangle)].chart;
    if (chart >= 0) path.sample->thrower = world_.throwers[static_cast<size_t>(chart)];
  }
  const bool throws = path.sample->thrower >= 0;

  const auto [x, y] = FrameOf(point.normal);
  const auto inwards = [&, x = x, y = y](const Eigen::Vector3f& d) {
    return Eigen::Vector3f(d.dot(x), d.dot(y), d.dot(point.normal));
  };
  Eigen::Vector3f out = inwards(-along);
  out.z() = std::max(out.z(), 1e-4f);
  const Lobes lobes(point.material, out);
  const uint32_t dimension = static_cast<uint32_t>(bounce) * kEachBounce;
  const Pair choice = path.sampler.At(dimension + kChoice);

  const float estimate = lobes.rough() ? lights_.Estimate(point.above, point.normal) : 0;
  if (estimate > 0) {
    const auto draw = lights_.Draw(point.above, point.normal, estimate, choice.y, path.on_light);
    const Eigen::Vector3f in = draw ? inwards(draw->direction) : Eigen::Vector3f::Zero();
    // Straight through glass is what is shown, and no light.
    if (draw && !(path.straight && in.z() < 0)) {
      const Scatter scatter = lobes.At(in);
      if (scatter.density > 0) {
        const float share = draw->certain ? 1 : PowerShare(draw->density, scatter.density);
        const Eigen::Array3f light = draw->light * (share / draw->density);
        path.asked_thrown.setZero();
        if (first) {
          path.asked_lit = scatter.diffuse * light;
          path.asked_mirrored = scatter.mirrored * light;
        } else {
          const Eigen::Array3f all =
              path.through * (scatter.diffuse * point.material.albedo + scatter.mirrored) * light;
          path.asked_lit = path.first_diffuse * all;
          path.asked_mirrored = path.first_mirrored * all;
          if (throws) {
            const Eigen::Array3f body = scatter.diffuse * point.material.albedo;
            const Eigen::Array3f sent =
                second ? Eigen::Array3f(path.through * body)
                       : Eigen::Array3f(path.thrown * (body + scatter.mirrored));
            path.asked_thrown = path.first_diffuse * sent * light;
          }
        }
        toward = {in.z() < 0 ? point.below : point.above, draw->direction, draw->distance};
      }
    }
  }

  const ScatterDraw draw = lobes.Draw(choice.x, path.sampler.At(dimension + kScatter));
  if (!(draw.scatter.density > 0)) return false;
  const float diffuse = draw.scatter.diffuse / draw.scatter.density;
  const Eigen::Array3f mirrored = draw.scatter.mirrored / draw.scatter.density;
  if (first) {
    path.first_diffuse = diffuse;
    path.first_mirrored = mirrored;
  } else {
    const Eigen::Array3f body = diffuse * point.material.albedo;
    if (throws) {
      path.thrown = second ? Eigen::Array3f(path.through * body)
                           : Eigen::Array3f(path.thrown * (body + mirrored));
    }
    path.through *= body + mirrored;
  }
  if (bounce >= kSureBounces) {
    const float stay = std::min(1.0f, path.through.maxCoeff());
    if (path.sampler.At(dimension + kEnd).x >= stay) return false;
    path.through /= stay;
    path.thrown /= stay;
  }
  const bool beyond = draw.in.z() < 0;
  path.straight = path.straight && glass && beyond;
  path.spread = path.spread || (!draw.certain && draw.scatter.density < kSpreadDensity);
  path.ray.origin = beyond ? point.below : point.above;
  path.ray.direction =
      (draw.in.x() * x + draw.in.y() * y + draw.in.z() * point.normal).normalized();
  path.ray.far = kInfinity;
  path.asker = {point.above, point.normal, draw.certain ? 0 : estimate, draw.scatter.density};
  return true;
}

int TracePaths::Trace(int64_t x, int64_t y, int group,
                      std::array<PathSample, kAtOnce>& samples) const {
  std::array<Path, kAtOnce> paths;
  std::array<TraceRay, kAtOnce> rays;
  std::array<TraceHit, kAtOnce> hits;
  std::array<int, kAtOnce> going, asking;
  for (int i = 0; i < kAtOnce; ++i) {
    const auto k = static_cast<size_t>(i);
    samples[k] = {Eigen::Array3f::Zero(),
                  Eigen::Array3f::Zero(),
                  Eigen::Array3f::Zero(),
                  Eigen::Vector3f::Zero(),
                  0,
                  Eigen::Array3f::Zero(),
                  -1};
    paths[k].sample = &samples[k];
    paths[k].sampler = Sampler(seed_, x, y, static_cast<uint32_t>(group * kAtOnce + i));
    paths[k].ray = rays[k] = CameraRay(x, y, paths[k].sampler);
    going[k] = i;
  }
  int count = kAtOnce, rays_asked = 0;
  for (int bounce = 0; count > 0; ++bounce) {
    rays_.Meet(rays.data(), count, bounce == 0, hits.data());
    Fetch(paths, going.data(), hits.data(), count, bounce);
    int still = 0, asked = 0;
    for (int k = 0; k < count; ++k) {
      const int i = going[static_cast<size_t>(k)];
      Path& path = paths[static_cast<size_t>(i)];
      TraceRay& toward = rays[static_cast<size_t>(asked)];
      const bool goes_on = Step(path, hits[static_cast<size_t>(k)], bounce, toward);
      if (toward.far > 0) asking[static_cast<size_t>(asked++)] = i;
      if (goes_on) going[static_cast<size_t>(still++)] = i;
    }
    bool blocked[kAtOnce];
    rays_asked += count + asked;
    rays_.Block(rays.data(), asked, blocked);
    for (int k = 0; k < asked; ++k) {
      if (blocked[k]) continue;
      const Path& path = paths[static_cast<size_t>(asking[static_cast<size_t>(k)])];
      path.sample->lit += path.asked_lit;
      path.sample->mirrored += path.asked_mirrored;
      if (path.sample->thrower >= 0) path.sample->thrown += path.asked_thrown;
    }
    count = still;
    for (int k = 0; k < count; ++k) {
      rays[static_cast<size_t>(k)] = paths[static_cast<size_t>(going[static_cast<size_t>(k)])].ray;
    }
  }
  return rays_asked;
}

}  // namespace wheatpaste

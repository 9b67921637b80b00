// stage_bench.cc - how fast the stage is traced, beside Embree's bare rate on the same triangles. Nothing here passes or fails.
//
// World   a bulging bag of 80 000 triangles with handles before a wall, on a floor: woven normal picture, light map of 1024 x 512, soft
//         light, sun.
// Bare    rtcIntersect1, one ray after the other: rays of the camera, and rays from where those ended, evenly about the normal, half of
//         each: the tracer's own mix is measured by nothing else than its rays.
// Use     build/stage_bench [WIDTH HEIGHT SAMPLES THREADS]; seconds are of processor, all threads together. Look at `uptime` first.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <random>

#include <embree3/rtcore.h>
#include <sys/resource.h>

#include "base/parallel.h"
#include "stage/frame_of.h"
#include "stage/trace_world.h"
#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

double ProcessorSeconds() {
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  return double(use.ru_utime.tv_sec + use.ru_stime.tv_sec) +
         1e-6 * double(use.ru_utime.tv_usec + use.ru_stime.tv_usec);
}

World BagWorld(SizePx size) {
  World world;
  const int wall = AddPaper(world, 0.75), floor = AddPaper(world, 0.5, 0.5, 0.3);
  const int bag = AddPaper(world, 0.8);
  // A weave: threads up and down.
  constexpr int64_t kSide = 1024;
  auto normal = std::make_shared<Image<SceneLinear>>(SizePx{kSide, kSide});
  auto colour = std::make_shared<Image<SceneLinear>>(SizePx{kSide, kSide});
  for (int64_t y = 0; y < kSide; ++y) {
    for (int64_t x = 0; x < kSide; ++x) {
      const double a = 2 * kPi * double(x) / 16, b = 2 * kPi * double(y) / 16;
      normal->row(0, y)[x] = static_cast<float>(0.4 * std::sin(a) * std::cos(b));
      normal->row(1, y)[x] = static_cast<float>(0.4 * std::cos(a) * std::sin(b));
      normal->row(2, y)[x] = 1;
      for (int c = 0; c < 3; ++c) {
        colour->row(c, y)[x] = static_cast<float>(0.9 + 0.1 * std::cos(a) * std::cos(b));
      }
    }
  }
  WorldTexture weave;
  weave.colour = colour;
  weave.normal = normal;
  weave.tile_mm = {60, 60};
  world.materials[static_cast<size_t>(bag)].texture = weave;
  AddQuad(world, floor, {-3000, 0, 3000}, {6000, 0, 0}, {0, 0, -3400});
  AddQuad(world, wall, {-3000, 0, -400}, {6000, 0, 0}, {0, 3000, 0});
  for (const double side : {1.0, -1.0}) {
    AddGrid(world, bag, 140, 140, [&](double s, double t) {
      const auto at = [&](double u, double v) {
        const double fold = 5 * std::sin(9 * u + 4 * v) * std::sin(14 * v);
        return Eigen::Vector3d(
            side * 380 * (u - 0.5), 60 + 420 * v,
            side * (60 * std::sin(kPi * u) * (1 - v * v) + 6 + fold * std::sin(kPi * u)));
      };
      const Eigen::Vector3d du = at(s + 1e-4, t) - at(s - 1e-4, t);
      const Eigen::Vector3d dv = at(s, t + 1e-4) - at(s, t - 1e-4);
      return std::pair<Eigen::Vector3d, Eigen::Vector3d>(at(s, t), du.cross(dv).normalized());
    });
    AddGrid(world, bag, 20, 60, [&](double s, double t) {
      const double turn = kPi * t;
      return std::pair<Eigen::Vector3d, Eigen::Vector3d>(
          {-80 * std::cos(turn) * (1 + 0.3 * (s - 0.5)),
           480 + 260 * std::sin(turn) * (1 + 0.1 * (s - 0.5)), side * 6},
          {0, 0, -1});
    });
  }
  world.camera = CameraAt({250, 520, 2300}, {0, 360, 0}, size, 2.3 * double(size.height));
  world.camera.lens_radius_mm = 5;
  world.camera.focus_mm = 2250;
  SetSky(world, 512, [](const Eigen::Vector3d& d) {
    const double lamp = d.dot(Eigen::Vector3d(-0.5, 0.6, 0.62)) > 0.97 ? 4 : 0;
    return Eigen::Vector3d(0.2 + 0.1 * d.y() + lamp, 0.22 + 0.12 * d.y() + lamp,
                           0.3 + 0.2 * d.y() + lamp);
  });
  world.soft_lights.push_back(
      {{900, 300, 700}, {0, 0, -500}, {0, 700, 0}, Eigen::Vector3d(1.6, 1.4, 1.2), false});
  world.sun = WorldSun{{-0.7, 0.55, 0.6}, std::cos(0.0046), Eigen::Vector3d(0.6, 0.56, 0.48)};
  return world;
}

// Rays a second of processor.
double BareRate(const World& world) {
  const RTCDevice device = rtcNewDevice(nullptr);
  const RTCScene scene = rtcNewScene(device);
  rtcSetSceneFlags(scene, RTC_SCENE_FLAG_ROBUST);
  rtcSetSceneBuildQuality(scene, RTC_BUILD_QUALITY_HIGH);
  const RTCGeometry geometry = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* corners = static_cast<float*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0,
                                                              RTC_FORMAT_FLOAT3, 3 * sizeof(float),
                                                              world.vertices.size()));
  auto* indices = static_cast<uint32_t*>(
      rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                              3 * sizeof(uint32_t), world.triangles.size()));
  for (const Eigen::Vector3d& v : world.vertices) {
    for (int i = 0; i < 3; ++i) *corners++ = static_cast<float>(v[i]);
  }
  for (const WorldTriangle& triangle : world.triangles) {
    for (const int32_t i : triangle.vertices) *indices++ = static_cast<uint32_t>(i);
  }
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(scene, geometry);
  rtcReleaseGeometry(geometry);
  rtcCommitScene(scene);

  const auto ray_of = [](const Eigen::Vector3f& from, const Eigen::Vector3f& along) {
    RTCRayHit ray{};
    ray.ray.org_x = from.x(), ray.ray.org_y = from.y(), ray.ray.org_z = from.z();
    ray.ray.dir_x = along.x(), ray.ray.dir_y = along.y(), ray.ray.dir_z = along.z();
    ray.ray.tnear = 1e-2f;
    ray.ray.tfar = std::numeric_limits<float>::infinity();
    ray.ray.mask = ~0u;
    ray.hit.geomID = RTC_INVALID_GEOMETRY_ID;
    return ray;
  };
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  std::mt19937 random(1);
  std::uniform_real_distribution<float> even(0, 1);
  const WorldCamera& camera = world.camera;
  const Eigen::Vector3f at = camera.at.cast<float>();
  std::vector<RTCRayHit> first, again;
  for (int64_t y = 0; y < camera.size.height; ++y) {
    for (int64_t x = 0; x < camera.size.width; ++x) {
      const Eigen::Vector3d along(
          (double(x) + double{even(random)} - double(camera.size.width) / 2) / camera.focal_px,
          (double(y) + double{even(random)} - double(camera.size.height) / 2) / camera.focal_px, 1);
      first.push_back(ray_of(at, (camera.rotation.transpose() * along).normalized().cast<float>()));
      RTCRayHit met = first.back();
      rtcIntersect1(scene, &context, &met);
      if (met.hit.geomID == RTC_INVALID_GEOMETRY_ID) continue;
      const Eigen::Vector3f along_f(met.ray.dir_x, met.ray.dir_y, met.ray.dir_z);
      Eigen::Vector3f n = Eigen::Vector3f(met.hit.Ng_x, met.hit.Ng_y, met.hit.Ng_z).normalized();
      if (n.dot(along_f) > 0) n = -n;
      const auto [u, v] = FrameOf(n);
      const float r2 = even(random), turn = 2 * static_cast<float>(kPi) * even(random);
      const Eigen::Vector3f away =
          std::sqrt(r2) * (std::cos(turn) * u + std::sin(turn) * v) + std::sqrt(1 - r2) * n;
      again.push_back(ray_of(at + met.ray.tfar * along_f, away));
    }
  }
  const double before = ProcessorSeconds();
  size_t met = 0;
  for (std::vector<RTCRayHit>* rays : {&first, &again}) {
    for (RTCRayHit& ray : *rays) {
      rtcIntersect1(scene, &context, &ray);
      met += ray.hit.geomID != RTC_INVALID_GEOMETRY_ID;
    }
  }
  const double seconds = ProcessorSeconds() - before;
  std::printf("bare: %zu rays, %zu meet something\n", first.size() + again.size(), met);
  rtcReleaseScene(scene);
  rtcReleaseDevice(device);
  return double(first.size() + again.size()) / seconds;
}

void Run(SizePx size, int samples, int threads) {
  const World world = BagWorld(size);
  const double bare = BareRate(world);
  const ThreadLimit limit(threads);
  TraceOptions options;
  options.samples = 1;
  options.region = {0, 0, 1, 1};
  TraceWorld(world, options);  // memory and tables
  options.region = {};
  options.samples = samples;
  const auto start = std::chrono::steady_clock::now();
  const double before = ProcessorSeconds();
  const TraceSums sums = TraceWorld(world, options);
  const double seconds = ProcessorSeconds() - before;
  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start;
  const double paths = double(size.area()) * samples;
  std::printf(
      "%zu triangles, %lld x %lld px, %d samples, %d threads\n"
      "tracer: %.2f us of processor a path, %.2f rays a path, %.1f s by the clock\n"
      "rays a second of processor: tracer %.2f M, bare Embree %.2f M, ratio %.2f\n",
      world.triangles.size(), static_cast<long long>(size.width),
      static_cast<long long>(size.height), samples, threads, 1e6 * seconds / paths,
      double(sums.rays) / paths, wall.count(), 1e-6 * double(sums.rays) / seconds, 1e-6 * bare,
      double(sums.rays) / seconds / bare);
  // How noisy: deviation of a pixel's mean light, over the mean light of the picture.
  double variance = 0, light = 0;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const double n = samples, sum = double{sums.diffuse.row(1, y)[x]};
      variance += (double{sums.diffuse_squared.row(1, y)[x]} - sum * sum / n) / (n * (n - 1));
      light += sum / n;
    }
  }
  const double pixels = double(size.area());
  std::printf("noise of diffuse light, of %d independent samples: %.3f of the mean\n", samples,
              std::sqrt(variance / pixels) / (light / pixels));
}

}  // namespace
}  // namespace wheatpaste

int main(int argc, char** argv) {
  const auto number = [&](int i, int otherwise) {
    return argc > i ? std::atoi(argv[i]) : otherwise;
  };
  wheatpaste::Run({number(1, 640), number(2, 360)}, number(3, 32), number(4, 2));
}

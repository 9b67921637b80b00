#include "stage/trace_world.h"

#include <catch2/catch.hpp>

#include <cstring>
#include <random>

#include "base/parallel.h"
#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

TraceSums Trace(const World& world, int samples, int most_bounces = 12, uint64_t seed = 1) {
  TraceOptions options;
  options.samples = samples;
  options.most_bounces = most_bounces;
  options.seed = seed;
  return TraceWorld(world, options);
}

double MeanLight(const TraceSums& sums, int plane = 0) {
  return MeanOf(sums.diffuse, sums.samples, plane) + MeanOf(sums.mirrored, sums.samples, plane);
}

// A block, a glossy tube, metal and glass on a floor, sky, soft light and sun, out of focus.
World Still(SizePx size) {
  World world;
  AddPaper(world, 0.7, 0.5, 0.2);
  AddPaper(world, 0.8, 1, 0.1);
  AddOf(world, WorldMaterialKind::kMetal, {0.95, 0.8, 0.4}, 0.2);
  AddOf(world, WorldMaterialKind::kGlass, {1, 1, 1}, 0.1);
  AddQuad(world, 0, {-500, 0, 500}, {1000, 0, 0}, {0, 0, -1000});
  AddBlock(world, 0, {-80, 0, 0}, {100, 140, 60}, 0.4);
  AddTube(world, 1, {60, 0, 30}, 40, 120, 24);
  AddSphere(world, 2, {-20, 30, 110}, 30, 24);
  AddSphere(world, 3, {90, 25, 120}, 25, 24);
  world.camera = CameraAt({50, 220, 600}, {0, 60, 0}, size, 1.6 * double(size.width));
  world.camera.lens_radius_mm = 4;
  world.camera.focus_mm = 560;
  SetSky(world, 16, [](const Eigen::Vector3d& d) {
    return Eigen::Vector3d(0.5 + 0.3 * d.y(), 0.5, 0.6 - 0.2 * d.x());
  });
  world.soft_lights.push_back({{300, 100, 200}, {0, 0, -200}, {0, 200, 0}, {4, 4, 3}, true});
  world.sun = WorldSun{{-0.5, 0.6, 0.4}, std::cos(0.01), {0.5, 0.5, 0.45}};
  return world;
}

template <typename Colour>
bool Same(const Image<Colour>& a, const Image<Colour>& b, const RectPx& part) {
  for (int c = 0; c < Colour::kPlanes; ++c) {
    for (int64_t y = part.y0; y < part.y1; ++y) {
      if (std::memcmp(a.row(c, y) + part.x0, b.row(c, y) + part.x0,
                      static_cast<size_t>(part.width()) * sizeof(float)) != 0) {
        return false;
      }
    }
  }
  return true;
}

bool Same(const TraceSums& a, const TraceSums& b, RectPx part = {}) {
  if (part.empty()) part = WholeOf(a.diffuse.size());
  return a.samples == b.samples && Same(a.diffuse, b.diffuse, part) &&
         Same(a.mirrored, b.mirrored, part) && Same(a.albedo, b.albedo, part) &&
         Same(a.diffuse_squared, b.diffuse_squared, part) &&
         Same(a.mirrored_squared, b.mirrored_squared, part) && Same(a.normal, b.normal, part) &&
         Same(a.depth, b.depth, part);
}

// Source  L01, L02 of checks.csv, for a light that the stage has: a small patch of light on the wall of a sphere of radius R, facing its
//         middle, lights all of the wall evenly with E = L area / (4 R^2) (closed form). With E = pi and albedo 1/2 the wall shows
//         1/2 + ... + 1/2^n = 1 - 1/2^n after n bounces, 1 in the end.
// Limit   1 %: the patch lies 0.2 % of R before the wall, which is of facets; noise.
TEST_CASE("Tracer: within a sphere light sums to 1 - 2^-n", "[stage][closed-form]") {
  World world;
  AddPaper(world, 0.5);
  AddSphere(world, 0, {0, 0, 0}, 100, 96, true);
  // Facing +x, within the wall; side 4 mm.
  world.soft_lights.push_back(
      {{-99.8, -2, 2}, {0, 0, -4}, {0, 4, 0}, Eigen::Vector3d::Constant(kPi * 4e4 / 16), false});
  world.camera = CameraAt({0, 0, 0}, {1, 0.3, 0.2}, {12, 12}, 12);
  CHECK(MeanLight(Trace(world, 64, 1)) == Approx(0.5).epsilon(5e-3));
  CHECK(MeanLight(Trace(world, 64, 3)) == Approx(1 - 1.0 / 8).epsilon(1e-2));
  CHECK(MeanLight(Trace(world, 64, 30)) == Approx(1).epsilon(1e-2));
}

// Source  energy: in even light of 1 what loses nothing shows 1, in every pixel, to its very edge (white furnace).
// Limit   5e-3 of the mean of a picture; rough glass may lose 6 %: light that one facet throws on another ends there (some 1 % each time
//         at alpha = 0.1), and a ball holds light for several times. Bounces enough to end within.
TEST_CASE("Tracer: white paper, coat, metal and glass vanish in even light",
          "[stage][closed-form]") {
  struct Of {
    const char* name;
    WorldMaterialKind kind;
    double coat, roughness, limit;
  };
  for (const Of& of : {Of{"paper", WorldMaterialKind::kPaper, 0, 0.5, 5e-3},
                       Of{"coat", WorldMaterialKind::kPaper, 1, 0.2, 5e-3},
                       Of{"metal", WorldMaterialKind::kMetal, 0, 0.3, 5e-3},
                       Of{"pane", WorldMaterialKind::kGlass, 0, 0, 5e-3},
                       Of{"rough glass", WorldMaterialKind::kGlass, 0, 0.1, 6e-2}}) {
    World world;
    AddOf(world, of.kind, {1, 1, 1}, of.roughness);
    world.materials[0].coat = of.coat;
    AddSphere(world, 0, {0, 0, 0}, 50, 48);
    SetEvenSky(world);
    world.background = {1, 1, 1};
    world.camera = CameraAt({0, 0, 300}, {0, 0, 0}, {16, 16}, 60);
    INFO(of.name);
    const double mean = MeanLight(Trace(world, 64, 60));
    CHECK(mean == Approx(1).margin(of.limit).epsilon(0));
    CHECK(mean < 1 + 5e-3);
  }
}

// Source  trace_world.h.
TEST_CASE("Tracer: the same bits for any thread count, any stop between and any part",
          "[stage][invariant]") {
  const World world = Still({70, 50});
  TraceOptions options;
  options.samples = 40;
  const TraceSums whole = TraceWorld(world, options);
  {
    const ThreadLimit one(1);
    CHECK(Same(TraceWorld(world, options), whole));
  }
  {
    const ThreadLimit four(4);
    CHECK(Same(TraceWorld(world, options), whole));
  }
  TraceSums sums;
  for (const int to : {5, 21, 40}) {
    options.samples = to;
    sums = TraceWorld(world, options, std::move(sums));
  }
  CHECK(Same(sums, whole));
  // Stopped between passes.
  int calls = 0;
  options.progress = [&](const TraceSums& so_far) {
    ++calls;
    return so_far.samples < 16;
  };
  const TraceSums stopped = TraceWorld(world, options);
  CHECK(calls == 1);
  CHECK(stopped.samples == 16);
  options.progress = {};
  options.region = {13, 7, 38, 41};
  CHECK(Same(TraceWorld(world, options), whole, options.region));
}

// Claim   A is but a factor: light that its own albedo has not thrown back to it is the same whatever it is.
// Limit   rounding of sums: 1e-5.
TEST_CASE("Tracer: another albedo needs no new tracing", "[stage][closed-form]") {
  const auto tube = [](const Reflectance& albedo) {
    World world = Still({24, 20});
    world.triangles.clear();
    world.materials[1].albedo = albedo;
    // Convex and alone: no light goes from it to itself.
    AddTube(world, 1, {0, 0, 0}, 80, 160, 24);
    return world;
  };
  const Reflectance from{0.8, 0.5, 0.9}, to{0.2, 0.65, 0.04};
  const TraceSums blank = Trace(tube(from), 32, 1), printed = Trace(tube(to), 32, 1);
  const double ratio[3] = {to.r / from.r, to.g / from.g, to.b / from.b};
  double seen = 0;
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < 20; ++y) {
      for (int64_t x = 0; x < 24; ++x) {
        const double expected = ratio[c] * double{blank.diffuse.row(c, y)[x]};
        CHECK(double{printed.diffuse.row(c, y)[x]} == Approx(expected).epsilon(1e-5).margin(1e-7));
        CHECK(printed.mirrored.row(c, y)[x] == blank.mirrored.row(c, y)[x]);
        seen += expected;
      }
    }
  }
  CHECK(seen > 100);
}

// Source  Monte Carlo: the error of n samples falls at least as n^-1/2; even numbers, never slower in the mean.
// Limit   slope of log error against log n, 4 to 256, no higher than -0.47: 1024 pixels' noise in each error is 2 %.
TEST_CASE("Tracer: its error falls at least as the root of the samples", "[stage][published]") {
  World world;
  AddPaper(world, 0.7);
  AddQuad(world, 0, {-500, 0, 500}, {1000, 0, 0}, {0, 0, -1000});
  AddBlock(world, 0, {0, 0, 0}, {100, 100, 100}, 0.6);
  world.soft_lights.push_back({{300, 200, 0}, {0, 0, -300}, {0, 300, 0}, {4, 4, 4}, false});
  SetEvenSky(world, 0.3);
  // One spot in half shadow, by every pixel: each an experiment of its own.
  world.camera = CameraAt({-80, 400, 100}, {-70, 0, 10}, {32, 32}, 1e6);
  const auto errors = [&](int samples) {
    const TraceSums sums = Trace(world, samples, 4, 77);
    const double mean = MeanOf(sums.diffuse, samples);
    double sum = 0;
    for (int64_t y = 0; y < 32; ++y) {
      for (int64_t x = 0; x < 32; ++x) {
        sum += std::pow(double{sums.diffuse.row(0, y)[x]} / samples - mean, 2);
      }
    }
    return std::sqrt(sum / 1024);
  };
  double xx = 0, xy = 0, x_sum = 0, y_sum = 0;
  std::string list;
  const int counts[] = {4, 16, 64, 256};
  for (const int n : counts) {
    const double x = std::log(double(n)), y = std::log(errors(n));
    xx += x * x, xy += x * y, x_sum += x, y_sum += y;
    list += fmt::format(" {}: {:.5f}", n, std::exp(y));
  }
  const double slope = (xy - x_sum * y_sum / 4) / (xx - x_sum * x_sum / 4);
  INFO("slope " << slope << list);
  CHECK(slope < -0.47);
  CHECK(slope > -1.6);
}

// Source  thin lens: of a point at distance s the lens, radius r, focused at f, makes a disc of radius R = r |1 - s / f| / s times the
//         focal length in px, evenly filled: mean square distance from its middle R^2 / 2. A small soft light that is shown, 2 px wide,
//         and the pixels themselves add w^2 / 6 each.
// Limit   2 % of its radius; nothing beyond it but the light's own width.
TEST_CASE("Tracer: out of focus a point of light is a disc of the lens's making",
          "[stage][closed-form]") {
  World world;
  world.camera = CameraAt({0, 0, 1000}, {0, 0, 0}, {64, 64}, 1000);
  world.camera.lens_radius_mm = 20;
  world.camera.focus_mm = 500;
  world.soft_lights.push_back({{-1, -1, 0}, {2, 0, 0}, {0, 2, 0}, {1000, 1000, 1000}, true});
  const TraceSums sums = Trace(world, 512);
  const double radius = 1000 * 20 * std::abs(1 - 1000.0 / 500) / 1000;  // 20 px
  double whole = 0, squares = 0, beyond = 0;
  for (int64_t y = 0; y < 64; ++y) {
    for (int64_t x = 0; x < 64; ++x) {
      const double light = double{sums.mirrored.row(0, y)[x]};
      const double px = double(x) + 0.5, py = double(y) + 0.5;
      const double r2 = (px - 32) * (px - 32) + (py - 32) * (py - 32);
      whole += light, squares += light * r2;
      if (std::sqrt(r2) > radius + 2.2) beyond += light;
    }
  }
  CHECK(whole > 0);
  CHECK(std::sqrt(2 * (squares / whole - (2 * 2 + 1) / 6.0)) == Approx(radius).epsilon(2e-2));
  CHECK(beyond == 0);
}

// Source  world.h: axes of camera, albedo, depth along the view, normal; a print on its rectangle, y down; 0 beside.
TEST_CASE("Tracer: what a picture says of the first hit", "[stage][closed-form]") {
  World world;
  AddPaper(world, 0.6);
  AddQuad(world, 0, {-100, -50, 0}, {200, 0, 0}, {0, 100, 0}, 0);
  SetEvenSky(world);
  world.camera = CameraAt({0, 0, 400}, {0, 0, 0}, {40, 20}, 80);  // 5 mm a pixel
  auto artwork = std::make_shared<Image<LinearPremul>>(SizePx{2, 1});
  artwork->row(0, 0)[1] = 0.3f;  // red, half covering, in its right half
  artwork->row(3, 0)[1] = 0.5f;
  world.prints.resize(1);
  world.prints[0] = WorldPrint{artwork, {20, 10}, {120, 60}};
  const TraceSums sums = Trace(world, 16, 2);
  const auto albedo = [&](int64_t x, int64_t y, int c = 0) {
    return double{sums.albedo.row(c, y)[x]} / 16;
  };
  CHECK(albedo(1, 5) == Approx(0.6).epsilon(1e-5));               // beside it
  CHECK(albedo(5, 5) == Approx(0.6).epsilon(1e-5));               // clear half: sheet (27.5, 27.5)
  CHECK(albedo(22, 5) == Approx(0.6 * 0.5 + 0.3).epsilon(1e-5));  // sheet (112.5, 27.5)
  CHECK(albedo(22, 5, 1) == Approx(0.3).epsilon(1e-5));
  CHECK(albedo(22, 13, 1) == Approx(0.6).epsilon(1e-5));  // below it: sheet (112.5, 67.5)
  CHECK(double{sums.depth.row(0, 5)[5]} / 16 == Approx(400).epsilon(1e-5));
  CHECK(double{sums.normal.row(2, 5)[5]} / 16 == Approx(1).epsilon(1e-5));
  // Alone in even light of 1: what it shows is its albedo; exposure is a factor.
  const double light = MeanOf(sums.diffuse, 16, 1);
  CHECK(light == Approx(MeanOf(sums.albedo, 16, 1)).epsilon(1e-2));
  world.camera.exposure = 0.25;
  CHECK(MeanOf(Trace(world, 16, 2).diffuse, 16, 1) == Approx(light / 4).epsilon(1e-5));
  // The back is not printed.
  world.camera = CameraAt({0, 0, -400}, {0, 0, 0}, {40, 20}, 80);
  CHECK(double{Trace(world, 16, 2).albedo.row(1, 5)[17]} / 16 == Approx(0.6).epsilon(1e-5));
  // Beside the sheet nothing but what is shown.
  world.background = {0.2, 0.3, 0.4};
  world.camera = CameraAt({1000, 0, 400}, {1000, 0, 0}, {4, 4}, 80);
  const TraceSums beside = Trace(world, 16);
  CHECK(MeanOf(beside.mirrored, 16, 2) == Approx(0.4).epsilon(1e-5));
  CHECK(MeanOf(beside.depth, 16) == 0);
}

// Claim  facets of a tube throw no shadow on themselves: light that grazes it falls off as the cosine of the smooth tube's normal.
// Limit  2e-2 of full light in each pixel of a row: single pixels are 4 samples to a facet.
TEST_CASE("Tracer: a tube of few facets is lit as a round one", "[stage][closed-form]") {
  World world;
  AddPaper(world, 1);
  AddTube(world, 0, {0, -500, 0}, 100, 1000, 36);
  world.sun = WorldSun{{1, 0, 0.02}, 1, Eigen::Vector3d::Ones()};
  const Eigen::Vector3d to_sun = world.sun->to_sun.normalized();
  world.camera = CameraAt({0, 0, 10000}, {0, 0, 0}, {180, 1}, 9000);
  const TraceSums sums = Trace(world, 64, 1);
  double worst = 0;
  for (int64_t x = 5; x < 175; ++x) {
    const double across = (double(x) + 0.5 - 90) / 9000 * 9990;
    const Eigen::Vector3d normal(across / 100, 0, std::sqrt(1 - across * across / 1e4));
    const double expected = std::max(0.0, normal.dot(to_sun));
    worst = std::max(worst, std::abs(double{sums.diffuse.row(0, 0)[x]} / 64 - expected));
  }
  CHECK(worst < 2e-2);
}

}  // namespace
}  // namespace wheatpaste

// A picture to be looked at: WHEATPASTE_KEEP=folder test_stage "[picture]".

#include <catch2/catch.hpp>

#include <chrono>
#include <cstdlib>

#include <sys/resource.h>

#include "base/parallel.h"
#include "colour/srgb.h"
#include "output/write_picture.h"
#include "stage/trace_world.h"
#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

World ShowWorld(SizePx size) {
  World world;
  const int wall = AddPaper(world, 0.75), floor = AddPaper(world, 0.5, 0.6, 0.15);
  const int card = AddPaper(world, 0.8, 1, 0.08), bag = AddPaper(world, 0.7);
  const int metal = AddOf(world, WorldMaterialKind::kMetal, {0.91, 0.92, 0.92}, 0.12);
  const int glass = AddOf(world, WorldMaterialKind::kGlass, {1, 1, 1}, 0);
  world.materials[static_cast<size_t>(bag)].albedo = {0.72, 0.55, 0.38};
  AddQuad(world, floor, {-3000, 0, 3000}, {6000, 0, 0}, {0, 0, -3800});
  AddQuad(world, wall, {-3000, 0, -800}, {6000, 0, 0}, {0, 3000, 0});
  AddBlock(world, bag, {-180, 0, -60}, {260, 330, 130}, 0.5);
  AddTube(world, card, {150, 0, 60}, 45, 180, 48);
  AddSphere(world, metal, {20, 50, 220}, 50, 64);
  AddSphere(world, glass, {290, 60, 160}, 60, 64);
  world.camera = CameraAt({120, 420, 1700}, {20, 130, 0}, size, 2.6 * double(size.height));
  world.camera.lens_radius_mm = 6;
  world.camera.focus_mm = 1600;
  SetSky(world, 128, [](const Eigen::Vector3d& d) {
    const double lamp = d.dot(Eigen::Vector3d(-0.5, 0.6, 0.62)) > 0.97 ? 4 : 0;
    return Eigen::Vector3d(0.1 + 0.05 * d.y() + lamp, 0.11 + 0.06 * d.y() + lamp,
                           0.14 + 0.1 * d.y() + lamp);
  });
  world.soft_lights.push_back(
      {{900, 300, 700}, {0, 0, -500}, {0, 700, 0}, Eigen::Vector3d(1.6, 1.4, 1.2), false});
  world.sun = WorldSun{Eigen::Vector3d(-0.7, 0.55, 0.6).normalized(), std::cos(0.0046),
                       Eigen::Vector3d(0.6, 0.56, 0.48)};
  return world;
}

double Seconds() {
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  return double(use.ru_utime.tv_sec) + 1e-6 * double(use.ru_utime.tv_usec);
}

TEST_CASE("Tracer: a picture to be looked at", "[.][picture]") {
  const SizePx size{960, 540};
  const World world = ShowWorld(size);
  TraceOptions options;
  options.samples = std::getenv("SAMPLES") ? std::atoi(std::getenv("SAMPLES")) : 64;
  const double before = Seconds();
  const TraceSums sums = TraceWorld(world, options);
  const double cpu = Seconds() - before;
  WARN("cpu seconds " << cpu << ", us a path "
                      << 1e6 * cpu / double(size.area() * options.samples));
  const char* keep = std::getenv("WHEATPASTE_KEEP");
  if (keep == nullptr) return;
  Bytes codes(static_cast<size_t>(3 * size.area()));
  for (int64_t i = 0; i < size.area(); ++i) {
    for (int c = 0; c < 3; ++c) {
      const int64_t y = i / size.width, x = i % size.width;
      const double light =
          double(sums.diffuse.row(c, y)[x] + sums.mirrored.row(c, y)[x]) / sums.samples;
      codes[static_cast<size_t>(3 * i + c)] =
          static_cast<uint8_t>(255 * SrgbFromLinear(std::clamp(light, 0.0, 1.0)) + 0.5);
    }
  }
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = size;
  facts.profile = &srgb;
  REQUIRE(WritePicture(std::string(keep) + "/show.png", PictureFormat::kPng, facts,
                       [&](int64_t y0, int64_t) { return codes.data() + 3 * y0 * size.width; })
              .ok());
}

}  // namespace
}  // namespace wheatpaste

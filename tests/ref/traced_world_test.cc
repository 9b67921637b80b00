// The stage's path tracer against a general-purpose ray tracer: a floor, a block and a ball under a sun and a soft light.

#include <catch2/catch.hpp>

#include <cmath>

#include <fmt/format.h>

#include "ref/compare.h"
#include "ref/ray_traced_stage.h"
#include "stage/trace_world.h"
#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

// The ray tracer's z runs away from the viewer, its camera stands at the origin and looks along it.
std::string At(const Eigen::Vector3d& world, const WorldCamera& camera) {
  const Eigen::Vector3d p = camera.rotation * (world - camera.at);
  return PrintVector({p.x(), -p.y(), p.z()});
}

constexpr int kGrid = 8;  // of lamps each way, that stand for the soft light

// A lamp sends colour 2 / (1 + (d / fade)^2) cos(angle): Lambert's share of a soft light where fade is far below d.
std::string Lamps(const WorldSoftLight& soft, const WorldCamera& camera) {
  const Eigen::Vector3d across = soft.right.cross(soft.up);
  const Eigen::Vector3d irradiance = soft.radiance * across.norm() / (kGrid * kGrid * kPi);
  std::string text;
  for (int j = 0; j < kGrid; ++j) {
    for (int i = 0; i < kGrid; ++i) {
      const Eigen::Vector3d at =
          soft.corner + (i + 0.5) / kGrid * soft.right + (j + 0.5) / kGrid * soft.up;
      text += fmt::format(
          "light_source {{ {} rgb {} spotlight point_at {} radius 90 falloff 90 tightness 1 "
          "fade_distance 1 fade_power 2 }}\n",
          At(at, camera), PrintVector(irradiance / 2), At(at + 100 * across.normalized(), camera));
    }
  }
  return text;
}

// Source  POV-Ray 3.7.0 (Debian package povray); direct light alone in both: most_bounces = 1, no radiosity. Its soft light is 64 lamps,
//         so half shadows are stairs of 1/64 of that light; its balls and blocks are exact, ours of triangles.
// Limit   mean 0.0005 of full light over the picture, 99 of 100 pixels within 0.02: stairs (0.3 / 64 each and many at once where
//         shadows touch), edges (64 subpixels against 256 samples of ours), our noise 0.3 / 16 in half shadow.
TEST_CASE("Path tracer: direct light as a ray tracer shows it", "[ref][reference]") {
  World world;
  const Eigen::Vector3d floor(0.6, 0.55, 0.5), block(0.7, 0.4, 0.3), ball(0.3, 0.6, 0.75);
  for (const Eigen::Vector3d& albedo : {floor, block, ball}) {
    AddOf(world, WorldMaterialKind::kPaper, {albedo.x(), albedo.y(), albedo.z()}, 0.5);
  }
  AddQuad(world, 0, {-400, 0, 400}, {800, 0, 0}, {0, 0, -800});
  AddBlock(world, 1, {-90, 0, -20}, {120, 160, 90}, 0.5);
  AddSphere(world, 2, {80, 60, 30}, 60, 192);
  world.camera = CameraAt({60, 330, 640}, {0, 50, 0}, {160, 120}, 220);
  world.sun = WorldSun{{-0.5, 0.7, 0.45}, 1, {0.5, 0.48, 0.45}};
  world.soft_lights.push_back(
      {{320, 200, 220}, {60, 0, -180}, {-90, 160, -30}, {3.2, 3.4, 3.8}, false});
  TraceOptions options;
  options.samples = 256;
  options.most_bounces = 1;
  const TraceSums sums = TraceWorld(world, options);

  const Eigen::Vector3d to_sun = world.sun->to_sun.normalized();
  std::string scene = StageText(world.camera.size, world.camera.focal_px, {}, {1, 0, 0}, {0, 1, 0});
  scene += fmt::format("light_source {{ {} rgb {} parallel point_at {} }}\n",
                       At(5000 * to_sun, world.camera), PrintVector(world.sun->irradiance),
                       At({0, 0, 0}, world.camera));
  scene += Lamps(world.soft_lights[0], world.camera);
  // In world axes, then to the camera's: rows of the matrix are where x, y, z and the origin go.
  const WorldCamera& camera = world.camera;
  const Eigen::Matrix3d flip = Eigen::Vector3d(1, -1, 1).asDiagonal() * camera.rotation;
  std::string matrix;
  for (int i = 0; i < 3; ++i) {
    matrix += fmt::format("{:.12g},{:.12g},{:.12g},", flip(0, i), flip(1, i), flip(2, i));
  }
  const Eigen::Vector3d moved = flip * -camera.at;
  matrix += fmt::format("{:.12g},{:.12g},{:.12g}", moved.x(), moved.y(), moved.z());
  const auto thing = [&](const std::string& shape, const Eigen::Vector3d& albedo) {
    scene += fmt::format("{} pigment {{ {} }} {} matrix <{}> }}\n", shape, PlainPigment(albedo),
                         kMattFinish, matrix);
  };
  thing("polygon { 5, <-400,0,400>,<400,0,400>,<400,0,-400>,<-400,0,-400>,<-400,0,400>", floor);
  // Turned by 0.5 rad about the vertical: as its corners say, whatever the sense of the ray tracer's own turns.
  const double c = std::cos(0.5), s = std::sin(0.5);
  thing(fmt::format("box {{ <-60,0,-45>,<60,160,45> matrix <{0},0,{1},0,1,0,{2},0,{0},-90,0,-20>",
                    c, -s, s),
        block);
  thing("sphere { <80,60,30>, 60", ball);
  const TempFolder folder;
  RunRayTracer(scene, camera.size, folder / "truth.png", 3);
  const Bitmap truth = Read(folder / "truth.png");
  KeepPictures(folder, "traced-world");

  double sum = 0, worst = 0, light = 0;
  int far = 0;
  for (int64_t y = 0; y < 120; ++y) {
    for (int64_t x = 0; x < 160; ++x) {
      double most = 0;
      for (int k = 0; k < 3; ++k) {
        const double expected = LinearFromSrgb(
            reinterpret_cast<const uint16_t*>(truth.row(y))[x * truth.channels() + k] / 65535.0);
        const double off = std::abs(double{sums.diffuse.row(k, y)[x]} / options.samples - expected);
        sum += off, light += expected;
        most = std::max(most, off);
      }
      far += most > 0.02;
      worst = std::max(worst, most);
    }
  }
  const double count = 160 * 120 * 3;
  INFO("mean light " << light / count << ", mean difference " << sum / count << ", worst " << worst
                     << ", beyond 0.02: " << far << " pixels");
  CHECK(light / count > 0.1);
  CHECK(sum / count < 0.0005);
  CHECK(far < 160 * 120 / 100);
}

}  // namespace
}  // namespace wheatpaste

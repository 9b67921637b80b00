#include "surface/mesh_chart.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>
#include <cstring>
#include <functional>
#include <numbers>

#include <Eigen/Geometry>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr SizePx kPhoto{320, 240};
const Lens kLens{400, {160, 120}};

// A sheet of columns x rows cells; `place` gives the object mm of u right and v up. Front: u x v.
void AddSheet(Mesh& mesh, int columns, int rows,
              const std::function<Eigen::Vector3d(double, double)>& place) {
  const auto first = static_cast<int32_t>(mesh.vertices.size());
  for (int j = 0; j <= rows; ++j) {
    for (int i = 0; i <= columns; ++i) {
      const double u = static_cast<double>(i) / columns, v = static_cast<double>(j) / rows;
      mesh.vertices.push_back(place(u, v));
      mesh.uvs.emplace_back(u, v);
    }
  }
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      const int32_t a = first + j * (columns + 1) + i, b = a + 1, c = b + columns + 1, d = c - 1;
      for (const std::array<int32_t, 3>& t : {std::array{a, b, c}, std::array{a, c, d}}) {
        mesh.triangles.push_back(t);
        mesh.uv_triangles.push_back(t);
      }
    }
  }
}

std::shared_ptr<const Mesh> Finished(Mesh mesh) {
  FindIslands(mesh);
  return std::make_shared<const Mesh>(std::move(mesh));
}

Pose At(double z) {
  Pose pose;
  pose.translation = {0, 0, z};
  return pose;
}

// An upright rectangle before the camera, mm from its middle, v up: y down.
std::function<Eigen::Vector3d(double, double)> Upright(double x0, double x1, double y0, double y1,
                                                       double z) {
  return [=](double u, double v) {
    return Eigen::Vector3d(x0 + u * (x1 - x0), y1 + v * (y0 - y1), z);
  };
}

float SeenAt(const ChartPicture& picture, int64_t x, int64_t y) {
  const RectPx& r = picture.region;
  if (x < r.x0 || y < r.y0 || x >= r.x1 || y >= r.y1) return 0;
  return picture.seen.row(0, y - r.y0)[x - r.x0];
}

}  // namespace

TEST_CASE("Mesh rays: distance and uv on a cylinder as the closed form", "[surface][closed-form]") {
  constexpr double kRadius = 40, kTurn = 2 * std::numbers::pi;
  constexpr int kColumns = 2000;
  Mesh mesh;
  AddSheet(mesh, kColumns, 4, [&](double u, double v) {
    return Eigen::Vector3d(kRadius * std::sin(kTurn * u), -100 * v, kRadius * std::cos(kTurn * u));
  });
  const MeshRays rays(mesh);
  // A chord lies inside its arc by at most r (1 - cos(pi / n)).
  const double sag = kRadius * (1 - std::cos(std::numbers::pi / kColumns));
  const Eigen::Vector3d origin(0, -50, -300);
  for (int i = -9; i <= 9; ++i) {
    const Eigen::Vector3d direction(0.0137 * i, 0.01 * i, 1);
    // |origin + t direction| = r in x and z: a t^2 + 2 b t + c = 0.
    const double a = direction.x() * direction.x() + 1, b = origin.z(),
                 c = origin.z() * origin.z() - kRadius * kRadius;
    const double root = b * b - a * c;
    const MeshHit hit = rays.FirstHit(origin, direction);
    if (root <= 0) {
      CHECK(hit.triangle == -1);
      continue;
    }
    const double t = (-b - std::sqrt(root)) / a;
    const Eigen::Vector3d at = origin + t * direction;
    double u = std::atan2(at.x(), at.z()) / kTurn;
    if (u < 0) u += 1;
    INFO("ray " << i);
    REQUIRE(hit.triangle >= 0);
    // At grazing incidence a sag of s moves the hit by s / cos.
    const double slant = -(at.x() * direction.x() + at.z()) / kRadius / direction.norm();
    CHECK(std::abs(hit.distance - t) * direction.norm() < 2 * sag / slant + 1e-9);
    CHECK(std::abs(hit.uv.x() - u) * kTurn * kRadius < 2 * sag / slant + 1e-9);
    CHECK(std::abs(hit.uv.y() + at.y() / 100) < 1e-4);
  }
}

TEST_CASE("Mesh rays: no ray slips through a sphere between its triangles",
          "[surface][closed-form]") {
  constexpr double kRadius = 30;
  Mesh mesh;
  AddSheet(mesh, 160, 80, [&](double u, double v) {
    // The seam and the poles close to the last bit.
    const double a = u == 1 ? 0 : 2 * std::numbers::pi * u, b = std::numbers::pi * v;
    const double round = v == 1 ? 0 : kRadius * std::sin(b);
    return Eigen::Vector3d(round * std::cos(a), kRadius * std::cos(b), round * std::sin(a));
  });
  // At the poles every other triangle has no area: left out, as the reader does.
  std::erase_if(mesh.triangles, [&](const auto& t) {
    const auto v = [&](int i) { return mesh.vertices[static_cast<size_t>(t[i])]; };
    return (v(1) - v(0)).cross(v(2) - v(0)).norm() < 1e-9;
  });
  mesh.uv_triangles = mesh.triangles;
  const MeshRays rays(mesh);
  int through = 0;
  for (int i = 0; i < 40'000; ++i) {
    // Even over the sphere (golden angle), with rays at vertices and edges among them.
    const double z = 1 - (2 * i + 1) / 40'000.0, a = 2.399963229728653 * i,
                 r = std::sqrt(1 - z * z);
    Eigen::Vector3d direction(r * std::cos(a), z, r * std::sin(a));
    if (i % 4 == 0)
      direction = mesh.vertices[static_cast<size_t>(i) % mesh.vertices.size()].normalized();
    const int32_t triangle = rays.FirstTriangle({0, 0, 0}, direction);
    if (triangle < 0) {
      ++through;
      continue;
    }
    const MeshHit hit = rays.FirstHit({0, 0, 0}, direction);
    // Facets lie inside the sphere by less than r (1 - cos^2 of half a cell).
    if (std::abs(hit.distance - kRadius) > kRadius * 2 * std::pow(std::numbers::pi / 160, 2))
      ++through;
  }
  REQUIRE(through == 0);
}

TEST_CASE("Mesh chart: mm and their change on a wavy sheet as the closed form",
          "[surface][closed-form]") {
  constexpr double kWide = 200, kHigh = 140, kDeep = 12, kWave = 2 * std::numbers::pi / 90;
  const auto depth = [&](double x) { return kDeep * std::sin(kWave * x); };
  Mesh sheet;
  AddSheet(sheet, 1000, 4, [&](double u, double v) {
    const double x = (u - 0.5) * kWide;
    return Eigen::Vector3d(x, (0.5 - v) * kHigh, depth(x));
  });
  const auto mesh = Finished(std::move(sheet));
  const auto tracer =
      std::make_shared<const MeshTracer>(mesh, At(400), kLens, SurfaceMm{kWide, kHigh});
  const ChartPicture picture = MeshChart(tracer, 0).Picture(FramePhoto(kPhoto, {640, 480}));
  int checked = 0;
  for (int64_t y = 0; y < picture.region.height(); y += 7) {
    for (int64_t x = 0; x < picture.region.width(); x += 5) {
      if (picture.seen.row(0, y)[x] < 1) continue;
      const double px = (static_cast<double>(picture.region.x0 + x) + 0.5) / 2,
                   py = (static_cast<double>(picture.region.y0 + y) + 0.5) / 2;
      const double dx = (px - 160) / 400, dy = (py - 120) / 400;
      // x = dx (400 + depth(x)), by Newton's method.
      double at = dx * 400;
      for (int i = 0; i < 50; ++i) {
        at -= (at - dx * (400 + depth(at))) / (1 - dx * kDeep * kWave * std::cos(kWave * at));
      }
      const double z = 400 + depth(at), slope = kDeep * kWave * std::cos(kWave * at);
      // Facets stray by less than kDeep (kWave cell)^2 / 8 = 3e-4 mm.
      REQUIRE(std::abs(picture.mm.row(0, y)[x] - (at + kWide / 2)) < 1e-3);
      REQUIRE(std::abs(picture.mm.row(1, y)[x] - (dy * z + kHigh / 2)) < 1e-3);
      // dx/dX by implicit differentiation; 1 / 800 focal lengths for an output px. A facet's slope is off by
      // up to kDeep kWave^2 cell / 2 = 0.6 %.
      const double change = z / (1 - dx * slope) / 800;
      REQUIRE(std::abs(picture.mm.row(2, y)[x] - change) < 0.006 * change);
      REQUIRE(std::abs(picture.mm.row(3, y)[x]) < 1e-4);
      REQUIRE(std::abs(picture.mm.row(5, y)[x] - z / 800) < 1e-3);
      ++checked;
    }
  }
  REQUIRE(checked > 2000);
}

TEST_CASE("Mesh chart: islands add up to 1 at their seam, and to the area at the outline",
          "[surface][invariant]") {
  // Two rectangles that meet at x = 3.3 mm, between pixel centres, tilted in the picture.
  const Eigen::AngleAxisd roll(0.3, Eigen::Vector3d::UnitZ());
  Mesh sheets;
  const auto left = Upright(-60, 3.3, -50, 50, 0), right = Upright(3.3, 70, -50, 50, 0);
  AddSheet(sheets, 7, 5, [&](double u, double v) { return roll * left(u, v); });
  AddSheet(sheets, 9, 5, [&](double u, double v) { return roll * right(u, v); });
  const auto mesh = Finished(std::move(sheets));
  REQUIRE(mesh->island_count == 2);
  const auto tracer = std::make_shared<const MeshTracer>(mesh, At(400), kLens, SurfaceMm{100, 100});
  const Frame frame = FramePhoto(kPhoto, kPhoto);
  const ChartPicture a = MeshChart(tracer, 0).Picture(frame),
                     b = MeshChart(tracer, 1).Picture(frame);
  double total = 0;
  int seam = 0;
  for (int64_t y = 0; y < kPhoto.height; ++y) {
    for (int64_t x = 0; x < kPhoto.width; ++x) {
      const float of_a = SeenAt(a, x, y), of_b = SeenAt(b, x, y);
      total += of_a + of_b;
      REQUIRE(of_a + of_b <= 1);
      if (of_a == 0 || of_b == 0) continue;
      ++seam;
      // Away from the seam's ends every sub-ray meets one of both.
      const Eigen::Vector3d at =
          roll.inverse() * Eigen::Vector3d(static_cast<double>(x) + 0.5 - 160,
                                           static_cast<double>(y) + 0.5 - 120, 0);
      if (std::abs(at.y()) < 48) REQUIRE(of_a + of_b == 1);
    }
  }
  REQUIRE(seam > 90);
  // 1 px is 1 mm at this distance; 460 px of outline, each good to about 1 / 64.
  REQUIRE(total == Approx(130 * 100).margin(2));
}

TEST_CASE("Mesh chart: what is behind or turned away is not printed, and what is before hides",
          "[surface][closed-form]") {
  Mesh sheets;
  AddSheet(sheets, 4, 4, Upright(-60, 60, -50, 50, 0));
  AddSheet(sheets, 1, 1, Upright(-20, 10, -20, 20, -80));  // before it, front seen
  // Before it, too, but turned away: u runs to the left.
  AddSheet(sheets, 1, 1, Upright(50, 30, -20, 20, -80));
  const auto mesh = Finished(std::move(sheets));
  REQUIRE(mesh->island_count == 3);
  const auto tracer = std::make_shared<const MeshTracer>(mesh, At(400), kLens, SurfaceMm{100, 100});
  const Frame frame = FramePhoto(kPhoto, kPhoto);
  std::vector<ChartPicture> charts;
  for (int island = 0; island < 3; ++island)
    charts.push_back(MeshChart(tracer, island).Picture(frame));
  // The front pieces at 320 mm: mm times 1.25, from the middle.
  CHECK(SeenAt(charts[0], 160, 120) == 0);
  CHECK(SeenAt(charts[1], 160, 120) == 1);
  CHECK(SeenAt(charts[0], 180, 120) == 1);
  CHECK(SeenAt(charts[1], 180, 120) == 0);
  CHECK(SeenAt(charts[0], 210, 120) == 0);
  CHECK(charts[2].region.empty());
  // Its left edge at 160 - 25 = 135 px lies between pixels: whole pixels on both sides.
  CHECK(SeenAt(charts[1], 135, 120) == 1);
  CHECK(SeenAt(charts[1], 134, 120) == 0);
  CHECK(SeenAt(charts[0], 134, 120) == 1);
  // Its right edge at 172.5 px halves a pixel.
  CHECK(SeenAt(charts[1], 172, 120) == 0.5f);
  CHECK(SeenAt(charts[0], 172, 120) == 0.5f);
}

TEST_CASE("Mesh chart: the same bits for any number of threads", "[surface][invariant]") {
  Mesh sheet;
  AddSheet(sheet, 60, 40, [](double u, double v) {
    return Eigen::Vector3d(160 * (u - 0.5), 120 * (0.5 - v), 25 * std::sin(9 * u + 5 * v));
  });
  const auto mesh = Finished(std::move(sheet));
  const Lens bent{400, {160, 120}, -0.1, 0.01};
  const auto picture = [&](int threads) {
    const ThreadLimit limit(threads);
    const auto tracer =
        std::make_shared<const MeshTracer>(mesh, At(300), bent, SurfaceMm{160, 120});
    return MeshChart(tracer, 0).Picture(FramePhoto(kPhoto, kPhoto));
  };
  const ChartPicture one = picture(1), four = picture(4);
  REQUIRE(one.region == four.region);
  REQUIRE(one.region.height() > 100);
  for (int64_t y = 0; y < one.region.height(); ++y) {
    const auto bytes = static_cast<size_t>(one.region.width()) * sizeof(float);
    REQUIRE(std::memcmp(one.seen.row(0, y), four.seen.row(0, y), bytes) == 0);
    for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
      REQUIRE(std::memcmp(one.mm.row(plane, y), four.mm.row(plane, y), bytes) == 0);
    }
  }
}

// Run by name: it measures and judges nothing but that the picture is full.
TEST_CASE("Mesh chart: 100 000 triangles at 1920 x 1080", "[.][surface][speed]") {
  Mesh sheet;
  AddSheet(sheet, 320, 160, [](double u, double v) {
    return Eigen::Vector3d(320 * (u - 0.5), 180 * (0.5 - v), 10 * std::sin(12 * u + 5 * v));
  });
  const auto mesh = Finished(std::move(sheet));
  const ThreadLimit limit(1);
  const MeshTracer tracer(mesh, At(400), {2400, {960, 540}}, {320, 180});
  const auto from = std::chrono::steady_clock::now();
  const auto picture = tracer.Picture(FramePhoto({1920, 1080}, {1920, 1080}));
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - from;
  WARN(seconds.count() << " s for the rays");
  REQUIRE(picture->triangles[540 * 1920 + 960] >= 0);
}

}  // namespace wheatpaste

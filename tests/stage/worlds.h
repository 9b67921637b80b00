// worlds.h - small worlds for tests of the path tracer, built of plain trigonometry.
#pragma once

#include <cmath>
#include <functional>
#include <memory>
#include <numbers>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "stage/world.h"

namespace wheatpaste::test {

inline constexpr double kPi = std::numbers::pi;

inline int AddPaper(World& world, double albedo, double coat = 0, double roughness = 0.5) {
  WorldMaterial material;
  material.albedo = {albedo, albedo, albedo};
  material.coat = coat;
  material.roughness = roughness;
  world.materials.push_back(material);
  return static_cast<int>(world.materials.size()) - 1;
}

inline int AddOf(World& world, WorldMaterialKind kind, const Reflectance& albedo,
                 double roughness) {
  WorldMaterial material;
  material.kind = kind;
  material.albedo = albedo;
  material.roughness = roughness;
  world.materials.push_back(material);
  return static_cast<int>(world.materials.size()) - 1;
}

// Corners counter-clockwise from the front; texture and sheet mm run along the first and the last side.
inline void AddQuad(World& world, int material, const Eigen::Vector3d& corner,
                    const Eigen::Vector3d& right, const Eigen::Vector3d& up, int chart = -1) {
  const auto first = static_cast<int32_t>(world.vertices.size());
  for (const Eigen::Vector3d& v :
       {corner, Eigen::Vector3d(corner + right), Eigen::Vector3d(corner + right + up),
        Eigen::Vector3d(corner + up)}) {
    world.vertices.push_back(v);
  }
  const auto w = static_cast<float>(right.norm()), h = static_cast<float>(up.norm());
  const Eigen::Vector2f mm[4] = {{0, 0}, {w, 0}, {w, h}, {0, h}};
  for (const std::array<int32_t, 3>& corners : {std::array{0, 1, 2}, std::array{0, 2, 3}}) {
    WorldTriangle triangle;
    triangle.material = material;
    triangle.chart = chart;
    for (size_t i = 0; i < 3; ++i) {
      triangle.vertices[i] = first + corners[i];
      triangle.normals[i] = right.cross(up).normalized().cast<float>();
      const Eigen::Vector2f& at = mm[corners[i]];
      triangle.texture_mm[i] = at;
      triangle.sheet_mm[i] = {at.x(), h - at.y()};
    }
    world.triangles.push_back(triangle);
  }
}

// A grid over s, t in [0, 1] with the smooth surface's normals; front where d/ds x d/dt points.
inline void AddGrid(
    World& world, int material, int columns, int rows,
    const std::function<std::pair<Eigen::Vector3d, Eigen::Vector3d>(double, double)>& at) {
  const auto first = static_cast<int32_t>(world.vertices.size());
  std::vector<Eigen::Vector3f> normals;
  for (int j = 0; j <= rows; ++j) {
    for (int i = 0; i <= columns; ++i) {
      const auto [p, n] = at(double(i) / columns, double(j) / rows);
      world.vertices.push_back(p);
      normals.push_back(n.cast<float>());
    }
  }
  const auto index = [&](int i, int j) { return j * (columns + 1) + i; };
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      for (const std::array<int, 3>& corners :
           {std::array{index(i, j), index(i + 1, j), index(i + 1, j + 1)},
            std::array{index(i, j), index(i + 1, j + 1), index(i, j + 1)}}) {
        WorldTriangle triangle;
        triangle.material = material;
        for (size_t k = 0; k < 3; ++k) {
          triangle.vertices[k] = first + corners[k];
          triangle.normals[k] = normals[static_cast<size_t>(corners[k])];
          const Eigen::Vector3d& p = world.vertices[static_cast<size_t>(triangle.vertices[k])];
          triangle.texture_mm[k] = Eigen::Vector2d(p.x(), p.y()).cast<float>();
        }
        world.triangles.push_back(triangle);
      }
    }
  }
}

// inwards  its front faces its middle.
inline void AddSphere(World& world, int material, const Eigen::Vector3d& middle, double radius,
                      int around = 64, bool inwards = false) {
  AddGrid(world, material, around, around / 2, [&](double s, double t) {
    const double turn = 2 * kPi * s * (inwards ? -1 : 1), height = kPi * (t - 0.5);
    const Eigen::Vector3d n(std::cos(height) * std::sin(turn), std::sin(height),
                            std::cos(height) * std::cos(turn));
    return std::pair<Eigen::Vector3d, Eigen::Vector3d>(middle + radius * n, inwards ? -n : n);
  });
}

// Upright, open at its ends.
inline void AddTube(World& world, int material, const Eigen::Vector3d& bottom, double radius,
                    double height, int around = 64) {
  AddGrid(world, material, around, 1, [&](double s, double t) {
    const double turn = 2 * kPi * s;
    const Eigen::Vector3d n(std::sin(turn), 0, std::cos(turn));
    return std::pair<Eigen::Vector3d, Eigen::Vector3d>(
        bottom + radius * n + Eigen::Vector3d(0, t * height, 0), n);
  });
}

// All but its bottom, turned about the vertical.
inline void AddBlock(World& world, int material, const Eigen::Vector3d& bottom,
                     const Eigen::Vector3d& size, double turn) {
  const Eigen::Matrix3d rotation =
      Eigen::AngleAxisd(turn, Eigen::Vector3d::UnitY()).toRotationMatrix();
  const Eigen::Vector3d x = rotation * Eigen::Vector3d(size.x(), 0, 0);
  const Eigen::Vector3d y(0, size.y(), 0), z = rotation * Eigen::Vector3d(0, 0, size.z());
  const Eigen::Vector3d corner = bottom - x / 2 - z / 2;
  AddQuad(world, material, corner + z, x, y);
  AddQuad(world, material, corner + x, -x, y);
  AddQuad(world, material, corner, z, y);
  AddQuad(world, material, corner + x + z, -z, y);
  AddQuad(world, material, corner + y + z, x, -z);
}

inline WorldCamera CameraAt(const Eigen::Vector3d& at, const Eigen::Vector3d& aim, SizePx size,
                            double focal_px) {
  WorldCamera camera;
  const Eigen::Vector3d along = (aim - at).normalized();
  const Eigen::Vector3d up =
      std::abs(along.y()) > 0.99 ? Eigen::Vector3d::UnitZ() : Eigen::Vector3d::UnitY();
  const Eigen::Vector3d right = along.cross(up).normalized();
  camera.rotation << right.transpose(), along.cross(right).transpose(), along.transpose();
  camera.at = at;
  camera.focal_px = focal_px;
  camera.size = size;
  return camera;
}

// light  of a direction, unit.
inline void SetSky(World& world, int64_t height,
                   const std::function<Eigen::Vector3d(const Eigen::Vector3d&)>& light) {
  auto sky = std::make_shared<Image<SceneLinear>>(SizePx{2 * height, height});
  for (int64_t y = 0; y < height; ++y) {
    for (int64_t x = 0; x < 2 * height; ++x) {
      const double theta = kPi * (double(y) + 0.5) / double(height);
      const double azimuth = kPi * ((double(x) + 0.5) / double(height) - 1);
      const Eigen::Vector3d value = light({std::sin(theta) * std::sin(azimuth), std::cos(theta),
                                           -std::sin(theta) * std::cos(azimuth)});
      for (int c = 0; c < 3; ++c) sky->row(c, y)[x] = static_cast<float>(value[c]);
    }
  }
  world.light_map = WorldLightMap{sky, nullptr, 0};
}

inline void SetEvenSky(World& world, double light = 1) {
  SetSky(world, 16, [&](const Eigen::Vector3d&) { return Eigen::Vector3d::Constant(light); });
}

// Mean of a band over a picture, over samples.
template <typename Colour>
double MeanOf(const Image<Colour>& sums, int samples, int plane = 0) {
  double sum = 0;
  for (int64_t y = 0; y < sums.height(); ++y) {
    for (int64_t x = 0; x < sums.width(); ++x) sum += double{sums.row(plane, y)[x]};
  }
  return sum / (double(sums.size().area()) * samples);
}

}  // namespace wheatpaste::test

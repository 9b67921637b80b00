#include "composite/face_light.h"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>

#include "base/parallel.h"
#include "composite/contact.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {
namespace {

// Every so many px of a chart are asked for their normal.
constexpr int64_t kNormalEveryPx = 6;
constexpr int64_t kBandRows = 16;
// A lamp that shines along a face or on its back lights nothing on it.
constexpr double kLeastLit = 0.1;

Eigen::Vector3d NormalAt(const Image<NormalPlanes>& normals, int64_t x, int64_t y) {
  return {normals.row(0, y)[x], normals.row(1, y)[x], normals.row(2, y)[x]};
}

void SetNormal(const Eigen::Vector3d& normal, Image<NormalPlanes>& normals, int64_t x, int64_t y) {
  for (int k = 0; k < 3; ++k) normals.row(k, y)[x] = static_cast<float>(normal[k]);
}

// Change of flat mm along an output px, at a pixel of the region.
Eigen::Matrix2d ChangeAt(const ChartPicture& picture, int64_t x, int64_t y) {
  Eigen::Matrix2d change;
  if (picture.output_from_surface) {
    const OutputPx at{static_cast<double>(picture.region.x0 + x) + 0.5,
                      static_cast<double>(picture.region.y0 + y) + 0.5};
    return picture.output_from_surface->Inverse().Jacobian(at);
  }
  const auto mm = [&](int plane) { return double{picture.mm.row(plane, y)[x]}; };
  change << mm(2), mm(3), mm(4), mm(5);
  return change;
}

// The wholly seen pixel that is nearest to the middle of what is seen.
struct RegionAt {
  int64_t x = 0, y = 0;
};
RegionAt MiddleOf(const ChartPicture& picture) {
  double sum = 0, sum_x = 0, sum_y = 0;
  const auto each = [&](const auto& visit) {
    for (int64_t y = 0; y < picture.region.height(); y += 2) {
      for (int64_t x = 0; x < picture.region.width(); x += 2) {
        if (picture.seen.row(0, y)[x] >= Coverage::kWhole) visit(x, y);
      }
    }
  };
  each([&](int64_t x, int64_t y) {
    sum += 1;
    sum_x += static_cast<double>(x);
    sum_y += static_cast<double>(y);
  });
  RegionAt middle{picture.region.width() / 2, picture.region.height() / 2};
  double nearest = 1e300;
  each([&](int64_t x, int64_t y) {
    const double off =
        std::hypot(static_cast<double>(x) - sum_x / sum, static_cast<double>(y) - sum_y / sum);
    if (off < nearest) {
      nearest = off;
      middle = {x, y};
    }
  });
  return middle;
}

OutputPx CentreOf(const RectPx& region, int64_t x, int64_t y) {
  return {static_cast<double>(region.x0 + x) + 0.5, static_cast<double>(region.y0 + y) + 0.5};
}

// Tilts normals by the slopes of the heights above the face.
void BendNormals(const ChartPicture& picture, const Image<Coverage>& heights, const Frame& frame,
                 const Camera& camera, Image<NormalPlanes>& normals) {
  const int64_t width = picture.region.width(), height = picture.region.height();
  ParallelRows(height, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      for (int64_t x = 0; x < width; ++x) {
        const int64_t left = std::max<int64_t>(0, x - 1), right = std::min(width - 1, x + 1);
        const int64_t above = std::max<int64_t>(0, y - 1), below = std::min(height - 1, y + 1);
        const auto held = [&](int64_t at_x, int64_t at_y) {
          return picture.seen.row(0, at_y)[at_x] > 0;
        };
        if (!held(x, y) || !held(left, y) || !held(right, y) || !held(x, above) ||
            !held(x, below)) {
          continue;
        }
        const Eigen::Matrix2d change = ChangeAt(picture, x, y);
        if (!(std::abs(change.determinant()) > 0)) continue;
        const auto z = [&](int64_t at_x, int64_t at_y) {
          return double{heights.row(0, at_y)[at_x]};
        };
        const Eigen::Vector2d rise(
            (z(right, y) - z(left, y)) / static_cast<double>(std::max<int64_t>(1, right - left)),
            (z(x, below) - z(x, above)) / static_cast<double>(std::max<int64_t>(1, below - above)));
        const Eigen::Vector2d slope = change.transpose().inverse() * rise;
        const Eigen::Vector3d normal = NormalAt(normals, x, y);
        const FaceTangents tangents =
            TangentsOf(normal, RayOf(frame, camera, CentreOf(picture.region, x, y)), change);
        SetNormal((normal - slope.x() * tangents.a - slope.y() * tangents.b).normalized(), normals,
                  x, y);
      }
    }
  });
}

}  // namespace

Eigen::Vector3d RayOf(const Frame& frame, const Camera& camera, const OutputPx& px) {
  const PhotoPx photo = frame.PhotoAt(px);
  return {(photo.x - camera.principal.x) / camera.focal_px,
          (photo.y - camera.principal.y) / camera.focal_px, 1};
}

FaceTangents TangentsOf(const Eigen::Vector3d& normal, const Eigen::Vector3d& ray,
                        const Eigen::Matrix2d& change) {
  // Held off 0 with its sign: along a limb the face is seen along itself.
  const double along = std::min(-1e-3, normal.dot(ray));
  Eigen::Matrix<double, 3, 2> moved;
  for (int k = 0; k < 2; ++k) {
    moved.col(k) = Eigen::Vector3d::Unit(k) - ray * (normal[k] / along);
  }
  // The columns of moved change^-1, up to one scale: those of moved adj(change), with det's sign.
  Eigen::Matrix2d adjugate;
  adjugate << change(1, 1), -change(0, 1), -change(1, 0), change(0, 0);
  if (change.determinant() < 0) adjugate = -adjugate;
  const Eigen::Matrix<double, 3, 2> tangents = moved * adjugate;
  const auto unit = [](const Eigen::Vector3d& v) {
    const double length = v.norm();
    return length > 0 ? Eigen::Vector3d(v / length) : Eigen::Vector3d(Eigen::Vector3d::Zero());
  };
  return {unit(tangents.col(0)), unit(tangents.col(1))};
}

std::optional<FittedLight> FitSceneLight(const PreparedScene& prepared) {
  std::vector<ShadedNormal> samples;
  for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
    const double own = prepared.surfaces[i].substrate_luminance;
    for (const PreparedChart& chart : prepared.surfaces[i].charts) {
      const RectPx& region = chart.picture.region;
      if (!(own > 0)) continue;
      for (int64_t y = 0; y < region.height(); y += kNormalEveryPx) {
        const auto normals = chart.chart->Normals(
            prepared.analysed, {region.x0, region.y0 + y, region.x1, region.y0 + y + 1});
        if (!normals) continue;
        for (int64_t x = 0; x < region.width(); x += kNormalEveryPx) {
          if (chart.picture.seen.row(0, y)[x] < Coverage::kWhole) continue;
          samples.push_back(
              {{normals->row(0, 0)[x], normals->row(1, 0)[x], normals->row(2, 0)[x]},
               double{LuminanceAt(prepared.base.light.view(), region.x0 + x, region.y0 + y)} /
                   own});
        }
      }
    }
  }
  return FitLight(samples);
}

FaceLight LightOnFace(const PreparedChart& chart, const Frame& frame, const Camera& camera,
                      const std::optional<Eigen::Vector3d>& given,
                      const std::optional<FittedLight>& fitted) {
  const ChartPicture& picture = chart.picture;
  const RectPx& region = picture.region;
  const RegionAt middle = MiddleOf(picture);
  const Eigen::Vector3d ray = RayOf(frame, camera, CentreOf(region, middle.x, middle.y));
  FaceLight light;
  if (auto normals = chart.chart->Normals(frame, region)) {
    light.normals = std::move(*normals);
  } else {
    light.stands_known = false;
    light.normals = Image<NormalPlanes>({region.width(), region.height()});
    const Eigen::Vector3d facing = -ray.normalized();
    for (int64_t y = 0; y < region.height(); ++y) {
      for (int64_t x = 0; x < region.width(); ++x) SetNormal(facing, light.normals, x, y);
    }
  }
  const Eigen::Vector3d normal = NormalAt(light.normals, middle.x, middle.y);
  Surroundings& around = light.surroundings;
  if (given && normal.dot(*given) > kLeastLit) {
    light.source = LightSource::kGiven;
    around.to_light = *given;
  } else if (fitted) {
    light.source = LightSource::kFitted;
    around.ambient = fitted->ambient;
    around.lamp = fitted->towards.norm();
    around.to_light = fitted->towards.normalized();
  } else {
    const FaceTangents axes = TangentsOf(normal, ray, ChangeAt(picture, middle.x, middle.y));
    around.to_light = (kDefaultLightFrom.x() * axes.a + kDefaultLightFrom.y() * axes.b +
                       kDefaultLightFrom.z() * normal)
                          .normalized();
  }
  if (light.source != LightSource::kFitted) {
    around.ambient = 1 - kDirectShare;
    around.lamp = kDirectShare / std::max(kLeastLit, normal.dot(around.to_light));
  }
  if (light.source == LightSource::kUsual) around.lamp_size = kGuessedLampSize;
  light.middle = ray;
  if (chart.heights) BendNormals(picture, *chart.heights, frame, camera, light.normals);
  return light;
}

}  // namespace wheatpaste

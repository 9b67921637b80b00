// face_light.h - how a face stands and what light it stands in: what finishes are shaded by.
//
// Light   its direction is the first of these that there is:
//           given   the surface's relief.light_from, where it shines on the face;
//           fitted  to faces of known normals that differ (light/light_direction.h);
//           usual   kDefaultLightFrom of composite/contact.h, from the face's upper left.
//         Where it is not fitted, the lamp's share of the light in the face's middle is kDirectShare.
// Normals of the face at each of its pixels, bent by its relief. Where the marks fix no shape in space it counts as
//         facing the camera.
// Source  derived here: a step e along the picture moves the seen point by e - q (n . e) / (n . q), up to its depth, with q = (x,
//         y, 1) the ray (surface/face_view.h); tests/composite/face_light_test.cc.
#pragma once

#include <optional>

#include <Eigen/Core>

#include "image/image.h"
#include "ink/foil.h"
#include "ink/surroundings.h"
#include "light/light_direction.h"
#include "scene/scene.h"
#include "surface/camera.h"
#include "surface/chart.h"
#include "surface/frame.h"

namespace wheatpaste {

struct PreparedScene;
struct PreparedChart;

enum class LightSource { kGiven, kFitted, kUsual };

struct FaceLight {
  Image<NormalPlanes> normals;  // of the chart's region
  bool stands_known = true;     // the normals are
  Surroundings surroundings;
  LightSource source = LightSource::kUsual;
  Eigen::Vector3d middle{0, 0, 1};  // RayOf the middle of what is seen

  MirrorView ViewOf(const Eigen::Vector3d& normal, const Eigen::Vector3d& ray) const {
    return {normal, -ray.normalized(), (ray - middle) / kRoomSize};
  }
};

// Towards an output px, z = 1; the lens's distortion is left out.
Eigen::Vector3d RayOf(const Frame& frame, const Camera& camera, const OutputPx& px);

// Unit vectors of two directions along a face, camera axes: those of flat axes a and b.
// change  of (a, b) along one output px to the right (first column) and down.
struct FaceTangents {
  Eigen::Vector3d a, b;
};
FaceTangents TangentsOf(const Eigen::Vector3d& normal, const Eigen::Vector3d& ray,
                        const Eigen::Matrix2d& change);

// The light as the scene's faces show it, where their normals are known and differ.
std::optional<FittedLight> FitSceneLight(const PreparedScene& prepared);

FaceLight LightOnFace(const PreparedChart& chart, const Frame& frame, const Camera& camera,
                      const std::optional<Eigen::Vector3d>& given,
                      const std::optional<FittedLight>& fitted);

}  // namespace wheatpaste

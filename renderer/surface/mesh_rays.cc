#include "surface/mesh_rays.h"

#include <limits>

#include <Eigen/LU>
#include <embree3/rtcore.h>

#include "base/check.h"
#include "surface/one_thread_build.h"

namespace wheatpaste {
namespace {

// Far less than a pixel, some steps of single precision.
constexpr float kBeside = 2e-6f;

}  // namespace

struct MeshRays::Scene {
  RTCDevice device = nullptr;
  RTCScene scene = nullptr;
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();  // subtracted before single precision
  int32_t Ask(const Eigen::Vector3f& from, const Eigen::Vector3f& along) const;
  ~Scene() {
    if (scene) rtcReleaseScene(scene);
    if (device) rtcReleaseDevice(device);
  }
};

MeshRays::MeshRays(const Mesh& mesh) : mesh_(mesh), scene_(std::make_unique<Scene>()) {
  // One thread builds: the tree, and with it the choice between equal hits, is the same on every machine.
  const OneThreadBuild alone;
  scene_->device = rtcNewDevice(kOneThreadDevice);
  WHEATPASTE_CHECK(scene_->device != nullptr);
  scene_->scene = rtcNewScene(scene_->device);
  rtcSetSceneFlags(scene_->scene, RTC_SCENE_FLAG_ROBUST);
  rtcSetSceneBuildQuality(scene_->scene, RTC_BUILD_QUALITY_HIGH);
  Eigen::Vector3d low = mesh.vertices.front(), high = low;
  for (const Eigen::Vector3d& v : mesh.vertices) {
    low = low.cwiseMin(v);
    high = high.cwiseMax(v);
  }
  scene_->middle = (low + high) / 2;

  RTCGeometry geometry = rtcNewGeometry(scene_->device, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* vertices = static_cast<float*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0,
                                                               RTC_FORMAT_FLOAT3, 3 * sizeof(float),
                                                               mesh.vertices.size()));
  auto* indices = static_cast<uint32_t*>(
      rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                              3 * sizeof(uint32_t), mesh.triangles.size()));
  WHEATPASTE_CHECK(vertices != nullptr && indices != nullptr);
  for (const Eigen::Vector3d& v : mesh.vertices) {
    const Eigen::Vector3f from_middle = (v - scene_->middle).cast<float>();
    for (int i = 0; i < 3; ++i) *vertices++ = from_middle[i];
  }
  for (const auto& triangle : mesh.triangles) {
    for (const int32_t i : triangle) *indices++ = static_cast<uint32_t>(i);
  }
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(scene_->scene, geometry);
  rtcReleaseGeometry(geometry);
  rtcCommitScene(scene_->scene);
  WHEATPASTE_CHECK_OP(static_cast<int>(rtcGetDeviceError(scene_->device)), ==,
                      static_cast<int>(RTC_ERROR_NONE));
}

MeshRays::~MeshRays() = default;

int32_t MeshRays::Scene::Ask(const Eigen::Vector3f& from, const Eigen::Vector3f& along) const {
  alignas(16) RTCRayHit ray{};
  ray.ray.org_x = from.x();
  ray.ray.org_y = from.y();
  ray.ray.org_z = from.z();
  ray.ray.dir_x = along.x();
  ray.ray.dir_y = along.y();
  ray.ray.dir_z = along.z();
  ray.ray.tnear = 0;
  ray.ray.tfar = std::numeric_limits<float>::infinity();
  ray.ray.mask = ~0u;
  ray.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  rtcIntersect1(scene, &context, &ray);
  return ray.hit.geomID == RTC_INVALID_GEOMETRY_ID ? -1 : static_cast<int32_t>(ray.hit.primID);
}

int32_t MeshRays::FirstTriangle(const Eigen::Vector3d& origin,
                                const Eigen::Vector3d& direction) const {
  const Eigen::Vector3f from = (origin - scene_->middle).cast<float>();
  const Eigen::Vector3f along = direction.cast<float>();
  const int32_t triangle = scene_->Ask(from, along);
  if (triangle >= 0) return triangle;
  // A ray through a corner itself can slip between the triangles around it: one beside it does not.
  const float length = along.norm();
  return scene_->Ask(from, along + kBeside * length * Eigen::Vector3f(0.6f, -0.5f, 0.62f));
}

MeshHit MeshRays::FirstHit(const Eigen::Vector3d& origin, const Eigen::Vector3d& direction) const {
  MeshHit hit;
  hit.triangle = FirstTriangle(origin, direction);
  if (hit.triangle < 0) return hit;
  const auto& at = mesh_.triangles[static_cast<size_t>(hit.triangle)];
  const auto& flat = mesh_.uv_triangles[static_cast<size_t>(hit.triangle)];
  // The direction is a sum of the ways to the corners; its shares over their sum are where it stands.
  Eigen::Matrix3d corners;
  for (int i = 0; i < 3; ++i) corners.col(i) = mesh_.vertices[static_cast<size_t>(at[i])] - origin;
  const Eigen::Vector3d shares = corners.inverse() * direction;
  hit.distance = 1 / shares.sum();
  for (int i = 0; i < 3; ++i) {
    hit.uv += shares[i] * hit.distance * mesh_.uvs[static_cast<size_t>(flat[i])];
  }
  return hit;
}

}  // namespace wheatpaste

#include "stage/trace_rays.h"

#include <algorithm>
#include <limits>

#include <embree3/rtcore.h>

#include "base/check.h"
#include "surface/one_thread_build.h"

namespace wheatpaste {
namespace {

constexpr int kGroup = 8;

void Fill(const TraceRay& ray, int lane, RTCRay8& group) {
  group.org_x[lane] = ray.origin.x();
  group.org_y[lane] = ray.origin.y();
  group.org_z[lane] = ray.origin.z();
  group.dir_x[lane] = ray.direction.x();
  group.dir_y[lane] = ray.direction.y();
  group.dir_z[lane] = ray.direction.z();
  group.tnear[lane] = 0;
  group.tfar[lane] = ray.far;
  group.time[lane] = 0;
  group.mask[lane] = ~0u;
  group.id[lane] = 0;
  group.flags[lane] = 0;
}

// -1 in those lanes that hold a ray.
struct alignas(32) Lanes {
  explicit Lanes(int count) {
    for (int i = 0; i < kGroup; ++i) on[i] = i < count ? -1 : 0;
  }
  int on[kGroup];
};

}  // namespace

struct TraceRays::Scene {
  RTCDevice device = nullptr;
  RTCScene scene = nullptr;
  ~Scene() {
    if (scene) rtcReleaseScene(scene);
    if (device) rtcReleaseDevice(device);
  }
};

TraceRays::TraceRays(const World& world) : scene_(std::make_unique<Scene>()) {
  if (!world.vertices.empty()) {
    Eigen::Vector3d low = world.vertices.front(), high = low;
    for (const Eigen::Vector3d& v : world.vertices) {
      low = low.cwiseMin(v);
      high = high.cwiseMax(v);
    }
    middle_ = (low + high) / 2;
  }
  vertices_.reserve(world.vertices.size() + 1);
  for (const Eigen::Vector3d& v : world.vertices) vertices_.push_back((v - middle_).cast<float>());

  const OneThreadBuild alone;
  scene_->device = rtcNewDevice(kOneThreadDevice);
  WHEATPASTE_CHECK(scene_->device != nullptr);
  scene_->scene = rtcNewScene(scene_->device);
  rtcSetSceneFlags(scene_->scene, RTC_SCENE_FLAG_ROBUST);
  rtcSetSceneBuildQuality(scene_->scene, RTC_BUILD_QUALITY_HIGH);
  if (!world.triangles.empty()) {
    RTCGeometry geometry = rtcNewGeometry(scene_->device, RTC_GEOMETRY_TYPE_TRIANGLE);
    auto* corners = static_cast<float*>(
        rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3,
                                3 * sizeof(float), vertices_.size()));
    auto* indices = static_cast<uint32_t*>(
        rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                                3 * sizeof(uint32_t), world.triangles.size()));
    WHEATPASTE_CHECK(corners != nullptr && indices != nullptr);
    for (const Eigen::Vector3f& v : vertices_) {
      for (int i = 0; i < 3; ++i) *corners++ = v[i];
    }
    for (const WorldTriangle& triangle : world.triangles) {
      for (const int32_t i : triangle.vertices) {
        WHEATPASTE_CHECK(i >= 0 && static_cast<size_t>(i) < vertices_.size());
        *indices++ = static_cast<uint32_t>(i);
      }
    }
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_->scene, geometry);
    rtcReleaseGeometry(geometry);
  }
  rtcCommitScene(scene_->scene);
  WHEATPASTE_CHECK_OP(static_cast<int>(rtcGetDeviceError(scene_->device)), ==,
                      static_cast<int>(RTC_ERROR_NONE));
}

TraceRays::~TraceRays() = default;

void TraceRays::Meet(const TraceRay* rays, int count, bool alike, TraceHit* hits) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  context.flags =
      alike ? RTC_INTERSECT_CONTEXT_FLAG_COHERENT : RTC_INTERSECT_CONTEXT_FLAG_INCOHERENT;
  for (int first = 0; first < count; first += kGroup) {
    const int lanes = std::min(kGroup, count - first);
    const Lanes valid(lanes);
    RTCRayHit8 group;
    for (int i = 0; i < kGroup; ++i) {
      Fill(rays[first + std::min(i, lanes - 1)], i, group.ray);
      group.hit.geomID[i] = RTC_INVALID_GEOMETRY_ID;
      group.hit.instID[0][i] = RTC_INVALID_GEOMETRY_ID;
    }
    rtcIntersect8(valid.on, scene_->scene, &context, &group);
    for (int i = 0; i < lanes; ++i) {
      hits[first + i] = group.hit.geomID[i] == RTC_INVALID_GEOMETRY_ID
                            ? TraceHit{-1, 0, 0, std::numeric_limits<float>::infinity()}
                            : TraceHit{static_cast<int32_t>(group.hit.primID[i]), group.hit.u[i],
                                       group.hit.v[i], group.ray.tfar[i]};
    }
  }
}

void TraceRays::Block(const TraceRay* rays, int count, bool* blocked) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  for (int first = 0; first < count; first += kGroup) {
    const int lanes = std::min(kGroup, count - first);
    const Lanes valid(lanes);
    RTCRay8 group;
    for (int i = 0; i < kGroup; ++i) Fill(rays[first + std::min(i, lanes - 1)], i, group);
    rtcOccluded8(valid.on, scene_->scene, &context, &group);
    // Embree marks what is hidden by an end before its beginning.
    for (int i = 0; i < lanes; ++i) blocked[first + i] = group.tfar[i] < 0;
  }
}

}  // namespace wheatpaste

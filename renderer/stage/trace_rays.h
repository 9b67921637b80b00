// trace_rays.h - the first triangle of a world that rays meet, and whether anything stands in their way.
//
// Model   Embree 3, one scene, robust mode, best tree; built by one thread, so the same on every machine. Rays go in groups of up to
//         eight; what a ray meets may hang on its group by the last bit, so groups are made of the same rays always.
// Units   mm from `middle()` of the world, single precision.
// Threads built once, then safe to ask from several at once.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include <Eigen/Core>

#include "base/large_pages.h"
#include "stage/world.h"

namespace wheatpaste {

struct TraceRay {
  Eigen::Vector3f origin, direction;  // unit
  float far = 0;                      // mm; infinity where nothing ends it
};

struct TraceHit {
  int32_t triangle = -1;  // of World::triangles; -1: nothing
  float u = 0, v = 0;     // shares of its second and third corner
  float distance = 0;     // mm; infinity where nothing is met
};

class TraceRays {
 public:
  explicit TraceRays(const World& world);
  ~TraceRays();
  TraceRays(const TraceRays&) = delete;
  TraceRays& operator=(const TraceRays&) = delete;

  const Eigen::Vector3d& middle() const { return middle_; }
  const Eigen::Vector3f& vertex(int32_t i) const { return vertices_[static_cast<size_t>(i)]; }

  // Asks memory for the corners.
  [[gnu::always_inline]] void Fetch(const WorldTriangle& triangle) const {
    for (const int32_t i : triangle.vertices) AskFor(&vertex(i));
  }

  // alike  rays of nearly one origin and direction.
  void Meet(const TraceRay* rays, int count, bool alike, TraceHit* hits) const;
  // blocked[i]  something lies between ray i's origin and its end.
  void Block(const TraceRay* rays, int count, bool* blocked) const;

 private:
  struct Scene;
  Eigen::Vector3d middle_ = Eigen::Vector3d::Zero();
  std::vector<Eigen::Vector3f, LargePages<Eigen::Vector3f>> vertices_;
  std::unique_ptr<Scene> scene_;
};

}  // namespace wheatpaste

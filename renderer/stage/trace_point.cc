#include "stage/trace_point.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

// Least height of the ray's mirror image over the triangle, as a share of the ray's own where that is lower.
constexpr float kLeastHeight = 0.05f, kHeightShare = 0.9f;

Eigen::Vector3f Bend(const Eigen::Vector3f& normal, const Eigen::Vector3f& flat,
                     const Eigen::Vector3f& out) {
  const Eigen::Vector3f mirrored = 2 * normal.dot(out) * normal - out;
  const float least = std::min(kLeastHeight, kHeightShare * flat.dot(out));
  const float height = mirrored.dot(flat);
  if (height >= least) return normal;
  return (out + (mirrored + (least - height) * flat).normalized()).normalized();
}

}  // namespace

TracePoint FindPoint(const World& world, const TraceRays& rays, const MaterialLook& look,
                     const TraceHit& hit, const Eigen::Vector3f& direction, bool soft,
                     bool printed) {
  const WorldTriangle& triangle = world.triangles[static_cast<size_t>(hit.triangle)];
  const Eigen::Vector3f shares(1 - hit.u - hit.v, hit.u, hit.v);
  const Eigen::Vector3f* corners[3];
  for (int i = 0; i < 3; ++i) {
    corners[i] = &rays.vertex(triangle.vertices[static_cast<size_t>(i)]);
  }
  const Eigen::Vector3f edge1 = *corners[1] - *corners[0], edge2 = *corners[2] - *corners[0];
  Eigen::Vector3f flat = edge1.cross(edge2).normalized();
  const bool front = flat.dot(direction) < 0;

  TracePoint point;
  point.at = shares[0] * *corners[0] + shares[1] * *corners[1] + shares[2] * *corners[2];
  Eigen::Vector3f normal = (shares[0] * triangle.normals[0] + shares[1] * triangle.normals[1] +
                            shares[2] * triangle.normals[2])
                               .normalized();
  if (!(normal.dot(flat) > 0)) normal = flat;
  if (!soft && look.bumpy(triangle)) normal = look.Bump(triangle, shares, edge1, edge2, normal);
  const float side = front ? 1.0f : -1.0f;
  flat *= side;
  point.normal = Bend(side * normal, flat, -direction);

  Eigen::Vector3f lifted = point.at;
  float size = 0;
  for (int i = 0; i < 3; ++i) {
    size += shares[i] * corners[i]->lpNorm<1>();
    // How far the point lies under the plane that touches the smooth surface at the corner.
    const Eigen::Vector3f& corner_normal = triangle.normals[static_cast<size_t>(i)];
    const float height = side * corner_normal.dot(point.at - *corners[i]);
    if (height < 0) lifted -= (shares[i] * height * side) * corner_normal;
  }
  const Eigen::Vector3f margin = kMargin * size * flat;
  point.above = lifted + margin;
  point.below = point.at - margin;
  point.material = look.At(triangle, shares, front, soft, printed);
  return point;
}

}  // namespace wheatpaste

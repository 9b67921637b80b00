#include "brand/flat_face.h"

#include <algorithm>

#include "dieline/dieline.h"

namespace wheatpaste {
namespace {

constexpr double kSameMm = 1e-3;
// Pieces of an arc are shorter than this share of a wrap's straight sides.
constexpr double kArcPiece = 0.2;

std::vector<Eigen::Vector2d> OutlineOf(const PrintArea& area,
                                       const Map<SurfaceMm, SurfaceMm>& area_from_face) {
  std::vector<SurfaceMm> corners = area.outline;
  if (corners.empty()) {
    corners = {area.low, {area.high.x, area.low.y}, area.high, SurfaceMm{area.low.x, area.high.y}};
  }
  std::vector<Eigen::Vector2d> outline;
  for (const SurfaceMm& corner : corners) outline.push_back(area_from_face(corner).vector());
  return outline;
}

EdgeKind KindOf(Shape shape, const PrintArea& area, const Eigen::Vector2d& along, size_t index) {
  if (shape == Shape::kBox) return EdgeKind::kCrease;
  // The rectangle's right and left side; between a cone's arcs the two straight sides.
  const bool round = shape == Shape::kCylinder || shape == Shape::kCone;
  const bool side =
      area.outline.empty() ? index % 2 == 1 : along.norm() > kArcPiece * SizeOf(area).y;
  return round && side ? EdgeKind::kSeam : EdgeKind::kTrim;
}

}  // namespace

bool FlatFace::Holds(const Eigen::Vector2d& point) const {
  return std::any_of(outlines.begin(), outlines.end(),
                     [&](const auto& outline) { return IsInside(outline, point); });
}

double DistanceTo(const FaceEdge& edge, const Eigen::Vector2d& point) {
  const Eigen::Vector2d along = edge.to - edge.from;
  const double t = std::clamp((point - edge.from).dot(along) / along.squaredNorm(), 0.0, 1.0);
  return (point - edge.from - t * along).norm();
}

FlatFace LayFlat(const SolvedScene& solved, const Placement& placement) {
  const FittedSurface& fitted = solved.surfaces[placement.surface];
  const Shape shape = solved.scene.surfaces[placement.surface].shape;
  const PlacedArea placed = AreaOf(fitted, placement);
  FlatFace flat;
  for (size_t i = 0; i < placed.faces.size(); ++i) {
    const PrintArea& area = fitted.faces[placed.faces[i]].area;
    flat.outlines.push_back(OutlineOf(area, placed.area_from_face[i]));
    if (shape == Shape::kMesh) continue;
    const auto& outline = flat.outlines.back();
    // Above 0 for outlines that run clockwise as seen (y down).
    const double turn = SignedArea(outline) > 0 ? 1 : -1;
    for (size_t k = 0; k < outline.size(); ++k) {
      const Eigen::Vector2d &from = outline[k], &to = outline[(k + 1) % outline.size()];
      const Eigen::Vector2d along = to - from;
      if (along.norm() < kSameMm) continue;
      const auto twin = std::find_if(flat.edges.begin(), flat.edges.end(), [&](const FaceEdge& e) {
        return (e.from - to).norm() < kSameMm && (e.to - from).norm() < kSameMm;
      });
      if (twin != flat.edges.end()) {
        twin->shared = true;
        continue;
      }
      const Eigen::Vector2d outward = turn * Eigen::Vector2d(along.y(), -along.x()).normalized();
      flat.edges.push_back({from, to, outward, KindOf(shape, area, along, k)});
    }
  }
  return flat;
}

}  // namespace wheatpaste

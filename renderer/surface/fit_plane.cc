#include "surface/fit_plane.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "geometry/homography.h"
#include "geometry/plane_pose.h"

namespace wheatpaste {
namespace {

constexpr const char* kCornerNames[4] = {"top left", "top right", "bottom right", "bottom left"};

std::string PrintPoint(const PhotoPx& p) { return fmt::format("[{:.6g}, {:.6g}]", p.x, p.y); }

Error CornerError(const Surface& surface, const std::string& message) {
  std::string value;
  for (const PhotoPx& corner : surface.corners) {
    value += (value.empty() ? "" : ", ") + PrintPoint(corner);
  }
  return {surface.corners_place, "surface.corners = [" + value + "]", message};
}

std::optional<Error> CheckCorners(const Surface& surface, const Quad& quad) {
  switch (FindQuadFault(quad)) {
    case QuadFault::kNone:
      return std::nullopt;
    case QuadFault::kCoincident:
      return CornerError(surface, "expected four corners that lie apart; two of them coincide");
    case QuadFault::kFlat:
      return CornerError(surface,
                         "expected four corners of a rectangle; three of them lie on one line");
    case QuadFault::kCrossed:
      return CornerError(surface,
                         "expected corners in order around the surface; two sides cross each "
                         "other; start at its top left and go clockwise");
    case QuadFault::kDented:
      return CornerError(surface,
                         "expected four corners of a rectangle; one of them points inwards, "
                         "which no camera sees");
    case QuadFault::kMirrored:
      return CornerError(surface,
                         "expected corners clockwise from the surface's own top left; these run "
                         "counter-clockwise, the artwork would be mirrored");
  }
  return std::nullopt;
}

// The corners of the surface in its own mm, in the order of Quad.
std::array<SurfaceMm, 4> RectangleOf(const SurfaceMm& size) {
  return {{{0, 0}, {size.x, 0}, {size.x, size.y}, {0, size.y}}};
}

Quad CornersOf(const Surface& surface) {
  return {surface.corners[0], surface.corners[1], surface.corners[2], surface.corners[3]};
}

std::vector<PointPair> PairsOf(const Surface& surface, const SurfaceMm& size) {
  std::vector<PointPair> pairs;
  for (size_t i = 0; i < surface.corners.size(); ++i) {
    pairs.push_back({RectangleOf(size)[i].vector(), surface.corners[i].vector()});
  }
  for (const Mark& mark : surface.marks) {
    pairs.push_back({mark.surface.vector(), mark.photo.vector()});
  }
  return pairs;
}

bool TouchesPhoto(const Quad& outline, SizePx photo) {
  double x0 = outline[0].x, x1 = x0, y0 = outline[0].y, y1 = y0;
  for (const PhotoPx& p : outline) {
    x0 = std::min(x0, p.x);
    x1 = std::max(x1, p.x);
    y0 = std::min(y0, p.y);
    y1 = std::max(y1, p.y);
  }
  return x1 > 0 && y1 > 0 && x0 < static_cast<double>(photo.width) &&
         y0 < static_cast<double>(photo.height);
}

// Holds the marks against a rectangle of the stated size before the camera.
void CheckAgainstCamera(const std::vector<PointPair>& pairs, const Surface& surface,
                        const Camera& camera, FittedPlane& plane) {
  if (camera.source == FocalSource::kDefault) return;
  const auto pose =
      FitPlanePose(pairs, plane.photo_from_surface.matrix(), camera.focal_px, camera.principal);
  if (!pose) return;
  plane.residual_px = pose->residual_px;
  if (pose->residual_px <= kPoorFitPx) return;
  const std::string where = pose->largest_index < surface.corners.size()
                                ? fmt::format("its {} corner", kCornerNames[pose->largest_index])
                                : "one of its marks";
  plane.warnings.push_back(fmt::format(
      "the marks do not fit a {:g} x {:g} mm rectangle seen with a focal length of {:.0f} px: off "
      "by "
      "{:.1f} px at {}, {:.1f} px root mean square",
      plane.size.x, plane.size.y, camera.focal_px, pose->largest_px, where, pose->residual_px));
}

// The map through the marks of a rectangle of this size, and what is impossible about it.
std::optional<Error> MapPlane(const Surface& surface, const SurfaceMm& size, FittedPlane& plane) {
  const auto fit = FitHomography(PairsOf(surface, size));
  if (!fit) {
    return Error{surface.marks.empty() ? surface.corners_place : surface.marks_place,
                 surface.marks.empty() ? "surface.corners" : "surface.marks",
                 "expected points that fix a plane before the camera; these lie on a line, "
                 "coincide, or contradict each other"};
  }
  plane.size = size;
  plane.photo_from_surface = Map<PhotoPx, SurfaceMm>(fit->target_from_source);
  plane.residual_px = fit->residual;
  for (size_t i = 0; i < 4; ++i) {
    const SurfaceMm corner = RectangleOf(size)[i];
    plane.outline[i] = plane.photo_from_surface(corner);
    if (plane.photo_from_surface.Depth(corner) <= 0) {
      return Error{surface.marks_place, "surface.marks",
                   fmt::format("the surface's {} corner would lie behind the camera; "
                               "expected marks spread over the surface",
                               kCornerNames[i])};
    }
  }
  if (const QuadFault fault = FindQuadFault(plane.outline);
      surface.corners.empty() && fault != QuadFault::kNone) {
    return Error{surface.marks_place, "surface.marks",
                 fault == QuadFault::kMirrored
                     ? "the marks show the surface mirrored; expected mm to the right and down"
                     : "the marks make no possible view of the surface"};
  }
  return std::nullopt;
}

// Where the size is not known any will do: four corners fit it.
SurfaceMm SizeOrSquare(const Surface& surface) {
  return surface.size.value_or(SurfaceMm{kUnsizedWidthMm, kUnsizedWidthMm});
}

}  // namespace

std::optional<Error> FindPlaneFault(const Surface& surface) {
  if (surface.corners.size() == 4) {
    if (auto error = CheckCorners(surface, CornersOf(surface))) return error;
  }
  FittedPlane plane;
  return MapPlane(surface, SizeOrSquare(surface), plane);
}

Quad PicturedOutline(const Surface& surface) {
  FittedPlane plane;
  WHEATPASTE_CHECK(!MapPlane(surface, SizeOrSquare(surface), plane));
  return plane.outline;
}

std::string UncertainAspect(const Estimate& aspect) {
  if (!(aspect.sd > kMostAspectUncertainty * aspect.value)) return "";
  return fmt::format(
      "the aspect ratio {:.3f} solved from the corners is uncertain by {:.0f} %; give the surface "
      "a size",
      aspect.value, 100 * aspect.sd / aspect.value);
}

Result<FittedPlane> FitPlane(const Surface& surface, SizePx photo_size, const Camera& camera) {
  if (auto error = FindPlaneFault(surface)) return *error;
  FittedPlane plane;
  plane.size_known = surface.size.has_value();
  SurfaceMm size;
  if (plane.size_known) {
    size = *surface.size;
    plane.aspect = {size.x / size.y, 0};
  } else {
    const auto aspect = AspectFromQuad(CornersOf(surface), camera.principal, camera.focal_px);
    if (!aspect) {
      return CornerError(surface, "the aspect ratio cannot be solved; give the surface a size");
    }
    plane.aspect = *aspect;
    size = {kUnsizedWidthMm, kUnsizedWidthMm / aspect->value};
  }
  if (auto error = MapPlane(surface, size, plane)) return *error;
  if (!TouchesPhoto(plane.outline, photo_size)) {
    return CornerError(surface, fmt::format("lies outside the photo, which is {} x {} px",
                                            photo_size.width, photo_size.height));
  }

  const double spread_px = plane.residual_px;
  if (plane.size_known) {
    CheckAgainstCamera(PairsOf(surface, size), surface, camera, plane);
  } else if (std::string warning = UncertainAspect(plane.aspect); !warning.empty()) {
    plane.warnings.push_back(std::move(warning));
  }
  if (spread_px > kPoorFitPx && plane.warnings.empty()) {
    plane.warnings.push_back(fmt::format(
        "the marks do not lie on one plane: off by {:.1f} px root mean square", spread_px));
  }
  return plane;
}

}  // namespace wheatpaste

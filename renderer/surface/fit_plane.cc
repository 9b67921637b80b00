#include "surface/fit_plane.h"

#include <algorithm>
#include <cmath>
#include <optional>

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
  if (!camera.is_known()) return;
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

}  // namespace

Result<FittedPlane> FitPlane(const Surface& surface, SizePx photo_size, const Camera& camera) {
  FittedPlane plane;
  plane.size_known = surface.size.has_value();
  if (surface.corners.size() == 4) {
    const Quad quad{surface.corners[0], surface.corners[1], surface.corners[2], surface.corners[3]};
    if (auto error = CheckCorners(surface, quad)) return *error;
    if (!plane.size_known) {
      const auto aspect = AspectFromQuad(quad, camera.principal, camera.focal_px);
      if (!aspect) {
        return CornerError(surface, "the aspect ratio cannot be solved; give the surface a size");
      }
      plane.aspect = *aspect;
      plane.size = {kUnsizedWidthMm, kUnsizedWidthMm / aspect->value};
    }
  }
  if (plane.size_known) {
    plane.size = *surface.size;
    plane.aspect = {plane.size.x / plane.size.y, 0};
  }

  std::vector<PointPair> pairs;
  for (size_t i = 0; i < surface.corners.size(); ++i) {
    pairs.push_back({RectangleOf(plane.size)[i].vector(), surface.corners[i].vector()});
  }
  for (const Mark& mark : surface.marks) {
    pairs.push_back({mark.surface.vector(), mark.photo.vector()});
  }
  const auto fit = FitHomography(pairs);
  if (!fit) {
    return Error{surface.marks.empty() ? surface.corners_place : surface.marks_place,
                 surface.marks.empty() ? "surface.corners" : "surface.marks",
                 "expected points that fix a plane before the camera; these lie on a line, "
                 "coincide, or contradict each other"};
  }
  plane.photo_from_surface = Map<PhotoPx, SurfaceMm>(fit->target_from_source);
  plane.residual_px = fit->residual;
  for (size_t i = 0; i < 4; ++i) {
    const SurfaceMm corner = RectangleOf(plane.size)[i];
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
  if (!TouchesPhoto(plane.outline, photo_size)) {
    return CornerError(surface, fmt::format("lies outside the photo, which is {} x {} px",
                                            photo_size.width, photo_size.height));
  }

  if (plane.size_known) {
    CheckAgainstCamera(pairs, surface, camera, plane);
  } else if (plane.aspect.sd > 0.05 * plane.aspect.value) {
    plane.warnings.push_back(
        fmt::format("the aspect ratio {:.3f} solved from the corners is uncertain by {:.0f} %; "
                    "give the surface "
                    "a size",
                    plane.aspect.value, 100 * plane.aspect.sd / plane.aspect.value));
  }
  if (fit->residual > kPoorFitPx && plane.warnings.empty()) {
    plane.warnings.push_back(fmt::format(
        "the marks do not lie on one plane: off by {:.1f} px root mean square", fit->residual));
  }
  return plane;
}

}  // namespace wheatpaste

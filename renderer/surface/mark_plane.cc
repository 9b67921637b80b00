// A plane among the marked shapes: pose, and the aspect ratio where the size is not known.

#include <cmath>
#include <utility>

#include "surface/fit_plane.h"
#include "surface/fit_shape.h"
#include "surface/plane_chart.h"
#include "surface/scaled_points.h"

namespace wheatpaste {
namespace {

class MarkedPlane : public MarkedShape {
 public:
  explicit MarkedPlane(const Surface& surface)
      : surface_(surface), outline_(PicturedOutline(surface)) {
    known_ = {kUnsizedWidthMm, std::nullopt, 1};
    SurfaceMm size{1, 1};
    if (surface.size) {
      size = *surface.size;
      known_ = {size.x, size.y, 1};
    }
    constexpr double kShares[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    for (size_t i = 0; i < surface.corners.size(); ++i) {
      points_.push_back({{kShares[i][0], kShares[i][1], 0}, surface.corners[i]});
    }
    for (const Mark& mark : surface.marks) {
      points_.push_back({{mark.surface.x / size.x, mark.surface.y / size.y, 0}, mark.photo});
    }
  }

  int extra_count() const override { return UnknownCount(known_); }

  bool tells_focal() const override {
    return static_cast<int>(2 * points_.size()) >= 1 + 6 + extra_count();
  }

  std::vector<double> FocalStarts(PhotoPx principal) const override {
    const auto focal = FocalFromQuad(outline_, principal);
    return focal ? std::vector<double>{focal->value} : std::vector<double>{};
  }

  std::vector<ShapeParameters> Starts(double focal_px, PhotoPx principal) const override {
    Lengths lengths{kUnsizedWidthMm, kUnsizedWidthMm, 1};
    if (surface_.size) {
      lengths = LengthsOf(known_, {});
    } else if (const auto aspect = AspectFromQuad(outline_, principal, focal_px)) {
      lengths[1] = kUnsizedWidthMm / aspect->value;
    }
    std::vector<ShapeParameters> starts;
    for (const Pose& pose :
         PosesFromPoints(ObjectPointsOf(points_, lengths), focal_px, principal)) {
      starts.push_back({pose.Numbers(), ExtraOf(known_, lengths)});
    }
    return starts;
  }

  std::unique_ptr<ceres::CostFunction> Residuals(PhotoPx principal) const override {
    return ScaledPointResiduals(points_, known_, principal);
  }

  Result<FittedSurface> Finish(const ShapeFit& fit, const Camera& camera,
                               SizePx photo) const override {
    const auto plane = FitPlane(surface_, photo, camera);
    if (!plane) return plane.errors();
    FittedSurface surface;
    surface.size = plane->size;
    surface.size_known = plane->size_known;
    surface.aspect = plane->aspect;
    surface.residual_px = plane->residual_px;
    surface.warnings = plane->warnings;
    for (const PhotoPx& corner : plane->outline) {
      surface.corners.push_back(camera.lens.PhotoFromIdeal(corner));
    }
    std::optional<Eigen::Vector3d> normal;
    if (fit.covariance.size() > 0) {
      surface.pose = Pose::FromNumbers(fit.parameters.pose);
      // x right, y down, so that z looks away; on the side of the camera whatever the fit's fancy.
      const Eigen::Vector3d away = surface.pose->rotation.col(2);
      normal = away.dot(surface.pose->translation) > 0 ? Eigen::Vector3d(-away) : away;
      surface.pose_sd = PoseUncertaintyOf(fit);
      // With what the focal length leaves open.
      if (extra_count() > 0) {
        surface.aspect.sd = surface.aspect.value * std::sqrt(fit.covariance(7, 7));
        if (std::string warning = UncertainAspect(surface.aspect);
            surface.warnings.empty() && !warning.empty()) {
          surface.warnings.push_back(std::move(warning));
        }
      }
    }
    surface.faces.push_back({"",
                             RectangleArea(plane->size),
                             {std::make_shared<PlaneChart>(plane->photo_from_surface, plane->size,
                                                           camera.lens, normal)}});
    return surface;
  }

 private:
  const Surface& surface_;
  Quad outline_;
  KnownLengths known_;
  std::vector<ScaledPoint> points_;
};

}  // namespace

Result<MarkedShapePtr> MarkPlane(const Surface& surface) {
  if (auto error = FindPlaneFault(surface)) return *error;
  return MarkedShapePtr(std::make_unique<MarkedPlane>(surface));
}

}  // namespace wheatpaste

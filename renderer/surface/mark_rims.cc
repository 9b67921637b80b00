#include "surface/mark_rims.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/Dense>
#include <ceres/jet.h>
#include <ceres/rotation.h>
#include <fmt/format.h>

#include "base/units.h"
#include "geometry/conic.h"
#include "surface/check_rims.h"
#include "surface/fit_plane.h"
#include "surface/fit_shape.h"
#include "surface/frustum_chart.h"
#include "surface/rim_residuals.h"
#include "surface/rim_starts.h"

namespace wheatpaste {
namespace {

// Rims as a shape whose `free` lengths are fitted along.
class RimsShape : public MarkedShape {
 public:
  RimsShape(const RimMarks& rims, FreeLengths free) : rims_(rims), free_(free) {}

  int extra_count() const override { return CountOf(free_); }
  bool tells_focal() const override { return true; }

  std::vector<double> FocalStarts(PhotoPx principal) const override {
    const auto top = ConicFromRim(rims_.top.points), bottom = ConicFromRim(rims_.bottom.points);
    std::vector<double> focals;
    if (!top || !bottom) return focals;  // seen on edge: nothing in closed form
    for (const FocalGuess& guess : FocalsFromParallelCircles(*top, *bottom, principal)) {
      focals.push_back(guess.focal_px);
    }
    return focals;
  }

  std::vector<ShapeParameters> Starts(double focal_px, PhotoPx principal) const override {
    std::vector<ShapeParameters> starts = RimStarts(rims_, focal_px, principal);
    for (ShapeParameters& start : starts) {
      if (free_ != FreeLengths::kNone) start.extra.push_back(std::log(rims_.height));
      if (free_ == FreeLengths::kHeightAndBottom) {
        start.extra.push_back(std::log(rims_.diameter_bottom));
      }
    }
    return starts;
  }

  std::unique_ptr<ceres::CostFunction> Residuals(PhotoPx principal) const override {
    return RimResiduals(rims_, principal, free_);
  }

  Result<FittedSurface> Finish(const ShapeFit&, const Camera&, SizePx) const override {
    CheckFailed(__FILE__, __LINE__, "only fitted, never printed on", "");
  }

 protected:
  const RimMarks& rims() const { return rims_; }

 private:
  const RimMarks& rims_;
  FreeLengths free_;
};

// The lengths that fit, or nothing where even free ones do not.
std::optional<RimMarks> LengthsThatFit(const RimMarks& rims, FreeLengths free, const Camera& camera,
                                       double most_rms_px) {
  constexpr int kSteps = 200;
  std::optional<RimMarks> best;
  // From several heights: where the stated one is far off, its tilt is too.
  for (const double share : {1.0, 0.5, 2.0}) {
    RimMarks tried = rims;
    tried.height *= share;
    const RimsShape shape(tried, free);
    const ShapeProblem problem(shape, camera.principal);
    const auto end =
        FitAlone(problem, camera.focal_px, shape.Starts(camera.focal_px, camera.principal), kSteps);
    if (!end) continue;
    const RimMarks fitted = WithLengths(rims, free, end->parameters.extra);
    const RimMisses misses =
        MissesOf(fitted, end->parameters.pose, camera.focal_px, camera.principal);
    if (!misses.possible || misses.rms_px > most_rms_px) continue;
    most_rms_px = misses.rms_px;
    best = fitted;
  }
  return best;
}

class MarkedRims : public RimsShape {
 public:
  explicit MarkedRims(const Surface& surface)
      : RimsShape(surface.rims, FreeLengths::kNone), shape_(surface.shape) {}

  Result<FittedSurface> Finish(const ShapeFit& fit, const Camera& camera,
                               SizePx photo) const override {
    if (!TouchesPhoto(camera.lens, photo)) {
      return RimError(rims().top, fmt::format("lies outside the photo, which is {} x {} px",
                                              photo.width, photo.height));
    }
    const RimMisses misses =
        MissesOf(rims(), fit.parameters.pose, camera.focal_px, camera.principal);
    const double most_px = std::max(2 * kPoorFitPx, kContradictionShare * PicturedSizePx(rims()));
    if (!misses.possible || misses.rms_px > most_px) return Contradiction(misses, camera, most_px);

    FittedSurface fitted;
    for (const PhotoPx& p : misses.extremes) {
      fitted.corners.push_back(camera.lens.PhotoFromIdeal(p));
    }
    const FrustumSize size = FrustumSizeOf(rims());
    const FlatPattern pattern = PatternOf(size, shape_);
    const Pose pose = FacingCamera(Pose::FromNumbers(fit.parameters.pose));
    Face face{"", AreaOf(size, pattern), {}};
    face.charts = FrustumCharts(
        {size, pose, pattern, RadFromDegrees(rims().turn_degrees).value, camera.lens});
    if (face.charts.empty()) {
      fitted.warnings.push_back(
          "the camera sees nothing of the outer surface: it looks into the wider rim");
    }
    fitted.size = {face.area.high.x - face.area.low.x, face.area.high.y - face.area.low.y};
    fitted.aspect = {fitted.size.x / fitted.size.y, 0};
    fitted.faces.push_back(std::move(face));
    fitted.pose = pose;
    if (fit.covariance.size() > 0) fitted.pose_sd = RimPoseUncertainty(fit);
    fitted.residual_px = misses.rms_px;
    if (misses.largest_px > kPoorFitPx) fitted.warnings.push_back(PoorFit(misses));
    return fitted;
  }

 private:
  std::string PoorFit(const RimMisses& misses) const {
    const std::string circle = fmt::format(
        "{:g} mm circle", misses.largest_on_top ? rims().diameter_top : rims().diameter_bottom);
    const bool vowel = circle[0] == '8' || circle.starts_with("11 ") || circle.starts_with("18 ") ||
                       circle.starts_with("11.") || circle.starts_with("18.");
    return fmt::format(
        "the marked {} rim does not fit {} {}: off by {:.1f} px at {}, {:.1f} px root mean square",
        misses.largest_on_top ? "top" : "bottom", vowel ? "an" : "a", circle, misses.largest_px,
        NameOfRimPoint(misses.largest_index), misses.rms_px);
  }

  // By the marks, as the photo has them.
  bool TouchesPhoto(const Lens& lens, SizePx photo) const {
    PhotoPx low = lens.PhotoFromIdeal(rims().top.points.front()), high = low;
    for (const MarkedRim* rim : {&rims().top, &rims().bottom}) {
      for (const PhotoPx& ideal : rim->points) {
        const PhotoPx p = lens.PhotoFromIdeal(ideal);
        low = {std::min(low.x, p.x), std::min(low.y, p.y)};
        high = {std::max(high.x, p.x), std::max(high.y, p.y)};
      }
    }
    return high.x > 0 && high.y > 0 && low.x < static_cast<double>(photo.width) &&
           low.y < static_cast<double>(photo.height);
  }

  // The marks make no picture of these dimensions: which would they make?
  Error Contradiction(const RimMisses& misses, const Camera& camera, double most_px) const {
    const std::string off =
        misses.possible
            ? fmt::format(
                  "contradicts the marked rims, which miss it by {:.1f} px root mean square",
                  misses.rms_px)
            : "fits no picture of the marked rims";
    const double good_px = most_px / 3;
    if (const auto would = LengthsThatFit(rims(), FreeLengths::kHeight, camera, good_px)) {
      return {rims().height_place, fmt::format("surface.height = {:g}", rims().height),
              fmt::format("{}; the rims show a height of about {:.0f} mm", off, would->height)};
    }
    if (shape_ == Shape::kCone) {
      if (const auto would =
              LengthsThatFit(rims(), FreeLengths::kHeightAndBottom, camera, good_px)) {
        return {
            rims().diameter_place,
            fmt::format("{} = {:g}", rims().diameter_key, rims().diameter_top),
            fmt::format("{}; beside it the rims show a diameter_bottom of about {:.0f} mm and a "
                        "height of about {:.0f} mm",
                        off, would->diameter_bottom, would->height)};
      }
    }
    return {rims().diameter_place,
            fmt::format("{} = {:g}", rims().diameter_key, rims().diameter_top),
            fmt::format("{}; no height fits either; expected rims marked at their leftmost point, "
                        "the lowest of their near arc and their rightmost point{}",
                        off, camera.is_known() ? ", or another focal length" : "")};
  }

  Shape shape_;
};

}  // namespace

FrustumSize FrustumSizeOf(const RimMarks& rims) {
  return {rims.diameter_top, rims.diameter_bottom, rims.height};
}

Pose FacingCamera(const Pose& pose) {
  const Eigen::Vector3d axis = pose.rotation.col(1).normalized();
  Eigen::Vector3d away = pose.translation - axis * axis.dot(pose.translation);
  // A camera on the axis faces every azimuth alike: down the picture is towards it.
  if (!(away.norm() > 1e-9 * pose.translation.norm())) {
    away = -Eigen::Vector3d::UnitY() + axis * axis.y();
  }
  away.normalize();
  Pose facing = pose;
  facing.rotation << axis.cross(away), axis, away;
  return facing;
}

PoseUncertainty RimPoseUncertainty(const ShapeFit& fit) {
  // How the axis, the pose's y, moves with the rotation vector; it moves square to itself.
  using Jet = ceres::Jet<double, 3>;
  const auto& pose = fit.parameters.pose;
  const Jet turn[3] = {Jet(pose[0], 0), Jet(pose[1], 1), Jet(pose[2], 2)};
  const Jet down[3] = {Jet(0.0), Jet(1.0), Jet(0.0)};
  Jet axis[3];
  ceres::AngleAxisRotatePoint(turn, down, axis);
  Eigen::Matrix3d change, cross;
  for (int i = 0; i < 3; ++i) change.row(i) = axis[i].v.transpose();
  cross << 0, -axis[2].a, axis[1].a, axis[2].a, 0, -axis[0].a, -axis[1].a, axis[0].a, 0;
  const Eigen::Matrix3d tip = cross * change;
  PoseUncertainty sd = PoseUncertaintyOf(fit);
  sd.rotation_rad =
      (tip * fit.covariance.block<3, 3>(1, 1) * tip.transpose()).diagonal().cwiseMax(0).cwiseSqrt();
  return sd;
}

FlatPattern PatternOf(const FrustumSize& size, Shape shape) {
  if (shape != Shape::kCylinder) return FlatPattern(size);
  return FlatPattern(size, {-std::numbers::pi * size.diameter_top / 2, -size.height / 2});
}

Result<MarkedShapePtr> MarkRims(const Surface& surface) {
  Errors errors = CheckRims(surface.rims);
  if (!errors.empty()) return errors;
  return MarkedShapePtr(std::make_unique<MarkedRims>(surface));
}

}  // namespace wheatpaste

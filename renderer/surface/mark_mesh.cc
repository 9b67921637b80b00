// The mesh of marked_shape.h: an OBJ before the camera, tied to the photo by pins or by a given pose.

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Core>
#include <ceres/cost_function.h>
#include <fmt/format.h>

#include "base/units.h"
#include "geometry/decompose.h"
#include "geometry/read_obj.h"
#include "surface/fit_plane.h"
#include "surface/fit_shape.h"
#include "surface/marked_shape.h"
#include "surface/mesh_chart.h"
#include "surface/plane_chart.h"
#include "surface/point_residuals.h"

namespace wheatpaste {
namespace {

// Pins that miss by more than this share of their spread in the photo contradict the mesh.
constexpr double kContradictionShare = 0.08;
// Points whose spread in a direction is less than this share of their largest have none in it.
constexpr double kFlatShare = 1e-3;
// Above this a designer sees the artwork stretched, or the stated size wrong.
constexpr double kMostStretch = 0.10;

Eigen::Vector3d ObjectOf(const MeshMarks& marks, const MeshPin& pin) {
  return Eigen::Vector3d(pin.object.x(), -pin.object.y(), -pin.object.z()) * marks.mm_per_unit;
}

// Spreads of points along their own main directions, largest first.
template <int kDimensions>
Eigen::VectorXd SpreadsOf(Eigen::Matrix<double, kDimensions, Eigen::Dynamic> points) {
  points.colwise() -= points.rowwise().mean().eval();
  return DecomposeSingular(points.transpose()).values;
}

std::string PrintPin(const MeshPin& pin) {
  return fmt::format("surface.pins.{} = [{:g}, {:g}, {:g}, {:g}, {:g}]", PrintableText(pin.name),
                     pin.photo.x, pin.photo.y, pin.object.x(), pin.object.y(), pin.object.z());
}

std::optional<Error> FindPinMistake(const MeshMarks& marks) {
  if (marks.pins.size() < 4) {
    return Error{marks.pins_place, "surface.pins", "expected at least four pins"};
  }
  const auto count = static_cast<Eigen::Index>(marks.pins.size());
  Eigen::Matrix3Xd objects(3, count);
  Eigen::Matrix2Xd photos(2, count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const MeshPin& pin = marks.pins[static_cast<size_t>(i)];
    objects.col(i) = pin.object;
    photos.col(i) = pin.photo.vector();
    if (!objects.col(i).allFinite() || !photos.col(i).allFinite()) {
      return Error{pin.place, PrintPin(pin), "expected finite numbers"};
    }
    for (Eigen::Index k = 0; k < i; ++k) {
      const bool same_object = objects.col(i) == objects.col(k);
      if (!same_object && (photos.col(i) - photos.col(k)).norm() >= kLeastSidePx) continue;
      return Error{pin.place, PrintPin(pin),
                   fmt::format("coincides with the pin {} {}; expected pins that lie apart",
                               PrintableText(marks.pins[static_cast<size_t>(k)].name),
                               same_object ? "on the mesh" : "in the photo")};
    }
  }
  for (const bool in_photo : {false, true}) {
    const Eigen::VectorXd spreads = in_photo ? SpreadsOf<2>(photos) : SpreadsOf<3>(objects);
    if (spreads[1] > kFlatShare * spreads[0]) continue;
    return Error{marks.pins_place, "surface.pins",
                 fmt::format("the pins lie on one line {}; expected pins spread over the mesh",
                             in_photo ? "in the photo" : "on the mesh")};
  }
  return std::nullopt;
}

class MarkedMesh : public MarkedShape {
 public:
  MarkedMesh(const Surface& surface, std::shared_ptr<const Mesh> mesh)
      : surface_(surface), marks_(surface.mesh), mesh_(std::move(mesh)) {
    for (const MeshPin& pin : marks_.pins) points_.push_back({ObjectOf(marks_, pin), pin.photo});
  }

  bool is_fitted() const override { return !marks_.pose; }

  bool tells_focal() const override {
    if (marks_.pose) return false;
    if (points_.size() >= 5) return true;
    Eigen::Matrix3Xd objects(3, 4);
    for (int i = 0; i < 4; ++i) objects.col(i) = points_[static_cast<size_t>(i)].object;
    const Eigen::VectorXd spreads = SpreadsOf<3>(objects);
    return spreads[2] > kFlatShare * spreads[0];
  }

  std::vector<ShapeParameters> Starts(double focal_px, PhotoPx principal) const override {
    std::vector<ShapeParameters> starts;
    for (const Pose& pose : PosesFromPoints(points_, focal_px, principal)) {
      starts.push_back({pose.Numbers(), {}});
    }
    return starts;
  }

  std::unique_ptr<ceres::CostFunction> Residuals(PhotoPx principal) const override {
    return PointResiduals(points_, principal);
  }

  Result<FittedSurface> Finish(const ShapeFit& fit, const Camera& camera,
                               SizePx photo) const override;

 private:
  Place PosePlace() const { return marks_.pose ? marks_.file.place : marks_.pins_place; }
  Error PoseError(const std::string& message) const {
    return {PosePlace(), marks_.pose ? "surface.pose" : "surface.pins", message};
  }
  std::optional<Error> HoldPins(const Pose& pose, const Camera& camera,
                                FittedSurface& fitted) const;
  std::optional<Error> FindOutside(const Pose& pose, const Camera& camera, SizePx photo) const;
  void WarnOfPattern(FittedSurface& fitted) const;

  const Surface& surface_;
  const MeshMarks& marks_;
  std::shared_ptr<const Mesh> mesh_;
  std::vector<ObjectPoint> points_;
};

std::optional<Error> MarkedMesh::HoldPins(const Pose& pose, const Camera& camera,
                                          FittedSurface& fitted) const {
  const PointDistances off = DistancesOf(points_, pose, camera.focal_px, camera.principal);
  fitted.residual_px = off.rms_px;
  for (const ObjectPoint& point : points_) {
    const Eigen::Vector3d p = pose.CameraFromObject(point.object);
    fitted.corners.push_back(
        camera.lens.PhotoFromIdeal({camera.principal.x + camera.focal_px * p.x() / p.z(),
                                    camera.principal.y + camera.focal_px * p.y() / p.z()}));
  }
  Eigen::Vector2d low = points_[0].photo.vector(), high = low;
  for (const ObjectPoint& point : points_) {
    low = low.cwiseMin(point.photo.vector());
    high = high.cwiseMax(point.photo.vector());
  }
  const MeshPin& worst = marks_.pins[off.largest_index];
  if (!(off.rms_px <= std::max(4 * kPoorFitPx, kContradictionShare * (high - low).norm()))) {
    return Error{worst.place, PrintPin(worst),
                 fmt::format("contradicts the other pins: off by {:.0f} px, {:.0f} px root mean "
                             "square over all pins; expected the same points of mesh and photo",
                             off.largest_px, off.rms_px)};
  }
  if (off.rms_px > kPoorFitPx || off.largest_px > 2 * kPoorFitPx) {
    fitted.warnings.push_back(fmt::format(
        "the pins do not fit the mesh: off by {:.1f} px at {}, {:.1f} px root mean square",
        off.largest_px, PrintableText(worst.name), off.rms_px));
  }
  return std::nullopt;
}

std::optional<Error> MarkedMesh::FindOutside(const Pose& pose, const Camera& camera,
                                             SizePx photo) const {
  bool before = false;
  Eigen::Vector2d low(1e300, 1e300), high(-1e300, -1e300);
  for (const auto& triangle : mesh_->triangles) {
    for (const int32_t i : triangle) {
      const Eigen::Vector3d p = pose.CameraFromObject(mesh_->vertices[static_cast<size_t>(i)]);
      if (!(p.z() > 0)) continue;
      before = true;
      const Eigen::Vector2d at =
          camera.lens
              .PhotoFromIdeal({camera.principal.x + camera.focal_px * p.x() / p.z(),
                               camera.principal.y + camera.focal_px * p.y() / p.z()})
              .vector();
      low = low.cwiseMin(at);
      high = high.cwiseMax(at);
    }
  }
  if (!before) {
    return PoseError("the mesh lies behind the camera; expected it before it, z away above 0");
  }
  if (high.x() <= 0 || high.y() <= 0 || low.x() >= static_cast<double>(photo.width) ||
      low.y() >= static_cast<double>(photo.height)) {
    return PoseError(fmt::format("the mesh lies outside the photo, which is {} x {} px",
                                 photo.width, photo.height));
  }
  return std::nullopt;
}

void MarkedMesh::WarnOfPattern(FittedSurface& fitted) const {
  const SurfaceMm own = SizeOfSquare(*mesh_);
  const double stretch = StretchOf(*mesh_, fitted.size);
  if (stretch > kMostStretch) {
    fitted.warnings.push_back(fmt::format(
        "the flat pattern is stretched: its mm differ from those of the mesh by {:.0f} % root mean "
        "square; by the mesh itself the uv square measures {:.4g} x {:.4g} mm",
        100 * stretch, own.x, own.y));
  }
  if (const int32_t mirrored = CountMirrored(*mesh_); mirrored > 0) {
    fitted.warnings.push_back(fmt::format(
        "{} of the flat pattern's {} parts {} mirrored, and so is artwork on {}", mirrored,
        mesh_->island_count, mirrored == 1 ? "is" : "are", mirrored == 1 ? "it" : "them"));
  }
}

Result<FittedSurface> MarkedMesh::Finish(const ShapeFit& fit, const Camera& camera,
                                         SizePx photo) const {
  FittedSurface fitted;
  Pose pose;
  if (marks_.pose) {
    std::array<double, 6> numbers = *marks_.pose;
    for (size_t i = 0; i < 3; ++i) numbers[i] = RadFromDegrees(numbers[i]).value;
    pose = Pose::FromNumbers(numbers);
  } else {
    if (fit.covariance.size() == 0) {
      return PoseError(
          "no pose of the mesh shows these pins; expected points of the mesh where the "
          "photo shows them");
    }
    pose = Pose::FromNumbers(fit.parameters.pose);
    fitted.pose_sd = PoseUncertaintyOf(fit);
    if (auto error = HoldPins(pose, camera, fitted)) return *error;
  }
  if (auto error = FindOutside(pose, camera, photo)) return *error;
  fitted.pose = pose;
  fitted.size = surface_.size.value_or(SizeOfSquare(*mesh_));
  fitted.aspect = {fitted.size.x / fitted.size.y, 0};
  const auto tracer = std::make_shared<const MeshTracer>(mesh_, pose, camera.lens, fitted.size);
  if (!tracer->AnyFront()) {
    return PoseError(
        "the mesh is seen from behind; expected faces whose corners run "
        "counter-clockwise as seen from the camera");
  }
  fitted.warnings.insert(fitted.warnings.end(), mesh_->warnings.begin(), mesh_->warnings.end());
  WarnOfPattern(fitted);
  Face face{"", RectangleArea(fitted.size), {}};
  std::vector<uint8_t> seen(static_cast<size_t>(mesh_->island_count));
  for (size_t i = 0; i < mesh_->triangles.size(); ++i) {
    if (tracer->IsFront(static_cast<int32_t>(i))) seen[static_cast<size_t>(mesh_->islands[i])] = 1;
  }
  for (int32_t island = 0; island < mesh_->island_count; ++island) {
    if (!seen[static_cast<size_t>(island)]) continue;
    face.charts.push_back(std::make_shared<MeshChart>(tracer, island));
  }
  fitted.faces.push_back(std::move(face));
  return fitted;
}

}  // namespace

Result<MarkedShapePtr> MarkMesh(const Surface& surface) {
  if (!surface.mesh.pose) {
    if (auto error = FindPinMistake(surface.mesh)) return *error;
  }
  auto mesh = ReadObj(surface.mesh.file, surface.mesh.mm_per_unit);
  if (!mesh) return mesh.errors();
  return MarkedShapePtr(
      std::make_unique<MarkedMesh>(surface, std::make_shared<const Mesh>(std::move(*mesh))));
}

}  // namespace wheatpaste

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "surface/fit_plane.h"
#include "surface/fit_shape.h"
#include "surface/marked_box.h"
#include "surface/plane_chart.h"
#include "surface/point_residuals.h"

namespace wheatpaste {
namespace {

constexpr const char* kLengthNames[3] = {"width", "height", "depth"};
constexpr size_t kMostStarts = 4;
// Of an unknown length to the mean of the known ones.
constexpr double kTriedRatios[] = {0.3, 1, 3};

bool AnyKnown(const KnownLengths& known) {
  return std::any_of(known.begin(), known.end(), [](const auto& k) { return k.has_value(); });
}

// A face's ratio of width to height as pictured.
struct FaceRatio {
  size_t across_axis, down_axis;
  double ratio;
};

void Complete(KnownLengths lengths, const std::vector<FaceRatio>& ratios,
              std::vector<Lengths>& complete) {
  for (bool found = true; found;) {
    found = false;
    for (const FaceRatio& face : ratios) {
      auto &across = lengths[face.across_axis], &down = lengths[face.down_axis];
      if (across.has_value() == down.has_value()) continue;
      if (across) {
        down = *across / face.ratio;
      } else {
        across = *down * face.ratio;
      }
      found = true;
    }
  }
  const auto unknown = std::find(lengths.begin(), lengths.end(), std::nullopt);
  if (unknown == lengths.end()) {
    complete.push_back({*lengths[0], *lengths[1], *lengths[2]});
    return;
  }
  double log_sum = 0;
  int count = 0;
  for (const auto& length : lengths) {
    log_sum += length ? std::log(*length) : 0;
    count += length ? 1 : 0;
  }
  for (const double ratio : kTriedRatios) {
    *unknown = ratio * std::exp(log_sum / count);
    Complete(lengths, ratios, complete);
  }
}

// The face as a chart where the picture shows it from outside.
std::shared_ptr<const Chart> ChartOf(const BoxFace& face, const Pose& pose, const Camera& camera) {
  const Eigen::Vector3d across = pose.rotation * face.across, down = pose.rotation * face.down;
  const Eigen::Vector3d origin = pose.CameraFromObject(face.origin);
  if (!(across.cross(down).dot(origin) > 0)) return nullptr;
  Eigen::Matrix3d ideal_from_camera;
  ideal_from_camera << camera.focal_px, 0, camera.principal.x, 0, camera.focal_px,
      camera.principal.y, 0, 0, 1;
  Eigen::Matrix3d camera_from_surface;
  camera_from_surface << across, down, origin;
  const Map<PhotoPx, SurfaceMm> ideal_from_surface(ideal_from_camera * camera_from_surface);
  const Quad quad{ideal_from_surface({0, 0}), ideal_from_surface({face.size.x, 0}),
                  ideal_from_surface(face.size), ideal_from_surface({0, face.size.y})};
  // A face seen along itself covers next to nothing, and its map cannot be turned round.
  if (FindQuadFault(quad) != QuadFault::kNone) return nullptr;
  const Eigen::Vector3d outward = down.cross(across).normalized();
  return std::make_shared<PlaneChart>(ideal_from_surface, face.size, camera.lens, outward);
}

}  // namespace

MarkedBox::MarkedBox(const Surface& surface, BoxMarks marks)
    : surface_(surface), marks_(std::move(marks)), known_(marks_.size) {
  if (!AnyKnown(known_)) known_[0] = kUnsizedWidthMm;
  for (const BoxVertex& vertex : marks_.vertices) {
    points_.push_back({BoxCornerShares(vertex.index), vertex.photo});
  }
}

std::vector<double> MarkedBox::FocalStarts(PhotoPx principal) const {
  std::vector<PicturedCorner> corners;
  for (const BoxVertex& vertex : marks_.vertices) corners.push_back({vertex.index, vertex.photo});
  const auto vanishing = BoxVanishingPoints(corners);
  std::vector<double> focals;
  for (size_t i = 0; i < 3; ++i) {
    const auto &a = vanishing[i], &b = vanishing[(i + 1) % 3];
    if (!a || !b) continue;
    if (const auto focal = FocalFromVanishing(*a, *b, principal)) focals.push_back(*focal);
  }
  return focals;
}

std::vector<Lengths> MarkedBox::LengthsToTry(double focal_px, PhotoPx principal) const {
  std::vector<FaceRatio> ratios;
  for (const WholeFace& whole : WholeFacesOf(marks_)) {
    if (FindQuadFault(whole.quad) != QuadFault::kNone) continue;
    const auto ratio = AspectFromQuad(whole.quad, principal, focal_px);
    if (!ratio) continue;
    const BoxFace face = BoxFaceOf({1, 1, 1}, whole.face);
    ratios.push_back(
        {static_cast<size_t>(face.across_axis), static_cast<size_t>(face.down_axis), ratio->value});
  }
  std::vector<Lengths> lengths;
  Complete(known_, ratios, lengths);
  return lengths;
}

std::vector<ShapeParameters> MarkedBox::Starts(double focal_px, PhotoPx principal) const {
  std::vector<std::pair<double, ShapeParameters>> ranked;
  for (const Lengths& lengths : LengthsToTry(focal_px, principal)) {
    const auto points = ObjectPointsOf(points_, lengths);
    for (const Pose& pose : PosesFromPoints(points, focal_px, principal)) {
      ranked.push_back({DistancesOf(points, pose, focal_px, principal).rms_px,
                        {pose.Numbers(), ExtraOf(known_, lengths)}});
    }
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<ShapeParameters> starts;
  for (size_t i = 0; i < std::min(ranked.size(), kMostStarts); ++i) {
    starts.push_back(ranked[i].second);
  }
  return starts;
}

std::unique_ptr<ceres::CostFunction> MarkedBox::Residuals(PhotoPx principal) const {
  return ScaledPointResiduals(points_, known_, principal);
}

Result<FittedSurface> MarkedBox::Finish(const ShapeFit& fit, const Camera& camera,
                                        SizePx photo) const {
  if (fit.covariance.size() == 0) {
    return Error{marks_.vertices_place, "surface.vertices",
                 "the corners show no box; expected corners as a camera sees those of a box"};
  }
  FittedSurface surface;
  const Pose pose = Pose::FromNumbers(fit.parameters.pose);
  const BoxSize size = SizeOf(fit.parameters);
  surface.pose = pose;
  surface.pose_sd = PoseUncertaintyOf(fit);
  surface.box_size = size;
  surface.size = {size[0], size[1]};
  surface.size_known = AnyKnown(marks_.size);
  surface.residual_px =
      DistancesOf(ObjectPoints(fit.parameters), pose, camera.focal_px, camera.principal).rms_px;
  if (surface.residual_px > kPoorFitPx) {
    PoorBox poor = ExplainPoorBox(*this, surface_, fit, camera, surface.residual_px);
    if (poor.error) return *poor.error;
    surface.warnings.push_back(std::move(poor.warning));
  }

  bool seen = false;
  for (int corner = 0; corner < kBoxCorners; ++corner) {
    const Eigen::Vector3d p = pose.CameraFromObject(BoxCornerOf(size, corner));
    if (!(p.z() > 0)) {
      return Error{marks_.vertices_place, "surface.vertices",
                   fmt::format("the box's {} corner would lie behind the camera; expected corners "
                               "of a box in front of it",
                               kBoxVertexNames[corner])};
    }
    const PhotoPx at =
        camera.lens.PhotoFromIdeal({camera.principal.x + camera.focal_px * p.x() / p.z(),
                                    camera.principal.y + camera.focal_px * p.y() / p.z()});
    surface.corners.push_back(at);
    seen = seen || (at.x > 0 && at.y > 0 && at.x < static_cast<double>(photo.width) &&
                    at.y < static_cast<double>(photo.height));
  }
  if (!seen) {
    return Error{
        marks_.vertices_place, "surface.vertices",
        fmt::format("lie outside the photo, which is {} x {} px", photo.width, photo.height)};
  }

  Eigen::VectorXd aspect_slope = Eigen::VectorXd::Zero(fit.covariance.rows());
  Eigen::Index extra = 7;
  for (size_t k = 0; k < 3; ++k) {
    if (known_[k]) continue;
    const double share = std::sqrt(fit.covariance(extra, extra));
    surface.solved_lengths.push_back({kLengthNames[k], {size[k], size[k] * share}});
    if (share > kMostAspectUncertainty) {
      surface.warnings.push_back(
          fmt::format("the {} solved from the corners is uncertain by {:.0f} %; give it in the "
                      "surface's size",
                      kLengthNames[k], 100 * share));
    }
    if (k < 2) aspect_slope(extra) = k == 0 ? 1 : -1;
    ++extra;
  }
  surface.aspect = {size[0] / size[1],
                    size[0] / size[1] * std::sqrt(aspect_slope.dot(fit.covariance * aspect_slope))};

  for (int index = 0; index < kBoxFaces; ++index) {
    const BoxFace geometry = BoxFaceOf(size, index);
    Face face{kBoxFaceNames[index], RectangleArea(geometry.size), {}};
    if (auto chart = ChartOf(geometry, pose, camera)) face.charts.push_back(std::move(chart));
    surface.faces.push_back(std::move(face));
  }
  return surface;
}

Result<MarkedShapePtr> MarkBox(const Surface& surface) {
  if (Errors errors = FindBoxFaults(surface.box); !errors.empty()) return errors;
  return MarkedShapePtr(std::make_unique<MarkedBox>(surface, surface.box));
}

}  // namespace wheatpaste

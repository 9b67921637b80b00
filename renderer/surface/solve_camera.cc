#include "surface/solve_camera.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "surface/fit_shape.h"
#include "surface/marked_shape.h"

namespace wheatpaste {
namespace {

// Focal lengths that are tried where nothing is given, 35 mm equivalents: from very wide to very long, near
// enough to each other that a fit from one reaches what lies between.
constexpr double kFirstTried35mm = 14, kLastTried35mm = 300, kTriedStep = 1.36;
// No photograph of a thing to be printed on is taken with less or more; where the marks say so, they err.
constexpr double kLeastFocal35mm = 7, kMostFocal35mm = 1200;
// Closed forms that agree to this share count once, and a scene of many shapes tries the first few.
constexpr double kSameFocal = 0.02;
constexpr size_t kMostClosedForms = 12;
constexpr size_t kTriedTogether = 3;
constexpr int kStepsTried = 12, kStepsLast = 200;

Result<MarkedShapePtr> MarkSurface(const Surface& surface) {
  switch (surface.shape) {
    case Shape::kPlane:
      return MarkPlane(surface);
    case Shape::kCylinder:
    case Shape::kCone:
      return MarkRims(surface);
    case Shape::kBox:
      return MarkBox(surface);
    case Shape::kPatch:
      return MarkPatch(surface);
    case Shape::kMesh:
      return MarkMesh(surface);
    case Shape::kStage:  // nothing about it is to be solved
      break;
  }
  CheckFailed(__FILE__, __LINE__, "a shape of the scene", "");
}

Camera CameraGiven(const Photo& photo, SizePx size, double exif_focal_35mm) {
  Camera camera;
  camera.principal = {static_cast<double>(size.width) / 2, static_cast<double>(size.height) / 2};
  if (photo.focal_px || photo.focal_35mm) {
    camera.focal_px = photo.focal_px ? *photo.focal_px : FocalPxFrom35mm(*photo.focal_35mm, size);
    camera.source = FocalSource::kScene;
  } else if (exif_focal_35mm > 0) {
    camera.focal_px = FocalPxFrom35mm(exif_focal_35mm, size);
    camera.source = FocalSource::kExif;
  } else {
    camera.focal_px = FocalPxFrom35mm(kDefaultFocal35mm, size);
    camera.source = FocalSource::kDefault;
  }
  return camera;
}

// The marks as a lens without distortion would show them.
void TakeLensOut(const Lens& lens, Surface& surface) {
  const auto take = [&](PhotoPx& photo) { photo = lens.IdealFromPhoto(photo); };
  for (PhotoPx& corner : surface.corners) take(corner);
  for (Mark& mark : surface.marks) take(mark.photo);
  for (MarkedRim* rim : {&surface.rims.top, &surface.rims.bottom}) {
    for (PhotoPx& point : rim->points) take(point);
  }
  for (BoxVertex& vertex : surface.box.vertices) take(vertex.photo);
  for (PhotoPx& point : surface.patch.points) take(point);
  for (MeshPin& pin : surface.mesh.pins) take(pin.photo);
}

std::vector<double> FocalsToTry(const std::vector<const ShapeProblem*>& telling, PhotoPx principal,
                                SizePx photo) {
  std::vector<double> focals;
  const double least = FocalPxFrom35mm(kLeastFocal35mm, photo);
  const double most = FocalPxFrom35mm(kMostFocal35mm, photo);
  const auto add = [&](double focal) {
    const bool near = std::any_of(focals.begin(), focals.end(), [&](double other) {
      return std::abs(std::log(focal / other)) < kSameFocal;
    });
    if (!near && focal > least && focal < most) focals.push_back(focal);
  };
  for (const ShapeProblem* problem : telling) {
    for (const double focal : problem->shape->FocalStarts(principal)) {
      if (focals.size() < kMostClosedForms) add(focal);
    }
  }
  for (double f35 = kFirstTried35mm; f35 <= kLastTried35mm; f35 *= kTriedStep) {
    add(FocalPxFrom35mm(f35, photo));
  }
  return focals;
}

struct SolvedFocal {
  double focal_px = 0;
  double log_variance = 0;
};

// From the shapes whose marks constrain it; nothing where they leave it too uncertain.
// parameters  of the telling shapes where it is solved.
std::optional<SolvedFocal> SolveFocal(const std::vector<const ShapeProblem*>& telling,
                                      PhotoPx principal, SizePx photo,
                                      std::vector<ShapeParameters>& parameters) {
  std::vector<JointMinimum> tried;
  for (const double focal : FocalsToTry(telling, principal, photo)) {
    JointMinimum start;
    start.focal_px = focal;
    for (const ShapeProblem* problem : telling) {
      const auto end =
          FitAlone(*problem, focal, problem->shape->Starts(focal, principal), kStepsTried);
      if (!end) break;
      start.parameters.push_back(end->parameters);
      start.cost += end->cost;
    }
    if (start.parameters.size() == telling.size()) tried.push_back(std::move(start));
  }
  std::stable_sort(tried.begin(), tried.end(),
                   [](const JointMinimum& a, const JointMinimum& b) { return a.cost < b.cost; });
  std::optional<JointMinimum> best;
  for (size_t i = 0; i < std::min(tried.size(), kTriedTogether); ++i) {
    const auto end = FitTogether(telling, tried[i], kStepsLast);
    if (end && (!best || end->cost < best->cost)) best = end;
  }
  if (!best || !(best->focal_px > FocalPxFrom35mm(kLeastFocal35mm, photo)) ||
      !(best->focal_px < FocalPxFrom35mm(kMostFocal35mm, photo))) {
    return std::nullopt;
  }
  double information = 0;
  for (size_t i = 0; i < telling.size(); ++i) {
    information += FocalInformation(*telling[i], best->focal_px, best->parameters[i]);
  }
  const double variance = kMarkingErrorPx * kMarkingErrorPx / information;
  if (!(variance <= kMostFocalUncertainty * kMostFocalUncertainty)) return std::nullopt;
  parameters = best->parameters;
  return SolvedFocal{best->focal_px, variance};
}

// A surface on its way: its shape, and the fit of it where it is fitted.
struct Solving {
  MarkedShapePtr shape;
  std::optional<ShapeProblem> problem;
  std::vector<ShapeParameters> starts;  // for the camera in the end, where the joint fit gave them
};

ShapeFit FitShape(const Solving& solving, const Camera& camera, double log_focal_variance) {
  ShapeFit fit;
  if (!solving.problem) return fit;
  const auto starts = solving.starts.empty()
                          ? solving.shape->Starts(camera.focal_px, camera.principal)
                          : solving.starts;
  const auto end = FitAlone(*solving.problem, camera.focal_px, starts, kStepsLast);
  if (!end) return fit;
  fit.parameters = end->parameters;
  fit.covariance =
      ShapeCovariance(*solving.problem, camera.focal_px, end->parameters, log_focal_variance);
  return fit;
}

}  // namespace

Result<SolvedSurfaces> SolveCamera(const Photo& photo, SizePx photo_size, double exif_focal_35mm,
                                   const std::vector<Surface>& surfaces) {
  SolvedSurfaces solved;
  Camera& camera = solved.camera;
  camera = CameraGiven(photo, photo_size, exif_focal_35mm);
  // Without a given focal length the reader takes no distortion: its k1 and k2 count in focal lengths.
  camera.lens = {camera.focal_px, camera.principal, photo.distortion[0], photo.distortion[1]};

  std::vector<Surface> straight = surfaces;  // outlives the shapes, which look into it
  Errors errors;
  std::vector<Solving> all(surfaces.size());
  for (size_t i = 0; i < surfaces.size(); ++i) {
    const auto take = [&](Result<MarkedShapePtr> marked) {
      if (!marked) {
        errors.insert(errors.end(), marked.errors().begin(), marked.errors().end());
        return false;
      }
      all[i].shape = std::move(*marked);
      return true;
    };
    // Mistakes are told of the numbers as they were written, before the lens is taken out.
    if (!take(MarkSurface(straight[i]))) continue;
    if (!camera.lens.is_straight()) {
      all[i].shape.reset();
      TakeLensOut(camera.lens, straight[i]);
      if (!take(MarkSurface(straight[i]))) continue;
    }
    if (all[i].shape->is_fitted()) all[i].problem.emplace(*all[i].shape, camera.principal);
  }

  double log_focal_variance = 0;
  if (!camera.is_known()) {
    std::vector<const ShapeProblem*> telling;
    std::vector<Solving*> owners;
    for (Solving& solving : all) {
      if (!solving.problem || !solving.shape->tells_focal()) continue;
      telling.push_back(&*solving.problem);
      owners.push_back(&solving);
    }
    std::vector<ShapeParameters> parameters;
    if (const auto focal = telling.empty()
                               ? std::nullopt
                               : SolveFocal(telling, camera.principal, photo_size, parameters)) {
      camera.focal_px = focal->focal_px;
      camera.focal_sd_px = focal->focal_px * std::sqrt(focal->log_variance);
      camera.source = FocalSource::kSolved;
      log_focal_variance = focal->log_variance;
      for (size_t i = 0; i < owners.size(); ++i) owners[i]->starts = {parameters[i]};
    }
    camera.lens.focal_px = camera.focal_px;
  }

  for (const Solving& solving : all) {
    if (!solving.shape) continue;
    auto finished =
        solving.shape->Finish(FitShape(solving, camera, log_focal_variance), camera, photo_size);
    if (!finished) {
      errors.insert(errors.end(), finished.errors().begin(), finished.errors().end());
      continue;
    }
    solved.surfaces.push_back(std::move(*finished));
  }
  if (!errors.empty()) return errors;
  return solved;
}

}  // namespace wheatpaste

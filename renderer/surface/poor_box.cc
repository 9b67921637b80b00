// What is wrong with the corners of a box that fit badly.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "surface/fit_plane.h"
#include "surface/fit_shape.h"
#include "surface/marked_box.h"
#include "surface/point_residuals.h"

namespace wheatpaste {
namespace {

constexpr int kSteps = 100;
// Another reading of the marks explains them where it misses by less than this share of what it replaces.
constexpr double kExplains = 1.0 / 3;
// A given length that the picture shows this many times longer or shorter contradicts it.
constexpr double kGross = 1.25;

struct Reading {
  ShapeParameters parameters;
  double rms_px = 0;
};

std::optional<Reading> Read(const MarkedBox& box, double focal_px, PhotoPx principal) {
  const ShapeProblem problem(box, principal);
  const auto end = FitAlone(problem, focal_px, box.Starts(focal_px, principal), kSteps);
  if (!end) return std::nullopt;
  return Reading{end->parameters,
                 DistancesOf(box.ObjectPoints(end->parameters),
                             Pose::FromNumbers(end->parameters.pose), focal_px, principal)
                     .rms_px};
}

// Focal lengths under which other readings are tried: where it was solved, wrong marks have bent it.
std::vector<double> FocalsOf(const MarkedBox& box, const Camera& camera) {
  std::vector<double> focals{camera.focal_px};
  if (!camera.is_known()) {
    const auto further = box.FocalStarts(camera.principal);
    focals.insert(focals.end(), further.begin(), further.end());
  }
  return focals;
}

std::optional<Reading> BestReading(const Surface& surface, const BoxMarks& marks,
                                   const std::vector<double>& focals, PhotoPx principal) {
  const MarkedBox box(surface, marks);
  std::optional<Reading> best;
  for (const double focal : focals) {
    const auto reading = Read(box, focal, principal);
    if (reading && (!best || reading->rms_px < best->rms_px)) best = reading;
  }
  return best;
}

// The ratio that the corners show, in the scale of the first given length.
std::optional<Error> FindWrongSize(const MarkedBox& box, const Surface& surface,
                                   const std::vector<double>& focals, PhotoPx principal,
                                   double rms_px) {
  const auto& given = box.marks().size;
  if (std::count_if(given.begin(), given.end(), [](const auto& k) { return k.has_value(); }) < 2) {
    return std::nullopt;
  }
  BoxMarks free = box.marks();
  free.size = {};
  const auto reading = BestReading(surface, free, focals, principal);
  if (!reading || reading->rms_px > kExplains * rms_px) return std::nullopt;
  BoxSize shown = MarkedBox(surface, free).SizeOf(reading->parameters);
  // The scale under which the given lengths are met best.
  double log_scale = 0;
  int count = 0;
  for (size_t k = 0; k < 3; ++k) {
    if (!given[k]) continue;
    log_scale += std::log(*given[k] / shown[k]);
    ++count;
  }
  bool gross = false;
  std::string written;
  for (size_t k = 0; k < 3; ++k) {
    shown[k] *= std::exp(log_scale / count);
    written += (k == 0 ? "" : ", ") + (given[k] ? fmt::format("{:g}", *given[k]) : "\"unknown\"");
    for (size_t other = 0; other < k; ++other) {
      if (!given[k] || !given[other]) continue;
      const double contradiction = (*given[k] / *given[other]) / (shown[k] / shown[other]);
      gross = gross || contradiction > kGross || contradiction < 1 / kGross;
    }
  }
  if (!gross) return std::nullopt;
  return Error{surface.size_place, fmt::format("surface.size = [{}]", written),
               fmt::format("expected the width, height and depth of the box that the corners show; "
                           "as marked they are as {:.3g} : {:.3g} : {:.3g}",
                           shown[0], shown[1], shown[2])};
}

}  // namespace

PoorBox ExplainPoorBox(const MarkedBox& box, const Surface& surface, const ShapeFit& fit,
                       const Camera& camera, double rms_px) {
  PoorBox poor;
  const auto focals = FocalsOf(box, camera);
  BoxMarks mirrored = box.marks();
  for (BoxVertex& vertex : mirrored.vertices) vertex.index ^= 1;
  const auto other = BestReading(surface, mirrored, focals, camera.principal);
  if (other && other->rms_px < kExplains * rms_px) {
    poor.error = MirroredBox(box.marks());
    return poor;
  }
  poor.error = FindWrongSize(box, surface, focals, camera.principal, rms_px);
  if (poor.error) return poor;

  // The corner without which the others fit best, and how far it is from where they put it.
  const auto& vertices = box.marks().vertices;
  const PointDistances distances =
      DistancesOf(box.ObjectPoints(fit.parameters), Pose::FromNumbers(fit.parameters.pose),
                  camera.focal_px, camera.principal);
  size_t worst = distances.largest_index;
  double off_px = distances.largest_px;
  double least_rms = kExplains * rms_px;
  for (size_t i = 0; i < vertices.size() && vertices.size() > 5; ++i) {
    BoxMarks fewer = box.marks();
    fewer.vertices.erase(fewer.vertices.begin() + static_cast<std::ptrdiff_t>(i));
    const MarkedBox rest(surface, fewer);
    const auto reading = Read(rest, camera.focal_px, camera.principal);
    if (!reading || reading->rms_px >= least_rms) continue;
    least_rms = reading->rms_px;
    worst = i;
    const Eigen::Vector3d corner = BoxCornerOf(rest.SizeOf(reading->parameters), vertices[i].index);
    off_px = DistancesOf({{corner, vertices[i].photo}}, Pose::FromNumbers(reading->parameters.pose),
                         camera.focal_px, camera.principal)
                 .rms_px;
  }
  const auto& given = box.marks().size;
  std::string size;
  if (given[0] && given[1] && given[2]) {
    size = fmt::format("{:g} x {:g} x {:g} mm ", *given[0], *given[1], *given[2]);
  }
  poor.warning = fmt::format(
      "the marks do not fit a {}box seen with a focal length of {:.0f} px: {} is off by {:.1f} px, "
      "{:.1f} px root mean square",
      size, camera.focal_px, kBoxVertexNames[vertices[worst].index], off_px, rms_px);
  return poor;
}

}  // namespace wheatpaste

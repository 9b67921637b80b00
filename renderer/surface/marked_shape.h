// marked_shape.h - what a marked surface says of its pose and of the camera, in one form for every shape.
//
// Model   each shape turns its marks into residuals in photo px (lens distortion taken out before), each
//         divided by its own standard deviation over kMarkingErrorPx, as functions of
//             log focal_px (1), pose (6, pose.h), extra (unknown lengths, extra_count())
//         solve_camera.h fits all shapes of a scene with one focal length.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "base/error.h"
#include "base/rect.h"
#include "geometry/pose.h"
#include "scene/scene.h"
#include "surface/camera.h"
#include "surface/fitted_surface.h"

namespace ceres {
class CostFunction;
}

namespace wheatpaste {

struct ShapeParameters {
  std::array<double, 6> pose{};
  std::vector<double> extra;  // logarithms of unknown lengths or ratios
};

// Where the fit ended.
struct ShapeFit {
  ShapeParameters parameters;
  // Covariance of (log focal, pose, extra), for marks that are off by kMarkingErrorPx; the first row and
  // column are 0 where the focal length was given. Empty where nothing was fitted.
  Eigen::MatrixXd covariance;
};

class MarkedShape {
 public:
  virtual ~MarkedShape() = default;

  // False: marks that say nothing of the camera (a patch), or a pose that is given. Then only Finish is called.
  virtual bool is_fitted() const { return true; }
  virtual int extra_count() const { return 0; }
  // Focal lengths that closed forms give, px; may be empty.
  virtual std::vector<double> FocalStarts(PhotoPx /*principal*/) const { return {}; }
  // Parameters near the solution for a camera of this focal length, best first, at least one where the marks
  // can be what they claim.
  virtual std::vector<ShapeParameters> Starts(double focal_px, PhotoPx principal) const = 0;
  // Blocks: log focal (1), pose (6), and, where extra_count() > 0, extra. Values that make no picture (behind
  // the camera) make the evaluation fail.
  virtual std::unique_ptr<ceres::CostFunction> Residuals(PhotoPx principal) const = 0;
  // True where the marks have more to say than pose and extra take up, so that they constrain the focal length.
  virtual bool tells_focal() const = 0;
  // The surface as it is printed on; poor fits as warnings, impossible ones as errors at the marks' place.
  virtual Result<FittedSurface> Finish(const ShapeFit& fit, const Camera& camera,
                                       SizePx photo) const = 0;
};

// One for each shape, each in a file of its own. The marks are checked before anything is fitted: errors at the
// key they stand under.
// surface  its marks with lens distortion taken out; it must outlive the result.
using MarkedShapePtr = std::unique_ptr<const MarkedShape>;
Result<MarkedShapePtr> MarkPlane(const Surface& surface);  // mark_plane.cc
Result<MarkedShapePtr> MarkRims(const Surface& surface);   // mark_rims.cc: cylinder and cone
Result<MarkedShapePtr> MarkBox(const Surface& surface);    // mark_box.cc
Result<MarkedShapePtr> MarkPatch(const Surface& surface);  // mark_patch.cc
Result<MarkedShapePtr> MarkMesh(const Surface& surface);   // mark_mesh.cc

}  // namespace wheatpaste

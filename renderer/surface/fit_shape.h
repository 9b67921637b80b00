// fit_shape.h - least squares of marked shapes, alone before a camera or several together with its focal length.
//
// Model   marked_shape.h's residuals, by Levenberg-Marquardt with derivatives that are exact. The shapes of a
//         scene share the focal length and nothing else, so with J_f and J_p the derivatives of one shape's
//         residuals by log focal and by its own numbers p, to first order
//             d = dp / d log f = -J_p^+ J_f,   information = sum over shapes |J_f + J_p d|^2,
//             var(log f) = sigma^2 / information,   cov(p) = sigma^2 (J_p^T J_p)^+ + d var(log f) d^T
//         with sigma = kMarkingErrorPx: the blocks of (J^T J)^+ sigma^2 of all together.
// Threads one; deterministic.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include <ceres/cost_function.h>

#include "surface/marked_shape.h"

namespace wheatpaste {

// A shape with its residuals. `shape` must outlive it.
struct ShapeProblem {
  ShapeProblem(const MarkedShape& marked, PhotoPx principal)
      : shape(&marked), residuals(marked.Residuals(principal)) {}
  const MarkedShape* shape;
  std::unique_ptr<ceres::CostFunction> residuals;
};

struct ShapeMinimum {
  ShapeParameters parameters;
  double cost = 0;  // half the sum of squares
};

// The best that the starts lead to within so many steps; nothing where none can be evaluated.
std::optional<ShapeMinimum> FitAlone(const ShapeProblem& problem, double focal_px,
                                     std::span<const ShapeParameters> starts, int most_steps);

struct JointMinimum {
  double focal_px = 0;
  std::vector<ShapeParameters> parameters;  // one for each shape
  double cost = 0;
};

// All shapes and the focal length, from `start`.
std::optional<JointMinimum> FitTogether(std::span<const ShapeProblem* const> problems,
                                        const JointMinimum& start, int most_steps);

// What a shape's marks say of log focal where its own numbers adapt; 0: nothing.
double FocalInformation(const ShapeProblem& problem, double focal_px,
                        const ShapeParameters& parameters);

// The covariance of ShapeFit. log_focal_variance: 0 where the focal length was given.
Eigen::MatrixXd ShapeCovariance(const ShapeProblem& problem, double focal_px,
                                const ShapeParameters& parameters, double log_focal_variance);

// Of a fit with covariance: turns about the camera's axes, by the left Jacobian of the rotation vector.
PoseUncertainty PoseUncertaintyOf(const ShapeFit& fit);

}  // namespace wheatpaste

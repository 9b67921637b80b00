// robust_fit.h - a smooth, nonnegative fit of which some samples, above or below it, are no part.
//
// Model   wanted_c = A x_c, x_c >= 0, for three bands with shared weights. A sample's residual r is that of its worst
//         band; its weight 1 / (1 + (r / reach)^2)^2.
//         Starts from the upper edge of the samples: what lies below the fit weighs little, for shadows are larger than
//         highlights and no smooth sum can follow a highlight. Then the reach narrows from round to round to the spread of
//         what lies within it, and opens and narrows again while more samples agree.
// Source  Geman, McClure 1985 (the weight); Blake, Zisserman 1987, Visual Reconstruction (graduated non-convexity).
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include <Eigen/Core>

namespace wheatpaste {

// What lies outside of kFitReach times the residuals' own spread does not decide.
inline constexpr double kFitReach = 2.5;
// The spread is taken for no smaller than this: the model is not perfect.
inline constexpr double kLeastFitSpread = 0.002;

// a       samples x columns; `wanted` samples x 3; both scaled so that `wanted` is about 1.
struct RobustSum {
  Eigen::MatrixXd x;  // columns x 3
  double spread = 0;  // of the samples that are part of it, about the fit
};
RobustSum FitRobustly(const Eigen::MatrixXd& a, const Eigen::MatrixXd& wanted);

}  // namespace wheatpaste

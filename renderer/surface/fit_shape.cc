#include "surface/fit_shape.h"

#include <cmath>

#include <Eigen/LU>
#include <ceres/ceres.h>

#include "geometry/decompose.h"

namespace wheatpaste {
namespace {

ceres::Solver::Options OptionsOf(int most_steps) {
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.logging_type = ceres::SILENT;
  options.num_threads = 1;
  options.max_num_iterations = most_steps;
  // A run of refused steps ends by the step growing too small; by their count it would be logged.
  options.max_num_consecutive_invalid_steps = 1000;
  options.function_tolerance = 1e-14;
  options.parameter_tolerance = 1e-13;
  options.gradient_tolerance = 1e-14;
  return options;
}

// Residuals stay the caller's, so that one set serves many fits.
ceres::Problem::Options ProblemOptions() {
  ceres::Problem::Options options;
  options.cost_function_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
  return options;
}

void AddShape(const ShapeProblem& shape, double* log_focal, ShapeParameters& parameters,
              ceres::Problem& problem) {
  std::vector<double*> blocks{log_focal, parameters.pose.data()};
  if (!parameters.extra.empty()) blocks.push_back(parameters.extra.data());
  problem.AddResidualBlock(shape.residuals.get(), nullptr, blocks);
}

// Columns: log focal, pose, extra.
std::optional<Eigen::MatrixXd> JacobianOf(const ShapeProblem& shape, double focal_px,
                                          const ShapeParameters& parameters) {
  using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const double log_focal = std::log(focal_px);
  const auto extras = static_cast<Eigen::Index>(parameters.extra.size());
  const Eigen::Index rows = shape.residuals->num_residuals();
  Eigen::VectorXd residuals(rows);
  RowMajor by_focal(rows, 1), by_pose(rows, 6), by_extra(rows, extras);
  const double* blocks[3] = {&log_focal, parameters.pose.data(), parameters.extra.data()};
  double* jacobians[3] = {by_focal.data(), by_pose.data(), by_extra.data()};
  if (!shape.residuals->Evaluate(blocks, residuals.data(), jacobians)) return std::nullopt;
  Eigen::MatrixXd all(rows, 7 + extras);
  all << by_focal, by_pose, by_extra;
  if (!all.allFinite()) return std::nullopt;
  return all;
}

// Columns brought to one length first: radians beside mm.
Eigen::MatrixXd ScaledPseudoInverse(const Eigen::MatrixXd& matrix) {
  constexpr double kLeastPivot = 1e-10;
  Eigen::VectorXd lengths = matrix.colwise().norm().transpose();
  for (double& length : lengths) {
    if (!(length > 0)) length = 1;
  }
  const Eigen::MatrixXd scaled = matrix * lengths.cwiseInverse().asDiagonal();
  return lengths.cwiseInverse().asDiagonal() * PseudoInverse(scaled, kLeastPivot);
}

// How the shape's own numbers follow the focal length.
struct FocalResponse {
  Eigen::MatrixXd inverse;  // of J_p
  Eigen::VectorXd change;   // d
  double information = 0;
};

std::optional<FocalResponse> ResponseOf(const ShapeProblem& shape, double focal_px,
                                        const ShapeParameters& parameters) {
  const auto jacobian = JacobianOf(shape, focal_px, parameters);
  if (!jacobian) return std::nullopt;
  const Eigen::MatrixXd own = jacobian->rightCols(jacobian->cols() - 1);
  FocalResponse response;
  response.inverse = ScaledPseudoInverse(own);
  response.change = -response.inverse * jacobian->col(0);
  response.information = (jacobian->col(0) + own * response.change).squaredNorm();
  return response;
}

}  // namespace

std::optional<ShapeMinimum> FitAlone(const ShapeProblem& shape, double focal_px,
                                     std::span<const ShapeParameters> starts, int most_steps) {
  std::optional<ShapeMinimum> best;
  for (const ShapeParameters& start : starts) {
    ShapeMinimum end{start, 0};
    double log_focal = std::log(focal_px);
    ceres::Problem problem(ProblemOptions());
    AddShape(shape, &log_focal, end.parameters, problem);
    problem.SetParameterBlockConstant(&log_focal);
    ceres::Solver::Summary summary;
    ceres::Solve(OptionsOf(most_steps), &problem, &summary);
    end.cost = summary.final_cost;
    if (!summary.IsSolutionUsable() || !std::isfinite(summary.final_cost)) {
      // A start that is the minimum already leaves no step to take, which counts as a failure.
      end = {start, summary.initial_cost};
      if (!(summary.initial_cost >= 0) || !std::isfinite(summary.initial_cost)) continue;
    }
    if (!best || end.cost < best->cost) best = end;
  }
  return best;
}

std::optional<JointMinimum> FitTogether(std::span<const ShapeProblem* const> problems,
                                        const JointMinimum& start, int most_steps) {
  JointMinimum end = start;
  double log_focal = std::log(start.focal_px);
  ceres::Problem problem(ProblemOptions());
  for (size_t i = 0; i < problems.size(); ++i) {
    AddShape(*problems[i], &log_focal, end.parameters[i], problem);
  }
  ceres::Solver::Summary summary;
  ceres::Solve(OptionsOf(most_steps), &problem, &summary);
  if (!summary.IsSolutionUsable() || !std::isfinite(summary.final_cost)) return std::nullopt;
  end.focal_px = std::exp(log_focal);
  end.cost = summary.final_cost;
  return end;
}

double FocalInformation(const ShapeProblem& shape, double focal_px,
                        const ShapeParameters& parameters) {
  const auto response = ResponseOf(shape, focal_px, parameters);
  return response ? response->information : 0;
}

Eigen::MatrixXd ShapeCovariance(const ShapeProblem& shape, double focal_px,
                                const ShapeParameters& parameters, double log_focal_variance) {
  const auto response = ResponseOf(shape, focal_px, parameters);
  if (!response) return {};
  const Eigen::VectorXd& d = response->change;
  const Eigen::Index own = d.size();
  Eigen::MatrixXd covariance(1 + own, 1 + own);
  covariance(0, 0) = log_focal_variance;
  covariance.bottomLeftCorner(own, 1) = log_focal_variance * d;
  covariance.topRightCorner(1, own) = log_focal_variance * d.transpose();
  covariance.bottomRightCorner(own, own) =
      kMarkingErrorPx * kMarkingErrorPx * response->inverse * response->inverse.transpose() +
      log_focal_variance * d * d.transpose();
  return covariance;
}

PoseUncertainty PoseUncertaintyOf(const ShapeFit& fit) {
  const auto& pose = fit.parameters.pose;
  const Eigen::Vector3d turn(pose[0], pose[1], pose[2]);
  const double angle = turn.norm();
  // exp(turn + delta) = exp(left delta) exp(turn) to first order; Taylor series below, where the closed form
  // divides 0 by 0.
  constexpr double kSmallAngle = 1e-4;
  const double a = angle < kSmallAngle ? 0.5 : (1 - std::cos(angle)) / (angle * angle);
  const double b =
      angle < kSmallAngle ? 1.0 / 6 : (angle - std::sin(angle)) / (angle * angle * angle);
  Eigen::Matrix3d cross;
  cross << 0, -turn.z(), turn.y(), turn.z(), 0, -turn.x(), -turn.y(), turn.x(), 0;
  const Eigen::Matrix3d left = Eigen::Matrix3d::Identity() + a * cross + b * cross * cross;
  PoseUncertainty sd;
  sd.rotation_rad =
      (left * fit.covariance.block<3, 3>(1, 1) * left.transpose()).diagonal().cwiseSqrt();
  sd.translation_mm = fit.covariance.block<3, 3>(4, 4).diagonal().cwiseSqrt();
  return sd;
}

}  // namespace wheatpaste

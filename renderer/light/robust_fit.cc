#include "light/robust_fit.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

#include "base/parallel.h"
#include "light/nonnegative_fit.h"

namespace wheatpaste {
namespace {

constexpr int kUpperRounds = 6;
constexpr double kBelow = 0.2;  // weight of what lies below the upper edge
constexpr double kNarrowing = 0.6;

// The reach opens and narrows several times, so that what one round lost another may find.
struct Stage {
  double reach;
  double sparing;  // how much any part of the sum costs: without evidence there is no light
  double lower;  // weight of what lies below the fit within reach: mirrored light is never negative
};
constexpr Stage kStages[] = {{0.3, 0.003, 1}, {0.15, 0.001, 2}, {0.15, 0, 2}, {0.06, 0, 2}};

double MiddleOf(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<int64_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

class RobustFit {
 public:
  RobustFit(const Eigen::MatrixXd& a, const Eigen::MatrixXd& wanted)
      : a_(a), wanted_(wanted), weight_(Eigen::VectorXd::Ones(a.rows())) {
    Solve();
  }

  void TakeUpperEdge() {
    for (int round = 0; round < kUpperRounds; ++round) {
      for (Eigen::Index i = 0; i < weight_.size(); ++i) {
        weight_(i) = difference_.row(i).sum() < 0 ? kBelow : 1;
      }
      Solve();
    }
  }

  // Returns the reach at the end.
  double Narrow(const Stage& stage) {
    sparing_ = stage.sparing;
    double reach = stage.reach;
    for (;;) {
      const double before = reach;
      // Of what lies within reach so far: the rest would widen it for ever.
      std::vector<double> within;
      std::copy_if(sizes_.begin(), sizes_.end(), std::back_inserter(within),
                   [&](double size) { return size < reach; });
      const double spread =
          kFitReach * std::max(kLeastFitSpread, within.empty() ? 0 : 1.4826 * MiddleOf(within));
      reach = std::min(reach, std::max(spread, kNarrowing * reach));
      for (Eigen::Index i = 0; i < weight_.size(); ++i) {
        const double r = sizes_[static_cast<size_t>(i)] / reach;
        weight_(i) = 1 / ((1 + r * r) * (1 + r * r));
        if (difference_.row(i).sum() < 0) weight_(i) *= stage.lower;
      }
      Solve();
      if (reach >= 0.999 * before) return reach;
    }
  }

  const Eigen::MatrixXd& x() const { return x_; }

 private:
  void Solve() {
    const Eigen::MatrixXd weighted = weight_.asDiagonal() * a_;
    Eigen::MatrixXd gram(a_.cols(), a_.cols());
    gram.noalias() = weighted.transpose() * a_;
    const Eigen::MatrixXd right =
        (weighted.transpose() * wanted_).array() - sparing_ * weight_.sum();
    const bool started = x_.size() > 0;
    if (!started) x_ = Eigen::MatrixXd::Zero(a_.cols(), wanted_.cols());
    ParallelFor(wanted_.cols(), [&](int64_t c) {
      x_.col(c) = FitNonnegative(gram, right.col(c),
                                 started ? Eigen::VectorXd(x_.col(c)) : Eigen::VectorXd());
    });
    difference_ = wanted_ - a_ * x_;
    sizes_.resize(static_cast<size_t>(a_.rows()));
    for (Eigen::Index i = 0; i < a_.rows(); ++i) {
      sizes_[static_cast<size_t>(i)] = difference_.row(i).cwiseAbs().maxCoeff();
    }
  }

  const Eigen::MatrixXd& a_;
  const Eigen::MatrixXd& wanted_;
  Eigen::VectorXd weight_;
  Eigen::MatrixXd x_, difference_;
  std::vector<double> sizes_;
  double sparing_ = kStages[0].sparing;
};

}  // namespace

RobustSum FitRobustly(const Eigen::MatrixXd& a, const Eigen::MatrixXd& wanted) {
  RobustFit fit(a, wanted);
  fit.TakeUpperEdge();
  double reach = 0;
  for (const Stage& stage : kStages) reach = fit.Narrow(stage);
  return {fit.x(), reach / kFitReach};
}

}  // namespace wheatpaste

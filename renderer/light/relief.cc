#include "light/relief.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include <opencv2/core.hpp>

#include "light/fit_heights.h"

namespace wheatpaste {
namespace {

// Shading beyond these is no slope: highlights, shadows.
constexpr double kDarkest = -0.8, kBrightest = 1.0;
constexpr int kRounds = 4;
constexpr int kLightRounds = 2;                   // of these, those that estimate the light
constexpr int kFirstSteps = 60, kMoreSteps = 25;  // of a round

// Light more grazing than this counts as if it were so; less slanted than that it shades no folds.
constexpr double kMostSlope = 3, kLeastSlope = 0.05;
constexpr double kLeastFacing = 0.1;
constexpr double kMostRegain = 1.3;

// The factor by which all heights make the shading best: what the damping took along the light.
double Regain(const GridShape& shape, const GridValues& shading, const std::vector<double>& weights,
              const std::vector<Eigen::Vector2d>& a, const GridValues& heights) {
  double both = 0, own = 0;
  const auto down = static_cast<size_t>(shape.columns);
  for (int j = 1; j + 1 < shape.rows; ++j) {
    for (int i = 1; i + 1 < shape.columns; ++i) {
      const size_t k = shape.at(i, j);
      const double made = -(a[k].x() * (heights[k + 1] - heights[k - 1]) +
                            a[k].y() * (heights[k + down] - heights[k - down])) /
                          (2 * shape.step);
      both += weights[k] * shading[k] * made;
      own += weights[k] * made * made;
    }
  }
  return own > 0 ? std::clamp(both / own, 1.0, kMostRegain) : 1;
}

// The periodic solution on a grid with room around it, so that opposite sides do not meet.
GridValues FirstHeights(const GridShape& shape, const GridValues& shading,
                        const std::vector<double>& weights, const Eigen::Vector2d& a,
                        const Damping& damping) {
  GridShape wide = shape;
  wide.columns = cv::getOptimalDFTSize(shape.columns + shape.columns / 3);
  wide.rows = cv::getOptimalDFTSize(shape.rows + shape.rows / 3);
  GridValues padded(wide.count(), 0.0);
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      padded[wide.at(i, j)] = weights[shape.at(i, j)] * shading[shape.at(i, j)];
    }
  }
  const GridValues heights = HeightsFromShading(wide, padded, a, damping);
  GridValues first(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      first[shape.at(i, j)] = heights[wide.at(i, j)];
    }
  }
  return first;
}

// The light of each point of the sheet: seen where the camera sees that point.
FlatLight Unbent(const FlatLight& flat, const std::vector<Eigen::Vector2d>& shift,
                 const GridValues& heights) {
  FlatLight unbent = flat;
  for (int j = 0; j < flat.shape.rows; ++j) {
    for (int i = 0; i < flat.shape.columns; ++i) {
      const size_t k = flat.shape.at(i, j);
      const Eigen::Vector2d at = flat.shape.MmAt(i, j).vector() - heights[k] * shift[k];
      const GridPlace place = flat.shape.Find({at.x(), at.y()});
      unbent.light[k] = SampleValue(flat.shape, flat.light, place);
      unbent.weights[k] = SampleValue(flat.shape, flat.weights, place);
    }
  }
  return unbent;
}

// s = R sqrt(1 + |grad z|^2) - 1, its mean over what was seen taken out, held within what slopes can make.
GridValues LinearShading(const GridShape& shape, const GridValues& ratio,
                         const std::vector<double>& weights, const GridValues& heights) {
  GridValues shading(ratio.size());
  double sum = 0, area = 0;
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      const int i0 = std::max(i - 1, 0), i1 = std::min(i + 1, shape.columns - 1);
      const int j0 = std::max(j - 1, 0), j1 = std::min(j + 1, shape.rows - 1);
      const size_t k = shape.at(i, j);
      const double p =
          (heights[shape.at(i1, j)] - heights[shape.at(i0, j)]) / ((i1 - i0) * shape.step);
      const double q =
          (heights[shape.at(i, j1)] - heights[shape.at(i, j0)]) / ((j1 - j0) * shape.step);
      shading[k] = ratio[k] * std::sqrt(1 + p * p + q * q);
      sum += weights[k] * shading[k];
      area += weights[k];
    }
  }
  const double mean = area > 0 ? sum / area : 1;
  for (double& s : shading) s = std::clamp(s / mean - 1, kDarkest, kBrightest);
  return shading;
}

FixedSides SidesOf(const GridShape& shape, const PrintArea& area) {
  const SurfaceMm first = shape.origin, last = shape.MmAt(shape.columns - 1, shape.rows - 1);
  const double near = 1.5 * shape.step;
  FixedSides sides;
  sides.left = first.x - area.low.x < near;
  sides.top = first.y - area.low.y < near;
  sides.right = area.high.x - last.x < near;
  sides.bottom = area.high.y - last.y < near;
  return sides;
}

// The light of each node from what is known of it, and the face's own shading by its shape taken out. False where it comes
// from behind, or straight onto the face.
bool TakeGiven(const GivenLight& given, const FaceView& view, FlatLight& flat,
               LightDirection& light, std::vector<Eigen::Vector2d>& a) {
  const GridShape& shape = flat.shape;
  const double ambient = given.fitted ? given.fitted->ambient : 0;
  const Eigen::Vector3d towards = given.fitted ? given.fitted->towards : *given.from;
  const double least = kLeastFacing * (ambient + towards.norm());
  Eigen::Vector3d own = Eigen::Vector3d::Zero();
  double front = 0;
  GridValues base(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      const size_t k = shape.at(i, j);
      const Eigen::Vector3d here = view.AxesAt(shape.MmAt(i, j)).transpose() * towards;
      const double lit = ambient + std::max(0.0, here.z());
      base[k] = std::max(lit, least);
      a[k] = here.z() > 0 ? Eigen::Vector2d(here.head<2>() / base[k]) : Eigen::Vector2d(0, 0);
      a[k] *= std::min(1.0, kMostSlope / std::max(a[k].norm(), 1e-12));
      if (here.z() > 0) front += 1;
      own += here;
    }
  }
  const double mean =
      std::accumulate(base.begin(), base.end(), 0.0) / static_cast<double>(base.size());
  for (size_t k = 0; k < base.size(); ++k) flat.light[k] *= mean / base[k];
  own /= static_cast<double>(shape.count());
  light = {std::atan2(own.y(), own.x()),
           std::min(std::atan2(own.head<2>().norm(), own.z()), std::atan(kMostSlope))};
  return front > 0.5 * static_cast<double>(shape.count()) && light.Slopes().norm() > kLeastSlope;
}

}  // namespace

std::optional<Relief> ReadRelief(FlatLight flat, const FaceView& view, const PrintArea& area,
                                 const GivenLight& given) {
  const GridShape shape = flat.shape;
  const Eigen::Matrix3d camera_from_face =
      view.AxesAt(shape.MmAt(shape.columns / 2, shape.rows / 2));
  Relief relief;
  relief.heights.assign(shape.count(), 0.0);
  std::vector<Eigen::Vector2d> shift(shape.count()), a(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) shift[shape.at(i, j)] = view.ShiftAt(shape.MmAt(i, j));
  }
  const FixedSides fixed = SidesOf(shape, area);
  const Damping damping{kReliefDamping,
                        kLongestShare * shape.step * (std::max(shape.columns, shape.rows) - 1)};
  relief.shadows = RemoveHardEdges(flat);
  relief.estimated = !given.from && !given.fitted;
  if (!relief.estimated && !TakeGiven(given, view, flat, relief.light, a)) return std::nullopt;
  // Up in the picture, and a little to the left where the light lies level.
  const Eigen::Vector3d up = camera_from_face.transpose() * Eigen::Vector3d(-0.2, -1, 0);
  for (int round = 0; round < kRounds; ++round) {
    const FlatLight unbent = Unbent(flat, shift, relief.heights);
    const auto [ratio, brighter] = RatioToBase(unbent);
    const GridValues shading = LinearShading(shape, ratio, unbent.weights, relief.heights);
    if (relief.estimated && round < kLightRounds) {
      const Eigen::Vector2d tilt =
          EstimateTilt(shape, ratio, unbent.weights, brighter, up.head<2>());
      const GridValues unit = FirstHeights(shape, shading, unbent.weights, tilt, damping);
      // Once the light stands where the sheet is, the view no longer stretches it.
      const std::vector<Eigen::Vector2d> none(shape.count(), Eigen::Vector2d::Zero());
      const double slope =
          EstimateSlant(shape, ratio, unbent.weights, unit, round == 0 ? shift : none);
      relief.light = {std::atan2(tilt.y(), tilt.x()), std::atan(slope)};
      std::fill(a.begin(), a.end(), relief.light.Slopes());
    }
    GridValues start = std::move(relief.heights);
    if (round == 0)
      start = FirstHeights(shape, shading, unbent.weights, relief.light.Slopes(), damping);
    relief.heights = FitHeights(shape, shading, unbent.weights, a, damping, fixed, std::move(start),
                                round == 0 ? kFirstSteps : kMoreSteps);
    const double regain = Regain(shape, shading, unbent.weights, a, relief.heights);
    for (double& z : relief.heights) z *= regain;
  }
  return relief;
}

}  // namespace wheatpaste

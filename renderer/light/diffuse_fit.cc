#include "light/diffuse_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <Eigen/Core>

#include "base/parallel.h"
#include "light/diffuse_basis.h"
#include "light/robust_fit.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr int kMostSamples = 2000;
// Normals that lie closer together than this round their mean tell no more than a plane's: 4 degrees.
constexpr double kFlatNormals = 0.9976;

struct Sample {
  RegionPx px;
  std::array<double, 3> light{};
};

// The mean of those of its 3 x 3 pixels that count.
Sample SampleAt(ImageView<SceneLinear> light, const cv::Mat& mask, const RegionPx& px) {
  Sample sample{px, {}};
  int count = 0;
  for (int64_t y = std::max<int64_t>(0, px.y - 1); y <= std::min(light.height() - 1, px.y + 1);
       ++y) {
    for (int64_t x = std::max<int64_t>(0, px.x - 1); x <= std::min(light.width() - 1, px.x + 1);
         ++x) {
      if (mask.at<float>(static_cast<int>(y), static_cast<int>(x)) == 0) continue;
      ++count;
      for (int c = 0; c < 3; ++c)
        sample.light[static_cast<size_t>(c)] += double{light.row(c, y)[x]};
    }
  }
  for (double& band : sample.light) band /= count;
  return sample;
}

// At most about kMostSamples pixels on a square grid.
std::vector<Sample> TakeSamples(ImageView<SceneLinear> light, const cv::Mat& mask) {
  const auto step = std::max<int64_t>(
      1, std::llround(std::ceil(std::sqrt(double(cv::countNonZero(mask)) / kMostSamples))));
  std::vector<Sample> samples;
  for (int64_t y = step / 2; y < light.height(); y += step) {
    for (int64_t x = step / 2; x < light.width(); x += step) {
      if (mask.at<float>(static_cast<int>(y), static_cast<int>(x)) == 0) continue;
      samples.push_back(SampleAt(light, mask, {x, y}));
    }
  }
  return samples;
}

bool AreFlat(const Image<NormalPlanes>& normals, const std::vector<Sample>& samples) {
  std::array<double, 3> sum{};
  for (const Sample& s : samples) {
    for (int k = 0; k < 3; ++k) {
      sum[static_cast<size_t>(k)] += double{normals.row(k, s.px.y)[s.px.x]};
    }
  }
  return std::hypot(sum[0], sum[1], sum[2]) > kFlatNormals * static_cast<double>(samples.size());
}

// D of the pixels in the mask; at most `lit`, where that is given.
void Evaluate(const DiffuseBasis& basis, const Eigen::MatrixXd& sum, const cv::Mat& mask,
              const DiffuseFit* lit, Image<SceneLinear>& light) {
  ParallelRows(mask.rows, kBandRows, [&](int64_t y0, int64_t y1) {
    Eigen::VectorXd values(basis.count());
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < mask.cols; ++x) {
        if (mask.at<float>(static_cast<int>(y), static_cast<int>(x)) == 0) continue;
        basis.At({x, y}, values);
        const Eigen::RowVector3d d = values.transpose() * sum;
        for (int c = 0; c < 3; ++c) {
          const auto band = static_cast<float>(d(c));
          light.row(c, y)[x] = lit != nullptr ? std::min(band, lit->light.row(c, y)[x]) : band;
        }
      }
    }
  });
}

// lit       what the fit may not be brighter than; null: anything.
// deciding  1 for the pixels that it is a fit to.
std::optional<DiffuseFit> Fit(ImageView<SceneLinear> light, const cv::Mat& mask,
                              const Image<NormalPlanes>* normals, const DiffuseFit* lit,
                              const cv::Mat& deciding) {
  if (light.width() < 2 || light.height() < 2 || cv::countNonZero(deciding) < kLeastFitPixels) {
    return std::nullopt;
  }
  // The functions are those of the whole surface, whatever part of it decides.
  const std::vector<Sample> all = TakeSamples(light, mask);
  if (normals != nullptr && AreFlat(*normals, all)) normals = nullptr;
  std::vector<RegionPx> places;
  for (const Sample& s : all) places.push_back(s.px);
  const DiffuseBasis basis(light.size(), normals, places);
  const std::vector<Sample> samples = lit != nullptr ? TakeSamples(light, deciding) : all;
  const auto rows = static_cast<Eigen::Index>(samples.size());
  const Eigen::Index columns = basis.count();
  if (rows < columns / 2 || columns == 0) return std::nullopt;

  std::vector<double> luminance;
  for (const Sample& s : samples) {
    luminance.push_back(Luminance(s.light[0], s.light[1], s.light[2]));
  }
  const auto middle = luminance.begin() + static_cast<int64_t>(luminance.size() / 2);
  std::nth_element(luminance.begin(), middle, luminance.end());
  const double level = std::max(1e-6, *middle), scale = 1 / level;
  Eigen::MatrixXd a(rows, columns), wanted(rows, 3);
  Eigen::VectorXd values(columns);
  for (Eigen::Index i = 0; i < rows; ++i) {
    const Sample& s = samples[static_cast<size_t>(i)];
    basis.At(s.px, values);
    a.row(i) = scale * values.transpose();
    for (int c = 0; c < 3; ++c) wanted(i, c) = scale * s.light[static_cast<size_t>(c)];
  }
  const RobustSum found = FitRobustly(a, wanted);
  DiffuseFit fit{Image<SceneLinear>(light.size()),
                 level,
                 found.spread,
                 basis.axis().x(),
                 basis.axis().y(),
                 normals == nullptr};
  Evaluate(basis, found.x, mask, lit, fit.light);
  return fit;
}

}  // namespace

std::optional<DiffuseFit> FitDiffuse(ImageView<SceneLinear> light, const cv::Mat& mask,
                                     const Image<NormalPlanes>* normals) {
  return Fit(light, mask, normals, nullptr, mask);
}

std::optional<DiffuseFit> FitShadow(ImageView<SceneLinear> light, const cv::Mat& mask,
                                    const Image<NormalPlanes>* normals, const DiffuseFit& lit,
                                    const cv::Mat& shaded) {
  return Fit(light, mask, normals, &lit, shaded);
}

}  // namespace wheatpaste

#include "light/separate_reflectance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "base/smoothstep.h"
#include "light/grid_potential.h"
#include "light/log_colour.h"
#include "light/material_modes.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;
// Darker than this share of the picture's bright parts a pixel's chroma is noise.
constexpr float kDarkest = 2e-3f;
// Half the width of a blurred edge of solid ink, beyond the reach.
constexpr int kInkFlank = 2;
// A print's slope of light is the mean over so many px to each side.
constexpr int kSlopeReach = 5;
// Deviations of log light below this count by their square, larger ones by their size.
constexpr float kSmallDeviation = 0.02f;
// The pull of a material against one step, and the distance from it beyond which it lets go.
constexpr float kMaterialPull = 0.05f, kMaterialReach = 0.3f;
constexpr double kTolerance = 1e-2;
constexpr int kMostSteps = 30;
constexpr size_t kMostSamples = size_t{1} << 18;

using Plane = std::vector<float>;

struct Logs {
  int64_t width = 0, height = 0;
  std::vector<uint8_t> in;
  Plane level;      // m
  Plane chroma[2];  // chi (log_colour.h)

  size_t count() const { return in.size(); }
  size_t at(int64_t x, int64_t y) const { return static_cast<size_t>(y * width + x); }
  template <typename Work>
  void ForPixels(const Work& work) const {
    ParallelRows(height, kBandRows, [&](int64_t y0, int64_t y1) {
      for (size_t i = at(0, y0); i < at(0, y1); ++i) {
        if (in[i]) work(i);
      }
    });
  }
};

cv::Mat AsMat(const Logs& logs, Plane& plane) {
  return {static_cast<int>(logs.height), static_cast<int>(logs.width), CV_32F, plane.data()};
}

void BoxMean(const cv::Mat& from, int side, cv::Mat& to) {
  cv::boxFilter(from, to, CV_32F, cv::Size(side, side), cv::Point(-1, -1), true,
                cv::BORDER_CONSTANT);
}

Logs TakeLogs(ImageView<SceneLinear> light, ImageView<Coverage> inside) {
  Logs logs;
  logs.width = light.width();
  logs.height = light.height();
  const auto count = static_cast<size_t>(light.size().area());
  logs.in.assign(count, 0);
  logs.level.assign(count, 0);
  for (Plane& plane : logs.chroma) plane.assign(count, 0);
  ParallelRows(logs.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < logs.width; ++x) {
        logs.in[logs.at(x, y)] = inside.row(y)[x] >= Coverage::kWhole ? 1 : 0;
      }
    }
  });
  Plane levels;
  for (size_t i = 0; i < count; i += count / kMostSamples + 1) {
    if (!logs.in[i]) continue;
    const auto y = static_cast<int64_t>(i) / logs.width, x = static_cast<int64_t>(i) % logs.width;
    levels.push_back(LuminanceAt(light, x, y));
  }
  float floor = 1e-6f;
  if (!levels.empty()) {
    const auto bright = levels.begin() + static_cast<int64_t>(levels.size() * 9 / 10);
    std::nth_element(levels.begin(), bright, levels.end());
    floor = std::max(floor, kDarkest * *bright);
  }
  logs.ForPixels([&](size_t i) {
    const auto y = static_cast<int64_t>(i) / logs.width, x = static_cast<int64_t>(i) % logs.width;
    std::array<float, 3> bands;
    for (int c = 0; c < 3; ++c) {
      bands[static_cast<size_t>(c)] = std::log(std::max(light.row(c, y)[x], floor));
    }
    const LogColour colour = LogColourOf(bands);
    logs.level[i] = colour.level;
    for (size_t axis = 0; axis < 2; ++axis) logs.chroma[axis][i] = colour.chroma[axis];
  });
  return logs;
}

// Chroma over 3 x 3 px of the mask: its noise is what keeps pale prints hidden.
void SmoothChroma(Logs& logs) {
  Plane mask(logs.count());
  logs.ForPixels([&](size_t i) { mask[i] = 1; });
  cv::Mat share, mean;
  BoxMean(AsMat(logs, mask), 3, share);
  for (Plane& plane : logs.chroma) {
    BoxMean(AsMat(logs, plane), 3, mean);
    const float* sums = mean.ptr<float>();
    const float* shares = share.ptr<float>();
    logs.ForPixels([&](size_t i) { plane[i] = sums[i] / shares[i]; });
  }
}

// The steps along one axis.
struct Steps {
  Plane chroma, wide_level;  // |d chi|, |d m| over the reach
  Plane level;               // d m between the two pixels
  Plane weight;              // 1 where both are in the mask, else 0
};

Steps TakeSteps(const Logs& logs, bool right) {
  Steps steps;
  for (Plane* plane : {&steps.chroma, &steps.wide_level, &steps.level, &steps.weight}) {
    plane->assign(logs.count(), 0);
  }
  const size_t stride = right ? 1 : static_cast<size_t>(logs.width);
  const int64_t last = right ? logs.width : logs.height;
  logs.ForPixels([&](size_t i) {
    const auto y = static_cast<int64_t>(i) / logs.width, x = static_cast<int64_t>(i) % logs.width;
    const int64_t here = right ? x : y;
    if (here + 1 >= last || !logs.in[i + stride]) return;
    steps.weight[i] = 1;
    steps.level[i] = logs.level[i + stride] - logs.level[i];
    size_t a = i, b = i + stride;
    for (int64_t k = 1; k <= kEdgeReach && here - k >= 0 && logs.in[a - stride]; ++k) a -= stride;
    for (int64_t k = 2; k <= kEdgeReach + 1 && here + k < last && logs.in[b + stride]; ++k) {
      b += stride;
    }
    const float d0 = logs.chroma[0][b] - logs.chroma[0][a],
                d1 = logs.chroma[1][b] - logs.chroma[1][a];
    steps.chroma[i] = std::sqrt(d0 * d0 + d1 * d1);
    steps.wide_level[i] = std::abs(logs.level[b] - logs.level[a]);
  });
  return steps;
}

// Standard deviation of chroma steps along one axis by noise alone: the lower quartile of their length, which prints do
// not reach, over that of two normal deviates (sqrt(-2 log 0.75)).
double ChromaNoise(const Steps& steps) {
  Plane lengths;
  const size_t step = steps.weight.size() / kMostSamples + 1;
  for (size_t i = 0; i < steps.weight.size(); i += step) {
    if (steps.weight[i] > 0) lengths.push_back(steps.chroma[i]);
  }
  if (lengths.empty()) return 0;
  const auto quarter = lengths.begin() + static_cast<int64_t>(lengths.size() / 4);
  std::nth_element(lengths.begin(), quarter, lengths.end());
  return double{*quarter} / std::sqrt(-2 * std::log(0.75));
}

// Steps of log light.
Plane JudgeSteps(const Logs& logs, const Steps& steps, bool right, double least_chroma) {
  const auto from = static_cast<float>(least_chroma);
  const auto to = static_cast<float>(least_chroma + kChromaStep);
  const auto pale = static_cast<float>(std::log(kPaleInk));
  const auto dark = static_cast<float>(std::log(kDarkInk));
  Plane print(logs.count()), known(logs.count()), known_step(logs.count());
  logs.ForPixels([&](size_t i) { print[i] = Smoothstep(pale, dark, steps.wide_level[i]); });
  // A lens spreads the step of solid ink further than the reach: its flanks go with it.
  cv::Mat ink;
  const int flank = 2 * kInkFlank + 1;
  cv::dilate(AsMat(logs, print), ink,
             cv::Mat::ones(right ? cv::Size(flank, 1) : cv::Size(1, flank), CV_8U));
  logs.ForPixels([&](size_t i) {
    const float chroma =
        steps.chroma[i] - static_cast<float>(kChromaPerLevel) * steps.wide_level[i];
    print[i] = std::max(Smoothstep(from, to, chroma), ink.ptr<float>()[i]);
    known[i] = steps.weight[i] * (1 - print[i]);
    known_step[i] = known[i] * steps.level[i];
  });
  cv::Mat shares, sums;
  BoxMean(AsMat(logs, known), 2 * kSlopeReach + 1, shares);
  BoxMean(AsMat(logs, known_step), 2 * kSlopeReach + 1, sums);
  Plane out(logs.count());
  logs.ForPixels([&](size_t i) {
    // Where little nearby is known the slope is taken to be small.
    const float slope = sums.ptr<float>()[i] / (shares.ptr<float>()[i] + 0.1f);
    out[i] = known_step[i] + print[i] * slope;
  });
  return out;
}

// Weights that turn squares into absolute values for deviations beyond kSmallDeviation.
void Reweigh(const Logs& logs, const Plane& s, size_t stride, const Plane& step,
             const Plane& exists, Plane& weight) {
  logs.ForPixels([&](size_t i) {
    if (exists[i] == 0) return;
    const float deviation = std::abs(s[i + stride] - s[i] - step[i]);
    weight[i] = kSmallDeviation / std::max(kSmallDeviation, deviation);
  });
}

}  // namespace

Separation SeparateReflectance(ImageView<SceneLinear> light, ImageView<Coverage> inside) {
  WHEATPASTE_CHECK(light.size() == inside.size());
  Separation found;
  found.reflectance = Image<Reflectance>(light.size());
  found.shading = Image<RelativeLight>(light.size());
  found.steps = Image<LightSteps>(light.size());
  found.material = {1, 1, 1};
  Logs logs = TakeLogs(light, inside);
  if (std::find(logs.in.begin(), logs.in.end(), 1) == logs.in.end()) return found;
  SmoothChroma(logs);

  const Steps across = TakeSteps(logs, true), down = TakeSteps(logs, false);
  const double noise = std::min(ChromaNoise(across), ChromaNoise(down));
  const double least_chroma = std::max(kLeastChroma, kNoiseReach * noise);
  const GridEdges steps{JudgeSteps(logs, across, true, least_chroma),
                        JudgeSteps(logs, down, false, least_chroma)};
  GridEdges weight{across.weight, down.weight};
  Plane s = logs.level, anchor, target;
  const auto key = [&](size_t i) {
    return LogReflectance{logs.chroma[0][i], logs.chroma[1][i], logs.level[i] - s[i]};
  };
  const auto modes = [&] {
    std::vector<LogReflectance> samples;
    const size_t step = logs.count() / kMostSamples + 1;
    for (size_t i = 0; i < logs.count(); i += step) {
      if (logs.in[i]) samples.push_back(key(i));
    }
    // A mask of a few pixels may miss every one of them.
    for (size_t i = 0; samples.empty(); ++i) {
      if (logs.in[i]) samples.push_back(key(i));
    }
    return MaterialModes(samples);
  };
  GridPotential potential(light.size());
  const auto solve = [&] {
    potential.SetWeights(weight, anchor);
    potential.Solve(steps, target, kTolerance, kMostSteps, s);
    Reweigh(logs, s, 1, steps.right, across.weight, weight.right);
    Reweigh(logs, s, static_cast<size_t>(logs.width), steps.down, down.weight, weight.down);
  };
  solve();
  solve();
  anchor.assign(logs.count(), 0);
  target.assign(logs.count(), 0);
  for (int round = 0; round < kMaterialRounds; ++round) {
    const MaterialModes materials = modes();
    logs.ForPixels([&](size_t i) {
      const LogReflectance reflectance = key(i);
      const MaterialModes::Mode mode = materials.Near(reflectance);
      const float off = (reflectance[2] - mode.level) / kMaterialReach;
      anchor[i] = kMaterialPull * mode.weight / (1 + off * off);
      target[i] = logs.level[i] - mode.level;
    });
    solve();
  }

  // The dominating material to 1.
  const LogReflectance top = modes().dominating();
  const auto log_material = BandsOf<double>({double{top[0]}, double{top[1]}});
  for (size_t c = 0; c < 3; ++c) found.material[c] = std::exp(log_material[c]);
  logs.ForPixels([&](size_t i) {
    const auto y = static_cast<int64_t>(i) / logs.width, x = static_cast<int64_t>(i) % logs.width;
    const float shading = std::exp(s[i] + top[2]);
    found.shading.row(0, y)[x] = shading;
    found.steps.row(0, y)[x] = steps.right[i];
    found.steps.row(1, y)[x] = steps.down[i];
    for (int c = 0; c < 3; ++c) {
      const auto material = static_cast<float>(found.material[static_cast<size_t>(c)]);
      found.reflectance.row(c, y)[x] = std::max(0.0f, light.row(c, y)[x]) / (shading * material);
    }
  });
  return found;
}

}  // namespace wheatpaste

#include "light/gloss.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "base/smoothstep.h"
#include "light/dichromatic.h"
#include "light/diffuse_fit.h"
#include "light/planes.h"
#include "light/shadow_side.h"

namespace wheatpaste {
namespace {

// The residual from which light counts as gloss: begins at and is whole at these many times the fit's spread.
constexpr double kGlossFrom = 2.0, kGlossWhole = 4.0;
// A patch of gloss: px, and its peak over the middle light.
constexpr int kLeastPatchPx = 12;
constexpr double kLeastPeak = 0.05;
// Where the shape does not tell how light changes, faint swellings may as well be light.
constexpr double kLeastFlatPeak = 0.25;
// There, at the surface's edges a polynomial strays: a patch has at most this share of its rim's length on them.
constexpr double kMostSurfaceRim = 0.25;
constexpr double kMostPatchShare = 0.35;  // of the surface: more is light, not a highlight
// Of a patch's px, at most this share lies above 0.7 of its peak; half of a lobe of a cosine does, a sixth of a
// Gaussian's above a tenth of its peak.
constexpr double kPeakLevel = 0.7, kMostFlat = 0.4;
// Gloss fades out: of the pixels on a patch's rim, at most this share stand before a step of the light by more than this
// share of the peak, over kRimPx to either side. More is the edge of a shadow.
constexpr double kMostSteps = 0.4, kStep = 0.35;
constexpr int kRimPx = 3;
// Of the light's colour in a patch, on a substrate that lets the two colours be told apart.
constexpr double kLeastMirror = 0.5;
// A cast shadow: this many spreads below the fit, and this share of the surface or more.
constexpr double kShadowFrom = 6.0, kShadowFades = 1.5, kLeastShadow = 0.02;
// In it gloss is at most this much of what the same normals mirror outside.
constexpr float kMostInShadow = 1.3f;
// Unsure which side of the shadow's edge: this share of the surface's length along its axis, to either hand.
constexpr double kUnsureShare = 0.1;
constexpr int kNormalSteps = 96;  // of a table over the normal's x and y

using Bands = std::array<double, 3>;

double LuminanceOf(const Bands& bands) { return Luminance(bands[0], bands[1], bands[2]); }

Bands BandsAt(ImageView<SceneLinear> image, int x, int y) {
  return {double{image.row(0, y)[x]}, double{image.row(1, y)[x]}, double{image.row(2, y)[x]}};
}

// Y of L - D over `middle`, smoothed over 5 x 5 px of the surface, so that noise does not count.
cv::Mat Residual(const cv::Mat& luminance, const DiffuseFit& fit, double middle,
                 const cv::Mat& mask) {
  const cv::Mat residual = (luminance - LuminancePlane(fit.light.view())).mul(mask) / middle;
  return BoxSum(residual, 2) / cv::max(BoxSum(mask, 2), 1.0f);
}

// How much of a residual counts.
float SoftPart(double from, double to, double residual) {
  return static_cast<float>(Smoothstep(from, to, residual));
}

struct Patch {
  std::vector<float> residuals;  // over the middle light
  std::vector<float> rim_steps;  // of its rim's pixels, the largest change of light outwards
  int64_t surface_rim = 0;       // pixels at the surface's own edge
  double mirror = 0, all = 0;    // Y of the light's colour, Y of the whole residual
};

bool IsGloss(Patch& patch, double surface_px, bool has_colour, bool is_flat) {
  const auto count = static_cast<double>(patch.residuals.size());
  if (count < kLeastPatchPx || count > kMostPatchShare * surface_px) return false;
  const auto high =
      patch.residuals.begin() + static_cast<int64_t>(0.98 * static_cast<double>(count - 1));
  std::nth_element(patch.residuals.begin(), high, patch.residuals.end());
  const double peak = double{*high};
  if (peak < (is_flat ? kLeastFlatPeak : kLeastPeak)) return false;
  if (is_flat && static_cast<double>(patch.surface_rim) >
                     kMostSurfaceRim * static_cast<double>(patch.rim_steps.size())) {
    return false;
  }
  const auto steps = std::count_if(patch.rim_steps.begin(), patch.rim_steps.end(),
                                   [&](float step) { return double{step} > kStep * peak; });
  if (static_cast<double>(steps) > kMostSteps * static_cast<double>(patch.rim_steps.size())) {
    return false;
  }
  if (has_colour) return patch.mirror >= kLeastMirror * patch.all;
  const auto flat = std::count_if(patch.residuals.begin(), patch.residuals.end(),
                                  [&](float r) { return double{r} > kPeakLevel * peak; });
  return static_cast<double>(flat) <= kMostFlat * count;
}

// What lies round a pixel of a patch.
struct Rim {
  bool of_patch = false;    // some of the surface beside it is no part of the patch
  bool of_surface = false;  // the surface ends beside it
  float step = 0;           // largest fall of L - D outwards, over kRimPx
};
// within  also over kRimPx inwards: the residual was smoothed, so that a patch may end a little outside of a step.
Rim RimAt(const cv::Mat& sharp, const cv::Mat& mask, const cv::Mat& patch_of, bool within, int x,
          int y) {
  Rim rim;
  const auto holds = [&](int u, int v) {
    return u >= 0 && v >= 0 && u < mask.cols && v < mask.rows && mask.at<float>(v, u) > 0;
  };
  constexpr int kAround[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
  for (const auto& [dx, dy] : kAround) {
    if (!holds(x + dx, y + dy)) {
      rim.of_surface = true;
      continue;
    }
    if (patch_of.at<int>(y + dy, x + dx) == patch_of.at<int>(y, x)) continue;
    rim.of_patch = true;
    const int u = x + kRimPx * dx, v = y + kRimPx * dy;
    const int from_x = x - (within ? kRimPx * dx : 0), from_y = y - (within ? kRimPx * dy : 0);
    if (!holds(u, v) || !holds(from_x, from_y)) continue;
    rim.step = std::max(rim.step, sharp.at<float>(from_y, from_x) - sharp.at<float>(v, u));
  }
  return rim;
}

// What comes back through the substrate at a pixel, and the light itself.
void BodyAndMirror(const DiffuseFit& fit, const Bands& albedo, int x, int y, Bands& body,
                   Bands& mirror) {
  body = BandsAt(fit.light.view(), x, y);
  for (size_t k = 0; k < 3; ++k) {
    body[k] = std::max(1e-6, body[k]);
    mirror[k] = body[k] / albedo[k];
  }
}

// 255 where a patch of light above the fit looks mirrored.
cv::Mat GlossPatches(ImageView<SceneLinear> light, const cv::Mat& luminance, const DiffuseFit& fit,
                     const cv::Mat& residual, const cv::Mat& mask, const Bands& albedo) {
  const cv::Mat above = (residual > static_cast<float>(kGlossFrom * fit.spread)) & (mask > 0);
  cv::Mat patch_of;
  const int patches = cv::connectedComponents(above, patch_of, 8, CV_32S);
  const bool has_colour = HasColour(albedo);
  const cv::Mat sharp = (luminance - LuminancePlane(fit.light.view())) / fit.middle;
  std::vector<Patch> found(static_cast<size_t>(patches));
  for (int y = 0; y < patch_of.rows; ++y) {
    for (int x = 0; x < patch_of.cols; ++x) {
      const int index = patch_of.at<int>(y, x);
      if (index == 0) continue;
      Patch& patch = found[static_cast<size_t>(index)];
      patch.residuals.push_back(residual.at<float>(y, x));
      const Rim rim = RimAt(sharp, mask, patch_of, fit.is_flat, x, y);
      if (rim.of_patch) patch.rim_steps.push_back(rim.step);
      if (rim.of_surface) ++patch.surface_rim;
      if (!has_colour) continue;
      const Bands pixel = BandsAt(light, x, y);
      Bands body{}, mirror{};
      BodyAndMirror(fit, albedo, x, y, body, mirror);
      patch.mirror += SplitDichromatic(pixel, body, mirror).mirror * LuminanceOf(mirror);
      patch.all += LuminanceOf(pixel) - LuminanceOf(body);
    }
  }
  std::vector<char> is_gloss(found.size(), 0);
  const double surface_px = cv::sum(mask)[0];
  for (size_t i = 1; i < found.size(); ++i) {
    is_gloss[i] = IsGloss(found[i], surface_px, has_colour, fit.is_flat) ? 1 : 0;
  }
  cv::Mat gloss = cv::Mat::zeros(mask.size(), CV_8U);
  for (int y = 0; y < gloss.rows; ++y) {
    for (int x = 0; x < gloss.cols; ++x) {
      if (is_gloss[static_cast<size_t>(patch_of.at<int>(y, x))] != 0) gloss.at<uint8_t>(y, x) = 255;
    }
  }
  return gloss;
}

// S of one pixel, as far as `part` of what lies above D is gloss; Y of it at most `most`.
void PutGloss(ImageView<SceneLinear> light, const DiffuseFit& fit, float part, float most, int x,
              int y, Image<SceneLinear>& mirrored) {
  float bands[3];
  for (int c = 0; c < 3; ++c) {
    const float l = light.row(c, y)[x];
    bands[c] = part * std::clamp(l - fit.light.row(c, y)[x], 0.0f, std::max(l, 0.0f));
  }
  const float own = Luminance(bands[0], bands[1], bands[2]);
  const float kept = own > most ? most / own : 1;
  for (int c = 0; c < 3; ++c) mirrored.row(c, y)[x] = kept * bands[c];
}

cv::Point BinOf(const Image<NormalPlanes>& normals, int x, int y) {
  const auto bin = [&](int plane) {
    return std::clamp(static_cast<int>((normals.row(plane, y)[x] + 1) / 2 * kNormalSteps), 0,
                      kNormalSteps - 1);
  };
  return {bin(0), bin(1)};
}

// The most gloss, Y, that each normal mirrors somewhere.
cv::Mat GlossByNormal(const Image<SceneLinear>& mirrored, const cv::Mat& mask,
                      const Image<NormalPlanes>& normals) {
  const cv::Mat gloss = LuminancePlane(mirrored.view());
  cv::Mat table = cv::Mat::zeros(kNormalSteps, kNormalSteps, CV_32F);
  for (int y = 0; y < gloss.rows; ++y) {
    for (int x = 0; x < gloss.cols; ++x) {
      if (mask.at<float>(y, x) == 0) continue;
      float& most = table.at<float>(BinOf(normals, x, y));
      most = std::max(most, gloss.at<float>(y, x));
    }
  }
  cv::dilate(table, table, cv::Mat());
  return table;
}

// Gloss of a surface on a part of which a cast shadow lies: on either side of the shadow's edge what lies above the
// light of that side.
class GlossBesideShadow {
 public:
  GlossBesideShadow(ImageView<SceneLinear> light, const cv::Mat& luminance, const cv::Mat& mask,
                    const DiffuseFit& lit, const DiffuseFit& shadow,
                    const Image<NormalPlanes>& normals)
      : light_(light),
        lit_(lit),
        shadow_(shadow),
        normals_(normals),
        side_(FindShadowSide(luminance, mask, lit, shadow)) {
    ForgetNearEdge();
    // Smoothed on either side by itself: the shadow's edge stays hard in the gloss too.
    above_lit_ = Residual(luminance, lit, lit.middle, MaskOf(kLit, mask));
    above_shadow_ = Residual(luminance, shadow, lit.middle, MaskOf(kInShadow, mask));
  }

  // patches  where gloss was seen outside of the shadow.
  void Put(const cv::Mat& patches, const cv::Mat& by_normal, Image<SceneLinear>& mirrored) {
    cv::Mat near_patches;
    cv::dilate(patches, near_patches, cv::Mat::ones(5, 5, CV_8U));
    const auto put = [&](int x, int y, uint8_t side) {
      if (side == kLit && near_patches.at<uint8_t>(y, x) == 0) return;
      const bool lit = side == kLit;
      const float part = SoftPart(kGlossFrom * lit_.spread, kGlossWhole * lit_.spread,
                                  double{(lit ? above_lit_ : above_shadow_).at<float>(y, x)});
      PutGloss(light_, lit ? lit_ : shadow_, part,
               lit ? std::numeric_limits<float>::max()
                   : kMostInShadow * by_normal.at<float>(BinOf(normals_, x, y)),
               x, y, mirrored);
    };
    for (int y = 0; y < side_.rows; ++y) {
      for (int x = 0; x < side_.cols; ++x) {
        const uint8_t side = side_.at<uint8_t>(y, x);
        if (side == kLit || side == kInShadow) put(x, y, side);
      }
    }
    // Gloss does not jump at the shadow's edge: at unsure pixels it goes on from the sure ones, as far as either side allows.
    const cv::Mat gloss = LuminancePlane(mirrored.view());
    for (int y = 0; y < side_.rows; ++y) {
      for (int x = 0; x < side_.cols; ++x) {
        if (side_.at<uint8_t>(y, x) != kUnsure) continue;
        const auto above = [&](const DiffuseFit& fit) {
          return std::max(0.0, LuminanceOf(BandsAt(light_, x, y)) -
                                   LuminanceOf(BandsAt(fit.light.view(), x, y)));
        };
        const double own =
            std::clamp(SureBeside(gloss, x, y), above(lit_), std::max(above(lit_), above(shadow_)));
        PutGloss(light_, shadow_, 1, static_cast<float>(own), x, y, mirrored);
      }
    }
  }

 private:
  // Across a highlight a line of pixels tells the shadow's edge only roughly: near it, along the axis, none is sure.
  void ForgetNearEdge() {
    const bool down = lit_.axis_is_upright();
    const int reach =
        std::max(3, static_cast<int>(kUnsureShare * (down ? side_.rows : side_.cols)));
    const cv::Mat along =
        down ? cv::Mat::ones(2 * reach + 1, 1, CV_8U) : cv::Mat::ones(1, 2 * reach + 1, CV_8U);
    cv::Mat near_lit, near_shadow;
    cv::dilate(cv::Mat(side_ == kLit), near_lit, along);
    cv::dilate(cv::Mat(side_ == kInShadow), near_shadow, along);
    side_.setTo(kUnsure, near_lit & near_shadow & (side_ > 0));
  }

  cv::Mat MaskOf(uint8_t value, const cv::Mat& mask) const {
    cv::Mat found;
    cv::Mat((side_ == value) | (side_ == kUnsure)).convertTo(found, CV_32F, 1.0 / 255);
    return found.mul(mask);
  }

  // Mean of `gloss` at the nearest sure pixels along the surface's axis, to either hand.
  double SureBeside(const cv::Mat& gloss, int x, int y) const {
    const bool down = lit_.axis_is_upright();
    const double slope = down ? lit_.axis_x / lit_.axis_y : lit_.axis_y / lit_.axis_x;
    double sum = 0, count = 0;
    for (const int way : {-1, 1}) {
      for (int step = way;; step += way) {
        const int across = static_cast<int>(std::lround(slope * step));
        const cv::Point at(x + (down ? across : step), y + (down ? step : across));
        if (at.x < 0 || at.y < 0 || at.x >= side_.cols || at.y >= side_.rows) break;
        const uint8_t side = side_.at<uint8_t>(at);
        if (side == 0) break;
        if (side == kUnsure) continue;
        sum += double{gloss.at<float>(at)};
        count += 1;
        break;
      }
    }
    return count > 0 ? sum / count : 0;
  }

  ImageView<SceneLinear> light_;
  const DiffuseFit& lit_;
  const DiffuseFit& shadow_;
  const Image<NormalPlanes>& normals_;
  cv::Mat side_, above_lit_, above_shadow_;
};

// 1 where a cast shadow lies; empty where none of some size does.
cv::Mat ShadowMask(const cv::Mat& residual, const cv::Mat& mask, double spread) {
  const cv::Mat deep = (residual < static_cast<float>(-kShadowFrom * spread)) & (mask > 0);
  if (cv::countNonZero(deep) < kLeastShadow * cv::sum(mask)[0]) return {};
  // To where it fades out: D of the shadow is to meet D of the lit surface there.
  const cv::Mat below = (residual < static_cast<float>(-kShadowFades * spread)) & (mask > 0);
  cv::Mat part_of;
  const int parts = cv::connectedComponents(below, part_of, 8, CV_32S);
  std::vector<char> is_deep(static_cast<size_t>(parts), 0);
  cv::Mat shaded = cv::Mat::zeros(mask.size(), CV_32F);
  const auto each = [&](const auto& visit) {
    for (int y = 0; y < mask.rows; ++y) {
      for (int x = 0; x < mask.cols; ++x) {
        if (part_of.at<int>(y, x) > 0)
          visit(y, x, is_deep[static_cast<size_t>(part_of.at<int>(y, x))]);
      }
    }
  };
  each([&](int y, int x, char& found) { found |= deep.at<uint8_t>(y, x) != 0 ? 1 : 0; });
  each([&](int y, int x, char found) { shaded.at<float>(y, x) = found != 0 ? 1.0f : 0.0f; });
  return shaded;
}

// On a substrate of some colour: gloss has the light's colour, and is no more than what of a pixel has it.
void KeepLightsColour(ImageView<SceneLinear> light, const DiffuseFit& fit, const Bands& albedo,
                      Image<SceneLinear>& mirrored) {
  for (int y = 0; y < static_cast<int>(light.height()); ++y) {
    for (int x = 0; x < static_cast<int>(light.width()); ++x) {
      const double found = LuminanceOf(BandsAt(mirrored.view(), x, y));
      if (found <= 0) continue;
      Bands body{}, mirror{};
      BodyAndMirror(fit, albedo, x, y, body, mirror);
      const double split = SplitDichromatic(BandsAt(light, x, y), body, mirror).mirror;
      const double own = std::clamp(split, 0.0, found / LuminanceOf(mirror));
      for (int c = 0; c < 3; ++c) {
        mirrored.row(c, y)[x] = std::min(static_cast<float>(own * mirror[static_cast<size_t>(c)]),
                                         std::max(0.0f, light.row(c, y)[x]));
      }
    }
  }
}

}  // namespace

std::optional<Gloss> SeparateGloss(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                                   const Image<NormalPlanes>* normals,
                                   const Reflectance& substrate) {
  const cv::Mat mask = InnerMask(seen);
  const auto fit = FitDiffuse(light, mask, normals);
  if (!fit) return std::nullopt;
  const cv::Mat luminance = LuminancePlane(light);
  const cv::Mat residual = Residual(luminance, *fit, fit->middle, mask);
  const Bands albedo{substrate.r, substrate.g, substrate.b};
  const cv::Mat patches = GlossPatches(light, luminance, *fit, residual, mask, albedo);
  if (cv::countNonZero(patches) == 0) return std::nullopt;

  Gloss gloss{Image<SceneLinear>(light.size()), 0};
  for (int y = 0; y < mask.rows; ++y) {
    for (int x = 0; x < mask.cols; ++x) {
      if (patches.at<uint8_t>(y, x) == 0) continue;
      const float part = SoftPart(kGlossFrom * fit->spread, kGlossWhole * fit->spread,
                                  double{residual.at<float>(y, x)});
      PutGloss(light, *fit, part, std::numeric_limits<float>::max(), x, y, gloss.mirrored);
    }
  }
  // Where all normals are one they do not tell where gloss may be in a shadow.
  const cv::Mat shaded = fit->is_flat ? cv::Mat() : ShadowMask(residual, mask, fit->spread);
  if (!shaded.empty()) {
    if (const auto shadow = FitShadow(light, mask, normals, *fit, shaded)) {
      const cv::Mat by_normal = GlossByNormal(gloss.mirrored, mask, *normals);
      GlossBesideShadow(light, luminance, mask, *fit, *shadow, *normals)
          .Put(patches, by_normal, gloss.mirrored);
    }
  }
  if (HasColour(albedo)) KeepLightsColour(light, *fit, albedo, gloss.mirrored);
  const cv::Mat mirrored = LuminancePlane(gloss.mirrored.view());
  gloss.share = cv::countNonZero(mirrored > 0) / std::max(1.0, cv::sum(mask)[0]);
  return gloss;
}

}  // namespace wheatpaste

// diffuse_fit.h - the smooth light that a surface of one colour sends back, without gloss and cast shadows.
//
// Model, sources: gloss.h.
#pragma once

#include <cmath>
#include <optional>

#include <opencv2/core.hpp>

#include "colour/colour.h"
#include "image/image.h"
#include "surface/chart.h"

namespace wheatpaste {

inline constexpr int kLeastFitPixels = 200;

struct DiffuseFit {
  Image<SceneLinear> light;  // D of the pixels in the mask, else 0
  double middle = 0;         // median Y of the light that decided
  double spread = 0;         // of the samples that agree with D, over `middle`
  // Direction in the picture along which the normals change least.
  double axis_x = 0, axis_y = 1;
  // Whether the picture's columns are nearer to that direction than its rows.
  bool axis_is_upright() const { return std::abs(axis_y) >= std::abs(axis_x); }
  bool is_flat = false;  // D is a polynomial over the picture
};

// light    the region's pixels.
// mask     1 for the surface's pixels, else 0.
// normals  unit, towards the camera; null: a polynomial over the picture.
// returns  nothing where there are fewer than kLeastFitPixels.
std::optional<DiffuseFit> FitDiffuse(ImageView<SceneLinear> light, const cv::Mat& mask,
                                     const Image<NormalPlanes>* normals);

// The light in a cast shadow, nowhere brighter than `lit`, the fit to the whole surface.
// shaded   1 where the shadow lies.
std::optional<DiffuseFit> FitShadow(ImageView<SceneLinear> light, const cv::Mat& mask,
                                    const Image<NormalPlanes>* normals, const DiffuseFit& lit,
                                    const cv::Mat& shaded);

}  // namespace wheatpaste

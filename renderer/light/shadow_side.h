// shadow_side.h - which pixels of a surface lie in a cast shadow, where a highlight runs through its edge.
//
// Model   D1 is the surface's light outside of the shadow, D2 inside. A pixel whose light is one of the two is certain. Under
//         a highlight neither fits: there the nearest certain pixels decide, looked for both ways across the surface, in
//         the direction in which its normals change most (a highlight is narrow in that direction), past pixels where
//         D1 and D2 are one. Where the two do not agree the shadow's edge lies between them.
// Source  derived here; tests/light/gloss_test.cc.
// Threads pure functions.
#pragma once

#include <opencv2/core.hpp>

#include "light/diffuse_fit.h"

namespace wheatpaste {

// luminance  of the light (LuminancePlane).
// mask     1 where a pixel counts.
inline constexpr uint8_t kLit = 1, kInShadow = 2, kUnsure = 3;
// returns  8-bit: one of these; 0 beside the mask.
cv::Mat FindShadowSide(const cv::Mat& luminance, const cv::Mat& mask, const DiffuseFit& lit,
                       const DiffuseFit& shadow);

}  // namespace wheatpaste

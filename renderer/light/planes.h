// planes.h - single planes of floats as OpenCV keeps them, for the analysis of a region of the picture.
//
// Shape   region height x width, CV_32F, one channel.
#pragma once

#include <opencv2/core.hpp>

#include "image/image.h"

namespace wheatpaste {

// All zero.
cv::Mat NewPlane(SizePx size);

// 1 for pixels that are wholly the surface and whose neighbours within `border` px are too: nothing of what lies beside it
// has bled into them. All whole pixels where there are no such.
cv::Mat InnerMask(ImageView<Coverage> seen, int border = 1);

// Y of each pixel.
cv::Mat LuminancePlane(ImageView<SceneLinear> light);

// Sum over the (2 radius + 1)^2 pixels around each; beyond the plane there is 0.
cv::Mat BoxSum(const cv::Mat& plane, int radius);

}  // namespace wheatpaste

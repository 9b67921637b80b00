#include "surface/fill_nearest.h"

#include <utility>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "surface/chart.h"

namespace wheatpaste {

template <typename Colour>
bool FillFromNearest(ImageView<Coverage> known, MutableImageView<Colour> picture) {
  const auto width = static_cast<int>(picture.width()), height = static_cast<int>(picture.height());
  cv::Mat unknown(height, width, CV_8U);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      unknown.at<uint8_t>(y, x) = known.row(y)[x] > 0 ? uint8_t{0} : uint8_t{1};
    }
  }
  const int missing = cv::countNonZero(unknown);
  if (missing == 0) return true;
  if (missing == static_cast<int>(unknown.total())) return false;
  cv::Mat distances, labels;
  cv::distanceTransform(unknown, distances, labels, cv::DIST_L2, cv::DIST_MASK_5,
                        cv::DIST_LABEL_PIXEL);
  std::vector<std::pair<int, int>> places(static_cast<size_t>(unknown.total()) + 1);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      if (unknown.at<uint8_t>(y, x) == 0) {
        places[static_cast<size_t>(labels.at<int>(y, x))] = {x, y};
      }
    }
  }
  constexpr int64_t kBandRows = 16;
  ParallelRows(height, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const int* const label = labels.ptr<int>(static_cast<int>(y));
      for (int x = 0; x < width; ++x) {
        if (unknown.at<uint8_t>(static_cast<int>(y), x) == 0) continue;
        const auto& [from_x, from_y] = places[static_cast<size_t>(label[x])];
        for (int plane = 0; plane < Colour::kPlanes; ++plane) {
          picture.row(plane, y)[x] = picture.row(plane, from_y)[from_x];
        }
      }
    }
  });
  return true;
}

template bool FillFromNearest(ImageView<Coverage>, MutableImageView<NormalPlanes>);
template bool FillFromNearest(ImageView<Coverage>, MutableImageView<SceneLinear>);

}  // namespace wheatpaste

#include "light/shadow_side.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "light/planes.h"

namespace wheatpaste {
namespace {

// Certain within so many spreads of the fit.
constexpr double kCertain = 3;
enum class Side : uint8_t { kUnknown, kLit, kShadow, kEither, kMixed };

// Light that rises through a highlight may pass D1 or D2: a run of certain pixels shorter than this share of the
// surface's own part of the line is not.
constexpr double kLeastRun = 0.06;
void DropShortRuns(std::vector<Side>& line, int64_t surface_px) {
  for (size_t from = 0; from < line.size();) {
    size_t to = from + 1;
    while (to < line.size() && line[to] == line[from]) ++to;
    if ((line[from] == Side::kLit || line[from] == Side::kShadow) &&
        static_cast<double>(to - from) < kLeastRun * static_cast<double>(surface_px)) {
      std::fill(line.begin() + static_cast<int64_t>(from), line.begin() + static_cast<int64_t>(to),
                Side::kUnknown);
    }
    from = to;
  }
}

// Of one line across the surface: unknown pixels get the side of the certain ones on either hand, where these agree.
void FillLine(std::vector<Side>& line) {
  const size_t n = line.size();
  std::vector<size_t> before(n, n);  // nearest certain pixel at or before each; n: none
  size_t last = n;
  const auto certain = [&](size_t i) { return line[i] == Side::kLit || line[i] == Side::kShadow; };
  for (size_t i = 0; i < n; ++i) {
    if (certain(i)) last = i;
    before[i] = last;
  }
  std::vector<Side> filled = line;
  size_t next = n;
  for (size_t i = n; i-- > 0;) {
    if (certain(i)) {
      next = i;
      continue;
    }
    if (line[i] == Side::kEither) filled[i] = Side::kLit;
    if (line[i] != Side::kUnknown) continue;
    const size_t left = before[i];
    if (left == n && next == n) {
      filled[i] = Side::kLit;
    } else if (left == n || next == n) {
      filled[i] = line[next == n ? left : next];
    } else {
      filled[i] = line[left] == line[next] ? line[left] : Side::kMixed;
    }
  }
  line = std::move(filled);
}

}  // namespace

cv::Mat FindShadowSide(const cv::Mat& luminance, const cv::Mat& mask, const DiffuseFit& lit,
                       const DiffuseFit& shadow) {
  const cv::Mat y1 = LuminancePlane(lit.light.view()), y2 = LuminancePlane(shadow.light.view());
  const double near1 = kCertain * lit.spread * lit.middle;
  const double near2 = kCertain * shadow.spread * shadow.middle;
  const auto side_of = [&](int row, int column) {
    const double own = double{luminance.at<float>(row, column)},
                 d1 = double{y1.at<float>(row, column)}, d2 = double{y2.at<float>(row, column)};
    if (std::abs(d1 - d2) < near1 + near2) return Side::kEither;
    if (std::abs(own - d1) <= near1) return Side::kLit;
    return std::abs(own - d2) <= near2 ? Side::kShadow : Side::kUnknown;
  };
  cv::Mat side = cv::Mat::zeros(mask.size(), CV_8U);
  // The highlight runs along the surface's axis; lines across it are the picture's rows or columns, whichever
  // are nearer to that.
  const bool rows = lit.axis_is_upright();
  const int lines = rows ? mask.rows : mask.cols, length = rows ? mask.cols : mask.rows;
  std::vector<Side> line(static_cast<size_t>(length));
  for (int i = 0; i < lines; ++i) {
    const auto point = [&](int k) { return rows ? cv::Point(k, i) : cv::Point(i, k); };
    int64_t surface_px = 0;
    for (int k = 0; k < length; ++k) {
      const cv::Point at = point(k);
      surface_px += mask.at<float>(at) > 0 ? 1 : 0;
      line[static_cast<size_t>(k)] = mask.at<float>(at) > 0 ? side_of(at.y, at.x) : Side::kEither;
    }
    DropShortRuns(line, surface_px);
    FillLine(line);
    for (int k = 0; k < length; ++k) {
      const cv::Point at = point(k);
      if (mask.at<float>(at) == 0) continue;
      const Side own = line[static_cast<size_t>(k)];
      side.at<uint8_t>(at) = own == Side::kShadow  ? kInShadow
                             : own == Side::kMixed ? kUnsure
                                                   : kLit;
    }
  }
  return side;
}

}  // namespace wheatpaste

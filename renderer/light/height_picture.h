// height_picture.h - heights that the scene gives as a picture over a face's flat rectangle.
//
// Model   gray: black 0 to white `white_mm`. Normals: (r, g, b) = (n + 1) / 2 with x right, y up, z out; slopes
//         (-n_x, n_y) / n_z in flat mm (y down), held within kMostSlope, put together to the heights nearest to them, the
//         border free, then moved so that the border's mean is 0. Codes are numbers, not light: no profile is applied.
#pragma once

#include <array>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "surface/chart.h"
#include "surface/flat_grid.h"

namespace wheatpaste {

inline constexpr double kMostSlope = 4;

class HeightPicture {
 public:
  // Heights in mm, bilinear between the picture's pixels; the picture fills the area's bounds.
  GridValues HeightsOn(const GridShape& shape, const PrintArea& area) const;

 private:
  friend Result<HeightPicture> ReadHeightPicture(const ReliefMarks& marks);
  // First plane: gray times white_mm; or the slopes, right and down.
  bool slopes_ = false;
  int64_t width_ = 0, height_ = 0;
  std::array<std::vector<float>, 2> planes_;
};

inline constexpr int64_t kMostReliefPx = 64'000'000;

// marks   of kind kHeights or kNormals.
// errors  a file that is no picture, or larger than kMostReliefPx; normals that are not RGB.
Result<HeightPicture> ReadHeightPicture(const ReliefMarks& marks);

}  // namespace wheatpaste

// passes.h - what the analysis of a scene found, as planes of the picture's size, for inspection.
//
// Model   a pass has a value v_k on each chart k; where charts share a pixel, and at a face's edge, what is written is
//         sum c_k v_k, with c_k the share of the pixel that is seen of chart k: 0 outside all surfaces. Divided by
//         the pass "matte" it is the mean over what is seen.
// Threads the rows of a pass do not depend on each other; they run in parallel, with the same bits for any number
//         of threads.
#pragma once

#include <vector>

#include "composite/prepare_scene.h"

namespace wheatpaste {

// A chart and what only passes need of it.
struct PassChart {
  const PreparedChart* chart;
  Image<Coverage> facing;  // of the region; empty where the chart tells no normals
};

struct Pass {
  const char* file;  // "irradiance.tif"
  int bands;
  bool share;  // values from 0 to 1 for which 16 bits are enough
  const char* description;
  // Adds seen * value of one row of the chart's region to `sums`: of region.width() pixels, `bands` each.
  // row  counted from the region's top.
  void (*add)(const PassChart& chart, int64_t row, float* sums);
};

// Every pass that there is, in the order in which files are written.
const std::vector<Pass>& AllPasses();

class PassMaker {
 public:
  // scene  prepared with WantedFaces::kAllLit; it must outlive the maker.
  explicit PassMaker(const PreparedScene& scene);

  // Rows [y0, y1) of the picture, bands side by side in each pixel, tightly packed.
  void Rows(const Pass& pass, int64_t y0, int64_t y1, float* pixels) const;

 private:
  const PreparedScene& scene_;
  std::vector<PassChart> charts_;
};

}  // namespace wheatpaste

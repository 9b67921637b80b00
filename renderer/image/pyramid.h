// pyramid.h - an artwork raster and its halvings, in linear light.
//
// Model   level k + 1 is the mean of 2 x 2 pixels of level k, so a pixel of level k is the mean of a
//         square of 2^k level-0 pixels, and a point (u, v) of level 0 is (u, v) / 2^k in level k.
//         What lies beyond an edge is clear (alpha 0), or the edge repeated, side by side as asked:
//         artwork that ends inside a surface is clear outside, artwork that runs to the surface's own
//         edge repeats, so that the surface alone cuts it (a bleed).
// Source  Williams 1983, Pyramidal Parametrics, SIGGRAPH 83 (from memory).
#pragma once

#include <vector>

#include "image/image.h"

namespace wheatpaste {

struct Edges {
  bool repeat_left = false;
  bool repeat_top = false;
  bool repeat_right = false;
  bool repeat_bottom = false;
};

class Pyramid {
 public:
  // Always as many: once a level is 1 x 1, deeper ones stand for the artwork and what lies around it.
  static constexpr int kLevels = 24;

  // base  at least 1 x 1.
  Pyramid(Image<LinearPremul> base, const Edges& edges);

  int level_count() const { return static_cast<int>(levels_.size()); }
  ImageView<LinearPremul> level(int k) const { return levels_[static_cast<size_t>(k)].view(); }
  const Edges& edges() const { return edges_; }

 private:
  std::vector<Image<LinearPremul>> levels_;
  Edges edges_;
};

}  // namespace wheatpaste

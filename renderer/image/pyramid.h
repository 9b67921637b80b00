// pyramid.h - an artwork raster and its halvings, in linear light, laid out for looking up.
//
// Model   level k + 1 is the mean of 2 x 2 pixels of level k, so a pixel of level k is the mean of a
//         square of 2^k level-0 pixels, and a point (u, v) of level 0 is (u, v) / 2^k in level k.
//         What lies beyond an edge is clear (alpha 0), or the edge repeated, side by side as asked:
//         artwork that ends inside a surface is clear outside, artwork that runs to the surface's own
//         edge repeats, so that the surface alone cuts it (a bleed).
// Layout  a pixel's four values lie together (r, g, b, alpha; premultiplied), rows follow each other:
//         the few pixels under one output pixel are then few pieces of memory. (Images are planar:
//         image.h.)
// Source  Williams 1983, Pyramidal Parametrics, SIGGRAPH 83 (from memory).
#pragma once

#include <vector>

#include "image/image.h"
#include "image/kept_floats.h"

namespace wheatpaste {

struct Edges {
  bool repeat_left = false;
  bool repeat_top = false;
  bool repeat_right = false;
  bool repeat_bottom = false;
};

struct PyramidLevel {
  SizePx size;
  const float* pixels = nullptr;  // 16-byte aligned
  const float* at(int64_t x, int64_t y) const { return pixels + 4 * (y * size.width + x); }
};

// Level 0 of a pyramid, filled as its rows are made.
class PyramidBase {
 public:
  // size  at least 1 x 1.
  explicit PyramidBase(SizePx size);
  // Takes `rows`, all columns, as row y0 and those below it; from several threads at once where the rows
  // differ. Each row once, before a Pyramid is made of it.
  void Put(int64_t y0, ImageView<LinearPremul> rows);
  SizePx size() const { return size_; }

 private:
  friend class Pyramid;
  SizePx size_;
  KeptFloats pixels_;
};

class Pyramid {
 public:
  // Always as many: once a level is 1 x 1, deeper ones stand for the artwork and what lies around it.
  static constexpr int kLevels = 24;

  Pyramid(PyramidBase base, const Edges& edges);
  // base  at least 1 x 1; its memory is given back.
  Pyramid(Image<LinearPremul> base, const Edges& edges);

  PyramidLevel level(int k) const {
    const Level& l = levels_[static_cast<size_t>(k)];
    return {l.size, l.pixels.get()};
  }
  const Edges& edges() const { return edges_; }

 private:
  struct Level {
    SizePx size;
    KeptFloats pixels;
  };
  Level Halve(const Level& in) const;

  std::vector<Level> levels_;
  Edges edges_;
};

}  // namespace wheatpaste

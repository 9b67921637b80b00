// composite_rows.h - finished rows of the picture: base photo with the artworks printed on it.
//
// Model   per row: the base's codes are copied; where a placement's artwork shows, light is taken from
//         the base, artwork averaged under each pixel, ink applied in the order of the scene, and only
//         pixels that ink has touched are encoded again. All others keep the base's bits.
// Threads rows do not depend on each other: any cut into bands, in any order, on any number of threads
//         gives the same bits (tests/composite/composite_rows_test.cc).
#pragma once

#include <vector>

#include "base/parallel.h"
#include "composite/prepare_artwork.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

class Compositor {
 public:
  // Both must outlive the compositor.
  Compositor(const PreparedScene& scene, const std::vector<PreparedArtwork>& artworks);

  // Rows [y0, y1) into `codes`, tightly packed, of the base's depth.
  // CompositeRows runs on all threads, CompositeBand on the caller's.
  void CompositeRows(int64_t y0, int64_t y1, uint8_t* codes) const;
  void CompositeBand(int64_t y0, int64_t y1, uint8_t* codes) const;

 private:
  struct Scratch;
  void InkRowOf(const PreparedArtwork& artwork, int64_t y, Scratch& scratch) const;

  const PreparedScene& scene_;
  const std::vector<PreparedArtwork>& artworks_;
  CodesFromWorking encode_;
};

}  // namespace wheatpaste

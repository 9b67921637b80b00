// strips.h - the rows of a large picture, made strip by strip, each of tiles.
//
// Model   tiles are squares of LargePicture::tile_px from the picture's corner on, so that their pixels depend on nothing
//         else. A tile is a picture of its own: base codes and light from the photo's codes, charts and what stands before them as the
//         tile shows them, the analysed picture's fields looked up under its pixels (large_picture.h), artwork as far
//         as it is read there (artwork_drawer.h), and the same compositor. It is made with a margin, which
//         is cut off, since pixels look at their neighbours.
// Memory  one tile, and the codes of one strip. Rows asked for in order make each tile once.
// Source  derived here; tests/composite/strips_test.cc holds strips against whole pictures.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "base/error.h"
#include "composite/artwork_drawer.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

class StripMaker {
 public:
  // scene, drawer  of a large picture; they outlive the maker.
  StripMaker(const PreparedScene& scene, const ArtworkDrawer& drawer);

  // Rows [y0, y1) into `codes`, as Compositor::CompositeRows; on all threads, but one call at a time.
  // errors  artwork that cannot be drawn.
  Status CompositeRows(int64_t y0, int64_t y1, uint8_t* codes);

 private:
  Status MakeStrip(int64_t y0);
  Status MakeTile(const RectPx& tile, const RectPx& strip);
  void ShowCharts(const RectPx& wide);
  void LookUpLight(const RectPx& wide, const std::vector<PreparedArtwork>& artworks);

  const PreparedScene& scene_;
  const ArtworkDrawer& drawer_;
  PreparedScene tile_;  // refilled for each
  Bytes strip_;         // codes of rows [first_, last_)
  int64_t first_ = 0, last_ = 0;
};

}  // namespace wheatpaste

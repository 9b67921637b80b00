// artwork_drawer.h - the artworks of a scene, drawn whole or as far as a part of its picture shows them.
//
// Density kRasterDensity raster px per picture px where the artwork is seen largest; less where kMostRasterPx of it, or of
//         a part kMostPartPx, would not do. A part that sees its artwork small is drawn as small as its pixels read it,
//         by halves.
// Parts   hold what the pixels' filters reach, the shadow and the finishes about it, and are cut where px of the deepest
//         level read end: so each px of the pyramid is that of the whole raster's.
// Source  derived here; tests/composite/strips_test.cc.
#pragma once

#include <memory>
#include <vector>

#include "artwork/svg_artwork.h"
#include "composite/prepare_artwork.h"
#include "composite/raster_part.h"

namespace wheatpaste {

// More raster px than this are not drawn for one placement (1 GiB), nor for one part of a large picture.
inline constexpr int64_t kMostRasterPx = int64_t{64} << 20, kMostPartPx = int64_t{5} << 20;
// Nor are sides longer than this, which vector artwork could not be drawn at.
inline constexpr int64_t kMostRasterSidePx = kMaxDrawingSidePx;

class Films;

// The artworks of a scene, laid out in its picture; whatever drawing them for any part of it shares is made once.
// Threads  const members: any.
class ArtworkDrawer {
 public:
  // prepared  outlives the drawer.
  // Expects every name that a placement uses to be in `artworks`.
  ArtworkDrawer(const PreparedScene& prepared, const ArtworkByName& artworks);
  ~ArtworkDrawer();
  ArtworkDrawer(ArtworkDrawer&&) noexcept;

  // Nothing is drawn yet: pieces of the analysed picture, finishes that cover nothing.
  std::vector<PreparedArtwork> LaidOut() const;
  // Each artwork for the whole picture. Placements that show the same artwork at the same density share one raster; of a
  // large raster only what the picture reads is drawn.
  // errors  artwork that cannot be drawn.
  Result<std::vector<PreparedArtwork>> DrawWhole() const;
  // What a part of the picture needs of them, those that it shows.
  // part  its frame is of some of the picture's px; its surfaces have the charts of the scene, in their order.
  Result<std::vector<PreparedArtwork>> DrawFor(const PreparedScene& part) const;

 private:
  struct Layout;
  struct Shared;  // of one placement
  struct Printed;
  Layout LayOut(const PreparedScene& prepared, size_t index) const;
  const Artwork& ArtworkOf(size_t index) const;
  Result<Printed> Print(size_t index, const RasterPart& at, const Edges& edges) const;
  RasterPart WorthDrawing(size_t index, Layout& layout) const;
  Status Finish(size_t index, const RasterPart& at, PreparedArtwork& ready) const;
  void Place(const PreparedScene& prepared, SizePx raster, const RectPx& part,
             Layout& layout) const;

  const PreparedScene& prepared_;
  ArtworkByName artworks_;
  std::vector<Layout> layouts_;
  std::vector<Shared> shared_;
  std::unique_ptr<Films> films_;
};

}  // namespace wheatpaste

// composite_rows.h - finished rows of the picture: base photo with the artworks printed on it.
//
// Model   per row: the base's codes are copied; where a placement's artwork shows, light is taken from
//         the base, artwork averaged under each pixel, ink applied, and only pixels that ink has touched
//         are encoded again. All others keep the base's bits.
// Order   surfaces in the order of their first placement; on one surface, placements in the order of the
//         scene. Charts of one surface never overlap, so in a pixel that several share (an edge of a box,
//         a seam) what each adds is summed by its share c_k of the pixel: L' = L + sum c_k (L'_k - L), with
//         L'_k as if chart k filled the pixel. No line of bare substrate shows between them. On a stage the light L_k of each face alone is
//         known, and the sum is L + sum c_k (L'_k - L_k): no pale line where a bright substrate, printed dark, ends before something dark.
// Focus   the pixel filter through which artwork is seen is widened to the blur that the photo has there.
// Grain   noise is added until the pixel has what the photo has at its new level (light/grain.h, ink/apply_ink.h).
// Threads rows do not depend on each other: any cut into bands, in any order, on any number of threads
//         gives the same bits (tests/composite/composite_rows_test.cc).
#pragma once

#include <vector>

#include "base/parallel.h"
#include "composite/guides.h"
#include "composite/prepare_artwork.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

class Compositor {
 public:
  // All must outlive the compositor.
  // guides  drawn over everything; may be null.
  // gain    of the finished light of every pixel, of the colour that prints throw (thrown_colour.h); may be null.
  Compositor(const PreparedScene& scene, const std::vector<PreparedArtwork>& artworks,
             const Guides* guides = nullptr, const Image<SceneLinear>* gain = nullptr);

  // Rows [y0, y1) into `codes`, tightly packed, of the base's depth.
  // CompositeRows runs on all threads, CompositeBand on the caller's.
  void CompositeRows(int64_t y0, int64_t y1, uint8_t* codes) const;
  void CompositeBand(int64_t y0, int64_t y1, uint8_t* codes) const;

 private:
  struct Scratch;
  struct Part {  // one piece of one placement
    const PreparedArtwork* artwork;
    const ArtworkPiece* piece;
  };
  struct ChartParts {
    const PreparedChart* chart;
    std::vector<Part> parts;  // in the order of the scene
  };
  struct SurfaceParts {
    const PreparedSurface* surface;
    std::vector<ChartParts> charts;
  };

  void Gain(int64_t y, Scratch& scratch) const;
  // The light of a face alone, where that is known and it shares pixels with others.
  void TakeOwnLight(const PreparedChart& chart, int64_t y, const Span& span,
                    Scratch& scratch) const;
  void InkSurface(const SurfaceParts& surface, int64_t y, Scratch& scratch) const;
  // From the base picture, where it has not been taken yet.
  void TakeLight(int64_t y, const Span& span, Scratch& scratch) const;
  void InkPart(const PreparedSurface& surface, const PreparedChart& chart, const Part& part,
               const float* seen, int64_t y, Scratch& scratch) const;

  const PreparedScene& scene_;
  const Guides* guides_;
  const Image<SceneLinear>* gain_;
  std::vector<SurfaceParts> surfaces_;
};

}  // namespace wheatpaste

// mesh_chart.h - an island of a mesh's flat pattern as the picture shows it.
//
// Model   the first triangle under each output pixel's centre; on it surface mm is a projective map of the photo,
//         so mm and their change along a pixel are exact for that triangle. Where a pixel and its eight neighbours
//         do not all see the front of the same island, kSubRays rays through the pixel count how much of it each
//         island covers: the charts of a mesh add up to at most 1. What one island holds twice (a fold before
//         its own back) is one face of the picture. A triangle seen from behind is not printed, but hides.
//         Parts narrower than a pixel that no centre and no neighbour's centre meets are not seen.
// Lens    with a lens that is not a point, pixels as near to an edge as the blur of its sides reaches (but of one that is farther than
//         all islands asked for: it hides none of them) count kLensRays rays, each from its own place on the lens through where the
//         pixel is in focus; their mm are the mean of what those rays meet. Blur is the circle of confusion of a thin lens:
//         diameter_px = 2 radius focal_px |1 / focus - 1 / depth|, of standard deviation a quarter of it (of a disc along one axis).
// Source  derived here; mesh_chart_test.cc holds it against closed forms. Sub-rays at Hammersley's points
//         (van der Corput's sequence in base 2).
#pragma once

#include <memory>
#include <optional>

#include "surface/chart.h"
#include "surface/mesh_tracer.h"

namespace wheatpaste {

class MeshChart : public Chart {
 public:
  MeshChart(std::shared_ptr<const MeshTracer> tracer, int32_t island)
      : tracer_(std::move(tracer)), island_(island) {}
  ChartPicture Picture(const Frame& frame) const override;
  // As of the smooth thing that the mesh stands for (mesh_normals.h).
  std::optional<Image<NormalPlanes>> Normals(const Frame& frame,
                                             const RectPx& region) const override;

 private:
  std::shared_ptr<const MeshTracer> tracer_;
  int32_t island_;
};

}  // namespace wheatpaste

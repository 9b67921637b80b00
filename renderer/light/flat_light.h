// flat_light.h - the light that a face shows, laid flat: as a ratio to what it would show without relief.
//
// Model   luminance of the pixels that are wholly the face, averaged at the nodes of a grid over its flat mm. Then
//           1. edges harder than slopes make them (the cast shadow of something else) are taken out: of the logarithm's
//              differences between neighbours those that stand out, kHardEdge times the usual and above kLeastEdge, count
//              as 0, and the rest is put together again (least squares, cosine transform);
//           2. what falls off slowly over the face (distance and angle of a lamp) is no relief: a surface of second order,
//              fitted to the logarithm, is divided out.
// Source  gradients put together: Frankot, Chellappa 1988, IEEE PAMI 10(4), 439-451, with the boundary free. The
//         thresholds are chosen on rendered pairs (tests/ref/relief_test.cc).
#pragma once

#include <vector>

#include <Eigen/Core>

#include "image/image.h"
#include "surface/flat_grid.h"
#include "surface/chart.h"

namespace wheatpaste {

inline constexpr double kHardEdge = 8;
inline constexpr double kLeastEdge = 0.15;

struct FlatLight {
  GridShape shape;
  GridValues light;             // luminance
  std::vector<double> weights;  // 1 where pixels were seen, 0 where it is filled in
};

// light, seen, mm  of the same pixels.
// Threads          runs in parallel; the same bits for any thread count.
FlatLight LayFlat(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                  ImageView<SurfaceMmPlanes> mm, const GridShape& shape);

// Takes hard edges out of `light`, in place; true where there were any.
bool RemoveHardEdges(FlatLight& flat);

// The field whose differences to the right and down are nearest to those given, its border free; mean 0. The last
// column of `across` and the last row of `down` are not looked at.
GridValues PutTogether(const GridShape& shape, const GridValues& across, const GridValues& down);

struct LightRatio {
  GridValues ratio;  // light over its slow fall-off: around 1
  Eigen::Vector2d
      brighter;  // towards the brighter end: change of the fall-off's logarithm per mm, in the middle
};
LightRatio RatioToBase(const FlatLight& flat);

}  // namespace wheatpaste

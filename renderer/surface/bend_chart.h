// bend_chart.h - a chart's picture with its face no longer flat: heights above it move what each pixel shows.
//
// Model   where the face is marked at flat mm m, the ray meets the bent sheet at m' = m + h(m) w(m), with h the solution
//         of h = z(m + h w) for the heights z and the view's shift w (face_view.h). Artwork is printed on the sheet by
//         its flat mm: the pixel shows m', and its footprint is (d m' / d m) J.
// Folds   parts of the sheet that stand behind others are not seen: z is first raised to the envelope that rays can
//         reach, w . grad z <= kMostLean. Then d m' / d m = 1 / (1 - w . grad z) > 0 along w; held on the grid itself
//         at every cell's corners (a bilinear cell turns over nowhere if it does not at its corners), with all heights
//         scaled down where rounding to the grid leaves less than kLeastChange.
// Edges   the artwork stays within the face: shifts are held below kEdgeShare of the distance to each side.
// Source  derived here; bend_chart_test.cc checks it.
#pragma once

#include "surface/face_view.h"

namespace wheatpaste {

inline constexpr double kMostLean = 0.8;
inline constexpr double kLeastChange = 0.02;
inline constexpr double kEdgeShare = 0.9;

// A face's bend: what it makes of a picture of it, of any size and any part of the face.
struct FaceBend {
  GridShape shape;
  GridValues shift_x, shift_y;  // m' - m, mm
  GridValues heights;           // h
};

// picture  with mm of each pixel (StoreMm); bent in place.
// returns  mm above the face, of the region's pixels; 0 beside it.
Image<Coverage> ApplyBend(const FaceBend& bend, ChartPicture& picture);

struct BendReport {
  double kept = 1;           // share of the heights that was used
  double least_change = 1;   // smallest det (d m' / d m) over the grid: above 0
  double hidden_share = 0;   // share of the sheet that stands behind its own folds
  double most_shift_mm = 0;  // farthest that artwork was moved
  FaceBend bend;             // that was applied
  Image<Coverage> heights;   // as ApplyBend returns them
};

// picture  with mm of each pixel (StoreMm); bent in place.
// area     of the face.
// heights  mm above the face, towards the camera, at the nodes of `shape`.
BendReport BendPicture(const FaceView& view, const PrintArea& area, const GridShape& shape,
                       GridValues heights, ChartPicture& picture);

}  // namespace wheatpaste

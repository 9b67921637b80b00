// turned.h - things turned about the y axis from a profile.
//
// Profile a line of points (radius, y) that is walked with the outside on its left as (radius right, y up) is drawn: from the
//         middle of a top outwards, down the outside, inwards below. Corners are sharp between strokes, smooth within an arc.
// Azimuth 0 faces +z, positive towards +x; the seam lies at the back.
#pragma once

#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/frustum.h"
#include "stage/solid_builder.h"

namespace wheatpaste {

// Segments around: at a radius of 700 px in a picture a chord leaves its arc by 0.05 px.
inline constexpr int kSegmentsAround = 256;

struct ProfilePoint {
  Eigen::Vector2d at;      // radius, y
  Eigen::Vector2d normal;  // unit, outwards
};

class TurnedProfile {
 public:
  explicit TurnedProfile(Eigen::Vector2d start) : at_(start) {}
  // pieces  of equal length.
  void LineTo(Eigen::Vector2d to, int pieces = 1);
  // A quarter of an ellipse, or less, as a smooth corner: leaves along the line to `corner`, arrives along the line from it.
  void CurveTo(Eigen::Vector2d corner, Eigen::Vector2d to, int pieces = 12);
  // An arc about `centre`, by `turn` radians, counter-clockwise as drawn.
  void Arc(Eigen::Vector2d centre, double turn_rad, int pieces);

  Eigen::Vector2d end() const { return at_; }
  const std::vector<std::vector<ProfilePoint>>& strokes() const { return strokes_; }

 private:
  void Add(std::vector<ProfilePoint> stroke);
  Eigen::Vector2d at_;
  std::vector<std::vector<ProfilePoint>> strokes_;
};

void AddTurned(SolidBuilder& builder, const TurnedProfile& profile, int32_t part,
               int segments = kSegmentsAround);

// The side of a cup or can with its flat pattern (geometry/frustum.h): a chart of its own and the face "wrap". Surface mm as of
// `shape = "cone"` and `shape = "cylinder"` of a scene.
// size       of the whole side, its lower rim at y = `foot`.
// top, low   what is built of it: mm down from its upper rim.
void AddWrap(SolidBuilder& builder, const FrustumSize& size, double foot, double top, double low,
             int32_t part);

// The azimuth of the column `i` of `segments`, -pi to pi, and its sine and cosine: the first and the last lie at the same place.
struct Column {
  double azimuth_rad, sine, cosine;
};
Column ColumnAt(int i, int segments = kSegmentsAround);

}  // namespace wheatpaste

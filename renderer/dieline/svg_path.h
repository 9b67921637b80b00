// svg_path.h - the path grammar of SVG: text to points.
//
// Model   every command (M L H V C S Q T A Z, both cases). Curves become straight pieces that stay within `tolerance` of them:
//         a quadratic or cubic is cut into n = sqrt(sqrt(k) / (8 tolerance)) equal pieces, k the square of the largest second
//         difference times its degree factor; an ellipse by its sagitta.
// Units   of the path; the transform from there to mm is applied to the curves' points, so that the tolerance is mm.
// Limits  kMostPathPoints in one path.
// Source  SVG 1.1 (second edition), 8.3 path data and its grammar, and F.6 for the arc's centre; the bound of a piece of a curve from
//         its second derivative, |f - chord| <= h^2 / 8 max|f''|. Judged by another program's raster in the tests.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <Eigen/Geometry>

#include "base/error.h"

namespace wheatpaste {

inline constexpr double kCurveToleranceMm = 0.01;
inline constexpr size_t kMostPathPoints = 100000;

struct SvgSubpath {
  std::vector<Eigen::Vector2d> points;  // mm; at least one
  bool closed = false;                  // then the last point is not the first again
};

// mm_from_user  the transform.
// returns       what was understood; where the text is no path, the mistake in plain words is put into `mistake`.
std::vector<SvgSubpath> ReadSvgPath(std::string_view text, const Eigen::Affine2d& mm_from_user,
                                    std::string& mistake);

// An ellipse as four arcs, from its rightmost point on.
SvgSubpath SvgEllipse(const Eigen::Vector2d& centre, double rx, double ry,
                      const Eigen::Affine2d& mm_from_user);

// A number at the start of `text`, as SVG writes them, taken off it; false: none there.
bool TakeSvgNumber(std::string_view& text, double& number);
// White space and at most one comma taken off.
void SkipSvgSeparator(std::string_view& text);

}  // namespace wheatpaste

#include "surface/check_rims.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "geometry/quad.h"

namespace wheatpaste {
namespace {

constexpr size_t kFewestPoints = 3;
constexpr size_t kPrintedPoints = 4;

// Marks may miss the ellipse that they stand for by this much before they count as impossible; what is less shows
// in the fit's residual.
constexpr double kLeastSlackPx = 4;

double SlackPx(const MarkedRim& rim) {
  constexpr double kShareOfWidth = 0.04;
  return std::max(kLeastSlackPx, kShareOfWidth * (rim.points[2].x - rim.points[0].x));
}

Eigen::Vector2d MiddleOf(const MarkedRim& rim) {
  return (rim.points[0].vector() + rim.points[2].vector()) / 2;
}

// How far the near arc hangs below the line between the rim's ends, px.
double BowOf(const MarkedRim& rim) {
  const Eigen::Vector2d left = rim.points[0].vector(), right = rim.points[2].vector();
  const double share = (rim.points[1].x - left.x()) / (right.x() - left.x());
  return rim.points[1].y - (left.y() + share * (right.y() - left.y()));
}

// On which side of a to b: positive where a turn right, down the picture, leads from b to p.
double SideOf(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& p) {
  return (b.x() - a.x()) * (p.y() - a.y()) - (b.y() - a.y()) * (p.x() - a.x());
}

bool LinesCross(const MarkedRim& first, const MarkedRim& second) {
  const Eigen::Vector2d a = first.points[0].vector(), b = first.points[2].vector();
  const Eigen::Vector2d c = second.points[0].vector(), d = second.points[2].vector();
  return SideOf(a, b, c) * SideOf(a, b, d) < 0 && SideOf(c, d, a) * SideOf(c, d, b) < 0;
}

void CheckRim(const MarkedRim& rim, Errors& errors) {
  const auto refuse = [&](const std::string& message) { errors.push_back(RimError(rim, message)); };
  if (rim.points.size() < kFewestPoints) {
    return refuse(
        "expected at least three points: the rim's leftmost, the lowest of its near arc, its "
        "rightmost");
  }
  for (const PhotoPx& p : rim.points) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return refuse("expected finite photo px");
  }
  const PhotoPx &left = rim.points[0], &near = rim.points[1], &right = rim.points[2];
  const auto apart = [](const PhotoPx& a, const PhotoPx& b) {
    return (a.vector() - b.vector()).norm() >= kLeastSidePx;
  };
  // A rim on edge in a rolled picture has its extreme in y at one of its ends.
  const bool slopes = std::abs(right.y - left.y) / 2 > kLeastSlackPx;
  if (!apart(left, right) || (!slopes && (!apart(left, near) || !apart(near, right)))) {
    return refuse("expected points that lie apart; two of the first three coincide");
  }
  if (!(right.x - left.x >= kLeastSidePx)) {
    return refuse(fmt::format(
        "expected the leftmost point first and the rightmost third; the first lies {:.0f} px "
        "right of the third",
        std::max(left.x - right.x, 0.0)));
  }
  const double slack = SlackPx(rim);
  if (near.x < left.x - slack || near.x > right.x + slack) {
    return refuse(
        "expected the second point between the rim's leftmost and its rightmost; it lies beside "
        "them");
  }
  const double low = std::max(left.y, right.y), high = std::min(left.y, right.y);
  if (near.y < low - slack && near.y > high + slack) {
    return refuse(fmt::format(
        "these make no ellipse: expected the second point to be the lowest of the near arc, below "
        "y = {:g}, or, of a rim seen from below, the highest, above y = {:g}",
        low, high));
  }
  // Of the ellipse whose extremes these are, nothing lies beyond them.
  const double bow = std::abs(near.y - MiddleOf(rim).y());
  for (size_t i = kFewestPoints; i < rim.points.size(); ++i) {
    const PhotoPx& p = rim.points[i];
    if (p.x < left.x - slack || p.x > right.x + slack ||
        std::abs(p.y - MiddleOf(rim).y()) > bow + slack) {
      return refuse(fmt::format(
          "point {} lies beyond the extremes that the first three are; expected a point on the rim",
          i + 1));
    }
  }
}

}  // namespace

Error RimError(const MarkedRim& rim, const std::string& message) {
  std::string value;
  for (size_t i = 0; i < std::min(rim.points.size(), kPrintedPoints); ++i) {
    value += fmt::format("{}[{:.6g}, {:.6g}]", i > 0 ? ", " : "", rim.points[i].x, rim.points[i].y);
  }
  if (rim.points.size() > kPrintedPoints) value += ", ...";
  return {rim.place, fmt::format("{} = [{}]", rim.key, value), message};
}

Errors CheckRims(const RimMarks& rims) {
  Errors errors;
  CheckRim(rims.top, errors);
  CheckRim(rims.bottom, errors);
  if (!errors.empty()) return errors;
  if (LinesCross(rims.top, rims.bottom)) {
    return {RimError(rims.bottom, "crosses rim_top; expected each rim's points on that rim alone")};
  }
  // Between the two near arcs lies all that is seen of the side.
  if (rims.bottom.points[1].y <= rims.top.points[1].y) {
    return {
        RimError(rims.bottom,
                 "lies above rim_top in the photo; expected its near arc below that of rim_top; "
                 "are the two exchanged?")};
  }
  // Both planes are level with each other: a camera above the upper one is above the lower one.
  if (BowOf(rims.top) > SlackPx(rims.top) && BowOf(rims.bottom) < -SlackPx(rims.bottom)) {
    return {RimError(rims.bottom,
                     "shows this rim from below while rim_top is seen from above, which no camera "
                     "does; expected the second point of each rim on its near arc")};
  }
  return {};
}

std::string NameOfRimPoint(size_t index) {
  constexpr const char* kNames[] = {"its left end", "its near side", "its right end"};
  return index < kFewestPoints ? kNames[index] : fmt::format("its point {}", index + 1);
}

double PicturedSizePx(const RimMarks& rims) {
  Eigen::Vector2d low = rims.top.points[0].vector(), high = low;
  for (const MarkedRim* rim : {&rims.top, &rims.bottom}) {
    for (const PhotoPx& p : rim->points) {
      low = low.cwiseMin(p.vector());
      high = high.cwiseMax(p.vector());
    }
  }
  return (high - low).maxCoeff();
}

}  // namespace wheatpaste

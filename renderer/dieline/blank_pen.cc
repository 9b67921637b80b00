#include "dieline/blank_pen.h"

#include <algorithm>
#include <cmath>

#include "dieline/blanks.h"

namespace wheatpaste {

using Eigen::Vector2d;

void BlankPen::Cut(Points points) { drawing_.lines.push_back({true, std::move(points), {}, {}}); }

void BlankPen::Crease(const Vector2d& from, const Vector2d& to, int order) {
  drawing_.lines.push_back({false, {from, to}, {}, order});
}

void BlankPen::Name(const std::string& name, const Vector2d& at, const Vector2d& up) {
  drawing_.names.push_back({name, at, up, true});
}

void BlankPen::Glue(FlatOutline outline) { drawing_.glue.push_back(std::move(outline)); }

void BlankPen::DrawFlap(const Vector2d& from, const Vector2d& to, const Flap& flap,
                        const std::string& name, const Vector2d& up) {
  const Vector2d along = (to - from).normalized();
  const Vector2d out(along.y(), -along.x());  // to the left, y down
  const Vector2d far_from = from + flap.depth * out + flap.slant[0] * along;
  const Vector2d far_to = to + flap.depth * out - flap.slant[1] * along;
  Cut(Rounded({from, far_from, far_to, to}, flap.radius));
  Crease(from, to, flap.order);
  Name(name, (from + to) / 2 + flap.depth / 2 * out, up);
}

DielineDrawing BlankPen::Take() {
  Vector2d low(1e12, 1e12), high(-1e12, -1e12);
  for (const DielineLine& line : drawing_.lines) {
    for (const Vector2d& p : line.points) {
      low = low.cwiseMin(p);
      high = high.cwiseMax(p);
    }
  }
  const Vector2d shift = Vector2d(kBlankMarginMm, kBlankMarginMm) - low;
  for (DielineLine& line : drawing_.lines) {
    for (Vector2d& p : line.points) p += shift;
  }
  for (PanelName& name : drawing_.names) name.at += shift;
  for (FlatOutline& area : drawing_.glue) {
    for (Vector2d& p : area) p += shift;
  }
  drawing_.page = high + shift + Vector2d(kBlankMarginMm, kBlankMarginMm);
  return std::move(drawing_);
}

BlankPen::Points Rounded(const BlankPen::Points& points, double radius) {
  if (radius <= 0) return points;
  constexpr int kPieces = 12;
  BlankPen::Points rounded{points.front()};
  for (size_t i = 1; i + 1 < points.size(); ++i) {
    const Vector2d &corner = points[i], before = points[i - 1] - corner,
                   after = points[i + 1] - corner;
    const Vector2d u = before.normalized(), v = after.normalized();
    const double half = std::acos(std::clamp(u.dot(v), -1.0, 1.0)) / 2;
    const double reach =
        std::min(radius / std::tan(half), 0.49 * std::min(before.norm(), after.norm()));
    const double r = reach * std::tan(half);
    const Vector2d centre = corner + r / std::sin(half) * (u + v).normalized();
    const Vector2d start = corner + reach * u - centre, end = corner + reach * v - centre;
    const double turn = std::atan2(start.x() * end.y() - start.y() * end.x(), start.dot(end));
    for (int k = 0; k <= kPieces; ++k) {
      rounded.push_back(centre + Eigen::Rotation2Dd(turn * k / kPieces) * start);
    }
  }
  rounded.push_back(points.back());
  return rounded;
}

Walls DrawWalls(BlankPen& pen, const std::array<double, 4>& widths, double height, double glue,
                double corner, double slant) {
  Walls walls;
  walls.height = height;
  for (size_t i = 0; i < 4; ++i) walls.x[i + 1] = walls.x[i] + widths[i];
  const Vector2d up(0, -1);
  const char* names[] = {"back", "left", "front", "right"};
  for (size_t i = 0; i < 4; ++i) {
    pen.Name(names[i], {(walls.x[i] + walls.x[i + 1]) / 2, height / 2}, up);
    if (i > 0) pen.Crease({walls.x[i], 0}, {walls.x[i], height}, 1);
  }
  pen.Cut({{walls.x[4], 0}, {walls.x[4], height}});
  const FlatOutline flap{{0, height},
                         {-corner, height - corner},
                         {-glue, height - corner - slant},
                         {-glue, corner + slant},
                         {-corner, corner},
                         {0, 0}};
  pen.Cut(flap);
  pen.Crease({0, height}, {0, 0}, 1);
  pen.Name("glue_flap", {-glue / 2, height / 2}, {1, 0});
  pen.Glue(flap);
  return walls;
}

}  // namespace wheatpaste

// solid_can.cc - a drawn can with necks, a seamed end and its tab.
//
// Sizes   shares of the diameter, from memory, no source: a 330 ml can is 66 mm wide, 54 mm at its end, 115 mm high.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/solid_builder.h"
#include "stage/solids.h"
#include "stage/turned.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;

struct CanShape {
  double radius, height;
  double unit;  // mm on a can of 66 mm
  double neck, neck_low,
      neck_top;  // radius under the seam; y where the wall ends, where the neck ends
  double foot, foot_high, foot_low;
};

// The outside under the seam down to the foot, as points (radius, y).
std::vector<Eigen::Vector2d> SideOf(const CanShape& can) {
  constexpr int kNeckRows = 40, kWallRows = 16;
  const auto smooth = [](double t) { return t * t * (3 - 2 * t); };
  std::vector<Eigen::Vector2d> side;
  for (int i = 0; i <= kNeckRows; ++i) {
    const double t = static_cast<double>(i) / kNeckRows;
    // The shoulder is rounder than the bend below the seam.
    side.emplace_back(can.neck + (can.radius - can.neck) * smooth(std::pow(t, 0.85)),
                      can.neck_top + t * (can.neck_low - can.neck_top));
  }
  for (int i = 1; i <= kWallRows; ++i) {
    side.emplace_back(can.radius, can.neck_low + (can.foot_high - can.neck_low) * i / kWallRows);
  }
  for (int i = 1; i <= kNeckRows; ++i) {
    const double angle = kPi / 2 * 0.78 * i / kNeckRows, whole = std::sin(kPi / 2 * 0.78);
    const double s = std::sin(angle) / whole;
    const double in = (1 - std::cos(angle)) / (1 - std::cos(kPi / 2 * 0.78));
    side.emplace_back(can.radius + (can.foot - can.radius) * in,
                      can.foot_high + (can.foot_low - can.foot_high) * s);
  }
  return side;
}

void AddSide(SolidBuilder& builder, const CanShape& can, int32_t part) {
  const std::vector<Eigen::Vector2d> side = SideOf(can);
  std::vector<double> down{0};  // from the upper end of the straight wall
  double wall = 0;
  for (size_t i = 1; i < side.size(); ++i) {
    down.push_back(down.back() + (side[i] - side[i - 1]).norm());
    if (side[i].y() >= can.neck_low) wall = down.back();
  }
  for (double& mm : down) mm -= wall;
  SolidGrid grid(static_cast<int>(side.size()), kSegmentsAround + 1);
  for (int r = 0; r < grid.row_count; ++r) {
    const auto i = static_cast<size_t>(r);
    const Eigen::Vector2d ahead = side[std::min(i + 1, side.size() - 1)] - side[i == 0 ? 0 : i - 1];
    const Eigen::Vector2d out = Eigen::Vector2d(-ahead.y(), ahead.x()).normalized();
    for (int c = 0; c <= kSegmentsAround; ++c) {
      const Column column = ColumnAt(c);
      SolidPoint& point = grid.At(r, c);
      point.at = {side[i].x() * column.sine, side[i].y(), side[i].x() * column.cosine};
      point.normal = {out.x() * column.sine, out.y(), out.x() * column.cosine};
      point.sheet = {can.radius * (column.azimuth_rad + kPi), down[i]};
      point.texture_mm = {point.sheet.x, -point.sheet.y};
    }
  }
  const int32_t chart = builder.AddChart();
  builder.AddGrid(grid, part, chart);
  const double around = 2 * kPi * can.radius;
  SolidFace& face = builder.AddFace("wrap", {chart}, {0, 0}, {around, 0});
  face.low = {0, down.front()};
  face.high = {around, down.back()};
  face.centre = {around / 2, (can.neck_low - can.foot_high) / 2};
}

// A plate with a rounded edge about an oval with straight sides, flat on y; a hole in it where `hole` is above 0.
void AddOvalRing(SolidBuilder& builder, const Eigen::Vector3d& centre, double half_length,
                 double half_width, double wide, double high, int32_t part) {
  constexpr int kAround = 96, kAcross = 16;
  SolidGrid grid(kAround + 1, kAcross + 1);
  const double straight = half_length - half_width;
  for (int r = 0; r <= kAround; ++r) {
    const double angle = 2 * kPi * (r % kAround) / kAround;
    const double s = std::sin(angle), c = std::cos(angle);
    const Eigen::Vector3d out(c, 0, s);
    const Eigen::Vector3d spine =
        centre + (half_width - wide) * out + Eigen::Vector3d(0, 0, s > 0 ? straight : -straight);
    for (int k = 0; k <= kAcross; ++k) {
      const double around = -2 * kPi * (k % kAcross) / kAcross;
      const Eigen::Vector3d across = std::cos(around) * out, up(0, std::sin(around), 0);
      SolidPoint& point = grid.At(r, k);
      point.at = spine + wide * across + high * up;
      point.normal = (across / wide + up / high).normalized();
      point.texture_mm = {angle * half_width, around * wide};
    }
  }
  builder.AddGrid(grid, part);
}

}  // namespace

Solid BuildSolid(const CanSolid& can) {
  SolidBuilder builder;
  CanShape shape;
  shape.radius = can.diameter / 2;
  shape.height = can.height;
  const double u = shape.unit = std::min(can.diameter / 66, can.height / 60);
  shape.neck = shape.radius - 7.4 * u;
  shape.neck_top = can.height - 3 * u;
  shape.neck_low = can.height - 17 * u;
  shape.foot = shape.radius - 7.2 * u;
  shape.foot_high = 9.5 * u;
  shape.foot_low = 1.6 * u;
  AddSide(builder, shape, builder.Part("body"));

  const int32_t end = builder.Part("end");
  const double top = can.height, seam = shape.neck + 1.3 * u;
  const double panel = top - 4.2 * u, groove = top - 6.4 * u, rise = shape.neck - 4.6 * u;
  TurnedProfile lid({0, panel});
  lid.LineTo({rise - 1 * u, panel}, 8);
  lid.CurveTo({rise, panel}, {rise, panel - 1 * u}, 8);
  lid.LineTo({rise, groove + 0.8 * u});
  lid.Arc({rise + 0.8 * u, groove + 0.8 * u}, kPi, 16);
  lid.LineTo({shape.neck - 0.9 * u, top - 0.9 * u}, 4);
  lid.CurveTo({shape.neck - 0.6 * u, top}, {shape.neck + 0.2 * u, top}, 8);
  lid.CurveTo({seam, top}, {seam, top - 1 * u}, 8);
  lid.LineTo({seam, top - 2.1 * u});
  lid.CurveTo({seam, top - 2.8 * u}, {shape.neck + 0.5 * u, top - 2.8 * u}, 8);
  lid.LineTo({shape.neck, shape.neck_top});
  AddTurned(builder, lid, end);

  TurnedProfile base({shape.foot, shape.foot_low});
  base.CurveTo({shape.foot - 1.2 * u, 0}, {shape.foot - 2.2 * u, 0}, 10);
  base.CurveTo({shape.foot - 3.4 * u, 0}, {shape.foot - 3.6 * u, 1.6 * u}, 10);
  base.LineTo({shape.foot - 3.9 * u, 3.4 * u});
  base.CurveTo({shape.foot - 4.6 * u, 10.5 * u}, {0, 10.5 * u}, 32);
  AddTurned(builder, base, end);

  // The tab, its rivet, and the rim pressed about the opening.
  const int32_t tab = builder.Part("tab");
  AddOvalRing(builder, {0, panel + 1.3 * u, -3.2 * u}, 11 * u, 7.6 * u, 2.1 * u, 0.7 * u, tab);
  AddOvalRing(builder, {0, panel + 1.1 * u, 1.2 * u}, 5.6 * u, 5.5 * u, 2.7 * u, 0.5 * u, tab);
  AddOvalRing(builder, {0, panel, 9.2 * u}, 8.6 * u, 8.4 * u, 0.5 * u, 0.3 * u, end);
  TurnedProfile rivet({0, panel + 2.3 * u});
  rivet.LineTo({1.6 * u, panel + 2.3 * u});
  rivet.CurveTo({2.6 * u, panel + 2.3 * u}, {2.6 * u, panel + 1.2 * u}, 8);
  rivet.LineTo({2.6 * u, panel - 0.2 * u});
  rivet.LineTo({0, panel - 0.2 * u});
  AddTurned(builder, rivet, tab, 64);
  return builder.Finish();
}

}  // namespace wheatpaste

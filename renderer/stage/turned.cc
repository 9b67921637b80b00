#include "stage/turned.h"

#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;

Eigen::Vector2d LeftOf(const Eigen::Vector2d& along) {
  return Eigen::Vector2d(-along.y(), along.x()).normalized();
}

}  // namespace

void TurnedProfile::Add(std::vector<ProfilePoint> stroke) {
  at_ = stroke.back().at;
  strokes_.push_back(std::move(stroke));
}

void TurnedProfile::LineTo(Eigen::Vector2d to, int pieces) {
  std::vector<ProfilePoint> stroke;
  for (int i = 0; i <= pieces; ++i) {
    const double share = static_cast<double>(i) / pieces;
    stroke.push_back(
        {i == pieces ? to : Eigen::Vector2d(at_ + share * (to - at_)), LeftOf(to - at_)});
  }
  Add(std::move(stroke));
}

void TurnedProfile::CurveTo(Eigen::Vector2d corner, Eigen::Vector2d to, int pieces) {
  std::vector<ProfilePoint> stroke;
  const Eigen::Vector2d leaving = corner - at_, arriving = to - corner;
  for (int i = 0; i <= pieces; ++i) {
    const double angle = kPi / 2 * i / pieces;
    const double s = std::sin(angle), c = std::cos(angle);
    stroke.push_back({i == pieces ? to : Eigen::Vector2d(at_ + s * leaving + (1 - c) * arriving),
                      LeftOf(c * leaving + s * arriving)});
  }
  Add(std::move(stroke));
}

void TurnedProfile::Arc(Eigen::Vector2d centre, double turn_rad, int pieces) {
  std::vector<ProfilePoint> stroke;
  const Eigen::Vector2d from = at_ - centre;
  for (int i = 0; i <= pieces; ++i) {
    const double angle = turn_rad * i / pieces, c = std::cos(angle), s = std::sin(angle);
    const Eigen::Vector2d arm(c * from.x() - s * from.y(), s * from.x() + c * from.y());
    stroke.push_back({centre + arm, LeftOf(turn_rad * Eigen::Vector2d(-arm.y(), arm.x()))});
  }
  Add(std::move(stroke));
}

Column ColumnAt(int i, int segments) {
  const double azimuth = 2 * kPi * i / segments - kPi;
  if (i == 0 || i == segments) return {azimuth, 0, -1};
  return {azimuth, std::sin(azimuth), std::cos(azimuth)};
}

void AddTurned(SolidBuilder& builder, const TurnedProfile& profile, int32_t part, int segments) {
  double along = 0;
  for (const std::vector<ProfilePoint>& stroke : profile.strokes()) {
    SolidGrid grid(static_cast<int>(stroke.size()), segments + 1);
    double widest = 0;
    for (const ProfilePoint& point : stroke) widest = std::max(widest, point.at.x());
    for (int r = 0; r < grid.row_count; ++r) {
      const ProfilePoint& point = stroke[static_cast<size_t>(r)];
      if (r > 0) along += (point.at - stroke[static_cast<size_t>(r) - 1].at).norm();
      for (int c = 0; c <= segments; ++c) {
        const Column column = ColumnAt(c, segments);
        SolidPoint& to = grid.At(r, c);
        to.at = {point.at.x() * column.sine, point.at.y(), point.at.x() * column.cosine};
        to.normal = {point.normal.x() * column.sine, point.normal.y(),
                     point.normal.x() * column.cosine};
        to.texture_mm = {widest * column.azimuth_rad, -along};
      }
    }
    builder.AddGrid(grid, part);
  }
}

void AddWrap(SolidBuilder& builder, const FrustumSize& size, double foot, double top, double low,
             int32_t part) {
  constexpr int kRows = 24;
  const bool straight = size.is_cylinder();
  const SurfaceMm origin =
      straight ? SurfaceMm{-kPi * size.diameter_top / 2, -size.height / 2} : SurfaceMm{0, 0};
  const FlatPattern pattern(size, origin);
  const double slope = size.SlopeOfRadius(), length = std::hypot(1, slope);
  SolidGrid grid(kRows + 1, kSegmentsAround + 1);
  for (int r = 0; r <= kRows; ++r) {
    const double y = r == kRows ? low : top + (low - top) * r / kRows, radius = size.RadiusAt(y);
    for (int c = 0; c <= kSegmentsAround; ++c) {
      const Column column = ColumnAt(c);
      SolidPoint& point = grid.At(r, c);
      point.at = {radius * column.sine, foot + size.height - y, radius * column.cosine};
      // In the frustum's own frame y runs down: its normal (sin t, -k, -cos t).
      point.normal = {column.sine / length, slope / length, column.cosine / length};
      point.sheet = pattern.FlatFromSide({column.azimuth_rad, y});
      point.texture_mm = {point.sheet.x, -point.sheet.y};
    }
  }
  const int32_t chart = builder.AddChart();
  builder.AddGrid(grid, part, chart);
  SolidFace& face = builder.AddFace("wrap", {chart}, {0, 0}, {0, 0});
  face.low = pattern.low();
  face.high = pattern.high();
  if (straight) {
    face.centre = {face.high.x / 2, size.height / 2};
    return;
  }
  face.centre = {0, 0};
  for (int side = 0; side < 2; ++side) {
    for (int c = 0; c <= kSegmentsAround; ++c) {
      const Column column = ColumnAt(side == 0 ? c : kSegmentsAround - c);
      face.outline.push_back(
          pattern.FlatFromSide({column.azimuth_rad, side == 0 ? 0 : size.height}));
    }
  }
}

}  // namespace wheatpaste

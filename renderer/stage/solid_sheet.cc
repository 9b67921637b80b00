// solid_sheet.cc - posters, cards and swing tags.
//
// Curl    beyond a line across a lower corner, s mm into it, the sheet has turned by the angle q s^2 / 2 (a clothoid) out of its plane:
//             along = integral of cos(q s^2 / 2),  out = integral of sin(q s^2 / 2)
//         with q such that the corner stands off by `curl`. A bend about parallel lines: no length changes.
// Source  derived here; solid_sheet_test.cc measures lengths and the corner.
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>
#include <fmt/format.h>

#include "stage/solid_builder.h"
#include "stage/solids.h"
#include "stage/swept.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kGapMm = 10;
constexpr double kReachShare = 0.34;  // of the shorter side: how far a curl goes into the sheet
constexpr double kMostTurn = 0.5 * kPi;
constexpr int kHolePieces = 24;  // on each side of the square about a hole
// The curls' lines need not be alike left and right.
constexpr double kLeftAngle = 41 * kPi / 180, kRightAngle = 52 * kPi / 180;

struct Bent {
  double along = 0, out = 0, turn = 0;
};

// Simpson's rule; the integrand is smooth and turns by a quarter at most.
Bent BendAt(double s, double q) {
  constexpr int kPieces = 32;
  Bent bent;
  for (int i = 0; i <= kPieces; ++i) {
    const double weight = i == 0 || i == kPieces ? 1 : (i % 2 == 1 ? 4 : 2);
    const double t = s * i / kPieces, angle = q * t * t / 2;
    bent.along += weight * std::cos(angle);
    bent.out += weight * std::sin(angle);
  }
  bent.along *= s / (3 * kPieces);
  bent.out *= s / (3 * kPieces);
  bent.turn = q * s * s / 2;
  return bent;
}

// Where a corner's curl begins, which way it goes, how sharp it is.
struct Curl {
  Eigen::Vector2d from, into;  // a point of its line, unit; sheet plane, x right, y up
  double q = 0;
};

class BentSheet {
 public:
  BentSheet(const SheetSolid& sheet, SolidBuilder& builder) {
    const auto [width, height] = sheet.size;
    if (!(sheet.curl > 0)) return;
    const double reach = kReachShare * std::min(width, height);
    const double most = BendAt(reach, 2 * kMostTurn / (reach * reach)).out;
    double curl = sheet.curl;
    if (curl > most) {
      builder.Warn(fmt::format(
          "its corners curl by {:.0f} mm at most, {:.0f} % of its shorter side; shown so", most,
          100 * most / std::min(width, height)));
      curl = most;
    }
    double low = 0, high = 2 * kMostTurn / (reach * reach);
    for (int i = 0; i < 60; ++i) {
      const double middle = (low + high) / 2;
      (BendAt(reach, middle).out < curl ? low : high) = middle;
    }
    for (const double side : {-1.0, 1.0}) {
      const double angle = side < 0 ? kLeftAngle : kRightAngle;
      const Eigen::Vector2d corner(side * width / 2, 0);
      const Eigen::Vector2d into(side * std::cos(angle), -std::sin(angle));
      curls_.push_back({corner - reach * into, into, (low + high) / 2});
    }
  }

  bool bent() const { return !curls_.empty(); }

  // Of the front at thickness 0; x right, y up.
  void Place(const Eigen::Vector2d& flat, Eigen::Vector3d& at, Eigen::Vector3d& normal) const {
    at = {flat.x(), flat.y(), 0};
    normal = {0, 0, 1};
    for (const Curl& curl : curls_) {
      const double s = (flat - curl.from).dot(curl.into);
      if (s <= 0) continue;
      const Bent bent = BendAt(s, curl.q);
      const Eigen::Vector2d moved = flat + (bent.along - s) * curl.into;
      at = {moved.x(), moved.y(), bent.out};
      normal = {-std::sin(bent.turn) * curl.into.x(), -std::sin(bent.turn) * curl.into.y(),
                std::cos(bent.turn)};
    }
  }

 private:
  std::vector<Curl> curls_;
};

// The lines of a grid from low to high, at most `step` apart, through those given.
std::vector<double> LinesThrough(std::vector<double> through, double step) {
  std::vector<double> lines{through.front()};
  for (size_t i = 1; i < through.size(); ++i) {
    const double from = through[i - 1], to = through[i];
    const int pieces = std::max(1, static_cast<int>(std::ceil((to - from) / step)));
    for (int k = 1; k < pieces; ++k) lines.push_back(from + (to - from) * k / pieces);
    lines.push_back(to);
  }
  return lines;
}

struct Hole {
  Eigen::Vector2d centre;
  double radius, square;  // half the side of the square about it
};

class SheetMaker {
 public:
  explicit SheetMaker(const SheetSolid& sheet)
      : sheet_(sheet), bent_(sheet, builder_), body_(builder_.Part("body")) {}
  Solid Make();

 private:
  SolidPoint PointAt(const Eigen::Vector2d& flat, bool front) const;
  // A grid over the sheet's flat points, seen from the front.
  void AddBothSides(int rows, int columns, const auto& flat_at);
  void AddEdge(const std::vector<Eigen::Vector2d>& line);
  void AddAboutHole(const Hole& hole, const std::vector<double>& xs, const std::vector<double>& ys);
  void AddCordLoop(const Hole& hole);

  const SheetSolid& sheet_;
  SolidBuilder builder_;
  BentSheet bent_;
  int32_t body_;
  std::array<int32_t, 2> charts_{};
};

SolidPoint SheetMaker::PointAt(const Eigen::Vector2d& flat, bool front) const {
  const auto [width, height] = sheet_.size;
  SolidPoint point;
  bent_.Place(flat, point.at, point.normal);
  point.at.z() += sheet_.thickness;
  if (!front) point.at -= sheet_.thickness * point.normal;
  if (!front) point.normal = -point.normal;
  const double right = front ? flat.x() + width / 2 : width / 2 - flat.x();
  point.texture_mm = {right, flat.y()};
  point.sheet = {front ? right : width + kGapMm + right, height - flat.y()};
  return point;
}

void SheetMaker::AddBothSides(int rows, int columns, const auto& flat_at) {
  for (const bool front : {true, false}) {
    SolidGrid grid(rows, columns);
    for (int r = 0; r < rows; ++r) {
      for (int c = 0; c < columns; ++c) {
        grid.At(r, c) = PointAt(flat_at(r, front ? c : columns - 1 - c), front);
      }
    }
    builder_.AddGrid(grid, body_, charts_[front ? 0 : 1]);
  }
}

// line  walked with the sheet on its left.
void SheetMaker::AddEdge(const std::vector<Eigen::Vector2d>& line) {
  SolidGrid grid(2, static_cast<int>(line.size()));
  double along = 0;
  for (int c = 0; c < grid.column_count; ++c) {
    const auto i = static_cast<size_t>(c);
    if (c > 0) along += (line[i] - line[i - 1]).norm();
    const SolidPoint front = PointAt(line[i], true), back = PointAt(line[i], false);
    const Eigen::Vector3d ahead = PointAt(line[std::min(i + 1, line.size() - 1)], true).at -
                                  PointAt(line[i == 0 ? 0 : i - 1], true).at;
    const Eigen::Vector3d out = ahead.cross(front.normal).normalized();
    grid.At(0, c) = {front.at, out, {along, 0}, {}};
    grid.At(1, c) = {back.at, out, {along, -sheet_.thickness}, {}};
  }
  builder_.AddGrid(grid, builder_.Part("edge"));
}

void SheetMaker::AddAboutHole(const Hole& hole, const std::vector<double>& xs,
                              const std::vector<double>& ys) {
  // The border of the square as the lines of the sheet cut it, counter-clockwise from its bottom left.
  std::vector<Eigen::Vector2d> border;
  const auto within = [&](double v, double c) {
    return std::abs(v - c) <= hole.square * (1 + 1e-9);
  };
  std::vector<double> across, up;
  for (const double x : xs)
    if (within(x, hole.centre.x())) across.push_back(x);
  for (const double y : ys)
    if (within(y, hole.centre.y())) up.push_back(y);
  for (size_t i = 0; i + 1 < across.size(); ++i) border.emplace_back(across[i], up.front());
  for (size_t i = 0; i + 1 < up.size(); ++i) border.emplace_back(across.back(), up[i]);
  for (size_t i = across.size() - 1; i > 0; --i) border.emplace_back(across[i], up.back());
  for (size_t i = up.size() - 1; i > 0; --i) border.emplace_back(across.front(), up[i]);
  border.push_back(border.front());
  std::vector<Eigen::Vector2d> ring;
  for (const Eigen::Vector2d& point : border) {
    ring.push_back(hole.centre + hole.radius * (point - hole.centre).normalized());
  }
  constexpr int kRings = 4;
  AddBothSides(kRings + 1, static_cast<int>(border.size()), [&](int r, int c) {
    const auto i = static_cast<size_t>(c);
    const double share = static_cast<double>(r) / kRings;
    return Eigen::Vector2d(ring[i] + share * (border[i] - ring[i]));
  });
  AddEdge({ring.rbegin(), ring.rend()});
}

// A loop of string, pulled through itself: two strands lie over the top edge from the hole's either side.
void SheetMaker::AddCordLoop(const Hole& hole) {
  const double height = sheet_.size[1], t = sheet_.thickness;
  const double thick = std::clamp(0.16 * 2 * hole.radius, 0.35, 0.9);  // of the cord, its radius
  const double x = hole.centre.x(), y = hole.centre.y();
  const double over = height + 3, knot = height + 0.14 * height + 8, loop = 0.62 * height + 40;
  const double front = t + 1.05 * thick, back = -1.05 * thick, middle = t / 2;
  const double side = 0.3 * hole.radius;
  const int32_t part = builder_.Part("cord");
  // From the knot down the front, through the hole, up the back to the knot.
  const Path through = {{x - 0.4 * thick, knot, middle + thick},
                        {x - side, over + 6, front + 0.6 * thick},
                        {x - side, over - 3, front},
                        {x - side, y + hole.radius + 1.5, front},
                        {x - 0.4 * side, y + 0.35 * hole.radius, front - 0.2 * thick},
                        {x, y + 0.2 * hole.radius, middle},
                        {x + 0.4 * side, y + 0.35 * hole.radius, back + 0.2 * thick},
                        {x + side, y + hole.radius + 1.5, back},
                        {x + side, over - 3, back},
                        {x + side, over + 6, back - 0.6 * thick},
                        {x + 0.4 * thick, knot, middle - thick}};
  AddTwistedCord(builder_, SmoothPath(through, 0.35), thick, 7 * thick, 2, part);
  // The loop beyond the knot, not quite symmetric, as string lies.
  const double wide = 0.16 * loop;
  const Path beyond = {{x - 0.5 * thick, knot - 1.5, middle + 0.8 * thick},
                       {x - 0.25 * wide, knot + 0.10 * loop, middle + thick},
                       {x - 0.95 * wide, knot + 0.40 * loop, middle},
                       {x - 0.80 * wide, knot + 0.78 * loop, middle},
                       {x + 0.15 * wide, knot + 0.99 * loop, middle},
                       {x + 1.00 * wide, knot + 0.82 * loop, middle},
                       {x + 1.05 * wide, knot + 0.45 * loop, middle},
                       {x + 0.35 * wide, knot + 0.13 * loop, middle - thick},
                       {x + 0.5 * thick, knot - 1.5, middle - 0.8 * thick}};
  AddTwistedCord(builder_, SmoothPath(beyond, 0.35), thick, 7 * thick, 2, part);
  // The knot: a turn and a half about both.
  Path turns;
  for (int i = 0; i <= 60; ++i) {
    const double angle = 2 * kPi * 1.6 * i / 60;
    turns.emplace_back(x + 2.0 * thick * std::cos(angle), knot - 2 * thick + 5.2 * thick * i / 60,
                       middle + 1.7 * thick * std::sin(angle));
  }
  AddTwistedCord(builder_, SmoothPath(turns, 0.3), thick, 7 * thick, 2, part);
}

Solid SheetMaker::Make() {
  const auto [width, height] = sheet_.size;
  charts_ = {builder_.AddChart(), builder_.AddChart()};
  const double step = bent_.bent() ? std::min(width, height) / 96 : 1e9;
  std::vector<double> across{-width / 2, width / 2}, up{0, height};
  std::optional<Hole> hole;
  if (sheet_.hole) {
    const double radius = *sheet_.hole / 2;
    const double below = 2 * radius + 3;  // its centre below the top edge
    hole = Hole{{0, height - below}, radius, radius + 0.6 * (below - radius)};
    if (hole->square >= width / 2 || hole->centre.y() - hole->square <= 0) {
      builder_.Warn("the sheet is too small for its hole, which is left out");
      hole.reset();
    }
  }
  if (hole) {
    across = {-width / 2, width / 2};
    up = {0, height};
    for (int i = kHolePieces; i >= 0; --i) {
      const double share = 2.0 * i / kHolePieces - 1;
      across.insert(across.begin() + 1, hole->centre.x() + share * hole->square);
      up.insert(up.begin() + 1, hole->centre.y() + share * hole->square);
    }
  }
  const std::vector<double> xs = LinesThrough(across, step), ys = LinesThrough(up, step);
  // The block of the sheet's lines between four of them.
  const auto add_block = [&](size_t x0, size_t x1, size_t y0, size_t y1) {
    AddBothSides(static_cast<int>(y1 - y0) + 1, static_cast<int>(x1 - x0) + 1, [&](int r, int c) {
      return Eigen::Vector2d(xs[x0 + static_cast<size_t>(c)], ys[y1 - static_cast<size_t>(r)]);
    });
  };
  const size_t last_x = xs.size() - 1, last_y = ys.size() - 1;
  if (hole) {
    const auto index = [](const std::vector<double>& lines, double value) {
      return static_cast<size_t>(std::find(lines.begin(), lines.end(), value) - lines.begin());
    };
    const size_t x0 = index(xs, across[1]), x1 = index(xs, across[across.size() - 2]);
    const size_t y0 = index(ys, up[1]), y1 = index(ys, up[up.size() - 2]);
    add_block(0, last_x, 0, y0);
    add_block(0, last_x, y1, last_y);
    add_block(0, x0, y0, y1);
    add_block(x1, last_x, y0, y1);
    AddAboutHole(*hole, xs, ys);
    AddCordLoop(*hole);
  } else {
    add_block(0, last_x, 0, last_y);
  }
  std::vector<Eigen::Vector2d> bottom, right, top, left;
  for (const double x : xs) bottom.emplace_back(x, 0), top.insert(top.begin(), {x, height});
  for (const double y : ys)
    right.emplace_back(width / 2, y), left.insert(left.begin(), {-width / 2, y});
  for (const auto& line : {bottom, right, top, left}) AddEdge(line);
  builder_.AddFace("front", {charts_[0]}, {0, 0}, {width, height});
  builder_.AddFace("back", {charts_[1]}, {width + kGapMm, 0}, {width, height});
  return builder_.Finish();
}

}  // namespace

Solid BuildSolid(const SheetSolid& sheet) { return SheetMaker(sheet).Make(); }

}  // namespace wheatpaste

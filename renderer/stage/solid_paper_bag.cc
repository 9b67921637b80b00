// solid_paper_bag.cc - a kraft bag that stands open: gusseted sides, block bottom, hem, handles on patches.
//
// Walls   paper_ring.h, with the relief of handling: straight creases with a small rounding, more and deeper with `crease`; the fold of
//         the bottom across front and back; the diagonals of the sides' lower triangles. The relief moves points along normals only.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/paper_ring.h"
#include "stage/smooth_noise.h"
#include "stage/solid_builder.h"
#include "stage/solids.h"
#include "stage/swept.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kPaperMm = 0.25;
constexpr double kFoldRadius = 1.0;
constexpr double kStepMm = 2.6, kFineMm = 0.3;  // of the walls' grid; about corners
constexpr double kGapMm = 10;

struct Crease {
  Eigen::Vector2d at, along;  // flat s, w
  double half_length, height, wide;
};

class PaperBagMaker {
 public:
  explicit PaperBagMaker(const PaperBagSolid& bag)
      : bag_(bag),
        ring_(bag.size[0], bag.size[1], bag.size[2], FoldRadius(bag),
              (0.13 + 0.05 * bag.crease) * bag.size[2]),
        hem_(std::min(42.0, 0.15 * bag.size[1])) {}
  Solid Make();

 private:
  static double FoldRadius(const PaperBagSolid& bag) {
    return std::min(kFoldRadius, 0.02 * std::min({bag.size[0], bag.size[1], bag.size[2]}));
  }
  void DrawCreases();
  double ReliefAt(double s, double w) const;
  void PlaceLines();
  void PlaceWalls();
  void AddWalls();
  void AddRim();
  void AddBottom(const SolidGrid& wall, bool outside);
  void AddHandles();
  Eigen::Vector3d InsideAt(double x, double v, bool front, double off) const;

  const PaperBagSolid& bag_;
  PaperRing ring_;
  double hem_;
  std::vector<Crease> creases_;
  std::vector<double> ss_, ws_;  // columns; rows from the rim down
  SolidGrid outside_{0, 0}, inside_{0, 0};
  SolidBuilder builder_;
};

void PaperBagMaker::DrawCreases() {
  const auto [width, height, depth] = bag_.size;
  const int count = static_cast<int>(std::lround(4 + 26 * bag_.crease));
  for (int i = 0; i < count; ++i) {
    const auto draw = [&](int64_t k) { return NoiseHash(bag_.seed, 100 + i, k, 5); };
    // Mostly across the panels where hands pinch, some along.
    const double angle = (draw(0) - 0.5) * kPi * 0.9;
    const double size = std::min(width, height);
    creases_.push_back(
        {{ring_.PanelStart(0) + draw(1) * ring_.around(), (0.08 + 0.78 * draw(2)) * height},
         {std::cos(angle), std::sin(angle)},
         size * (0.05 + 0.17 * draw(3)),
         (draw(4) < 0.5 ? -1 : 1) * (0.25 + 0.55 * draw(5)) * (0.35 + 0.65 * bag_.crease),
         3 + 6 * draw(6)});
  }
  // Folds of the flat bag: the bottom's, across front and back; the sides' triangles.
  for (const double middle : {ring_.around() / 2, ring_.around()}) {
    creases_.push_back({{middle, 0.5 * depth + 6}, {1, 0}, width / 2 + 2, -0.35, 5});
  }
  for (const double fold : {ring_.around() / 4, 3 * ring_.around() / 4}) {
    for (const double side : {-1.0, 1.0}) {
      const Eigen::Vector2d along = Eigen::Vector2d(-side, 1).normalized();
      creases_.push_back({{fold + side * depth / 4, depth / 4}, along, depth * 0.36, 0.5, 4});
    }
  }
}

double PaperBagMaker::ReliefAt(double s, double w) const {
  // The back is one piece here: it goes on past where the ring begins.
  if (s < ring_.PanelStart(0)) s += ring_.around();
  const double height = bag_.size[1];
  // Paper is never quite flat; nothing bends at the corners, little at the rim.
  double from_corner = 1e9;
  for (int k = 0; k < 4; ++k)
    from_corner = std::min(from_corner, std::abs(s - ring_.PanelStart(k)));
  from_corner = std::min(from_corner, std::abs(s - ring_.PanelStart(0) - ring_.around()));
  const double fold =
      std::min(std::abs(s - ring_.around() / 4), std::abs(s - 3 * ring_.around() / 4));
  const double free = std::min(1.0, std::min(from_corner, fold) / 18);
  const double v = height - w;
  const double rim = 0.25 + 0.75 * std::min(1.0, v / hem_), foot = std::min(1.0, w / 12);
  double relief = (0.5 + 0.9 * bag_.crease) * SmoothNoise(bag_.seed * 8 + 1, s / 85, w / 105) +
                  (0.1 + 0.35 * bag_.crease) * SmoothNoise(bag_.seed * 8 + 2, s / 33, w / 29);
  for (const Crease& crease : creases_) {
    const Eigen::Vector2d off = Eigen::Vector2d(s, w) - crease.at;
    const double along = off.dot(crease.along);
    const double end = 1 - std::abs(along) / crease.half_length;
    if (end <= 0) continue;
    const double across = off.x() * crease.along.y() - off.y() * crease.along.x();
    // A ridge with straight flanks and a rounding of 0.5 mm, fading towards its ends and a little broken.
    const double ridge = std::exp(-(std::hypot(across, 0.5) - 0.5) / crease.wide);
    relief += crease.height * ridge * std::min(1.0, 2.5 * end) *
              (0.8 + 0.2 * SmoothNoise(bag_.seed * 8 + 3, s / 9, w / 9));
  }
  return relief * free * rim * foot;
}

void PaperBagMaker::PlaceLines() {
  const double height = bag_.size[1], around = ring_.around();
  // Fine about corners and side folds, even between.
  std::vector<double> marks{0};
  const std::array folds{ring_.PanelStart(0), around / 4,     ring_.PanelStart(1),
                         ring_.PanelStart(2), 3 * around / 4, ring_.PanelStart(3)};
  constexpr int kFine = 10;
  for (const double fold : folds) {
    for (int i = -kFine; i <= kFine; ++i) marks.push_back(fold + i * kFineMm);
  }
  marks.push_back(around);
  ss_ = {0};
  for (size_t i = 1; i < marks.size(); ++i) {
    const double from = ss_.back(), to = marks[i];
    const int pieces = std::max(1, static_cast<int>(std::ceil((to - from) / kStepMm - 1e-9)));
    for (int k = 1; k <= pieces; ++k)
      ss_.push_back(k == pieces ? to : from + (to - from) * k / pieces);
  }
  const int rows = static_cast<int>(std::ceil(height / kStepMm));
  for (int i = 0; i <= rows; ++i) ws_.push_back(height * (rows - i) / rows);
}

void PaperBagMaker::PlaceWalls() {
  const double height = bag_.size[1];
  const int rows = static_cast<int>(ws_.size()), columns = static_cast<int>(ss_.size());
  // Normals of the closed ring: differences across where it begins, too.
  const auto set_normals = [&](SolidGrid& grid) {
    SetGridNormals(grid);
    for (int r = 0; r < rows; ++r) {
      const Eigen::Vector3d across = grid.At(r, 1).at - grid.At(r, columns - 2).at;
      const Eigen::Vector3d down =
          grid.At(std::min(r + 1, rows - 1), 0).at - grid.At(std::max(r - 1, 0), 0).at;
      grid.At(r, 0).normal = grid.At(r, columns - 1).normal = down.cross(across).normalized();
    }
  };
  outside_ = SolidGrid(rows, columns);
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      SolidPoint& point = outside_.At(r, c);
      point.at =
          ring_.At(c == columns - 1 ? 0 : ss_[static_cast<size_t>(c)], ws_[static_cast<size_t>(r)]);
      point.at.y() += FoldRadius(bag_);
    }
  }
  set_normals(outside_);
  inside_ = outside_;
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      const double s = c == columns - 1 ? 0 : ss_[static_cast<size_t>(c)];
      const double w = ws_[static_cast<size_t>(r)];
      SolidPoint &out = outside_.At(r, c), &in = inside_.At(r, c);
      const Eigen::Vector3d normal = out.normal;
      const double relief = ReliefAt(s, w), under = height - w <= hem_ ? 2 * kPaperMm : kPaperMm;
      in.at += (relief - under) * normal;
      out.at += relief * normal;
      out.texture_mm = in.texture_mm = {ss_[static_cast<size_t>(c)], w};
    }
  }
  set_normals(outside_);
  set_normals(inside_);
}

void PaperBagMaker::AddWalls() {
  const double height = bag_.size[1];
  const int rows = outside_.row_count;
  const auto column_of = [&](double s) {
    return static_cast<int>(
        std::min_element(ss_.begin(), ss_.end(),
                         [&](double a, double b) { return std::abs(a - s) < std::abs(b - s); }) -
        ss_.begin());
  };
  // A stretch of the ring as it is seen from outside.
  const auto part_of = [&](int from, int to, double left, double s0) {
    SolidGrid grid(rows, to - from + 1);
    for (int r = 0; r < rows; ++r) {
      for (int c = from; c <= to; ++c) {
        SolidPoint point = outside_.At(r, c);
        point.sheet = {left + ss_[static_cast<size_t>(c)] - s0,
                       height - ws_[static_cast<size_t>(r)]};
        grid.At(r, c - from) = point;
      }
    }
    return grid;
  };
  const int32_t body = builder_.Part("body");
  const std::array<const char*, 3> names{"left", "front", "right"};
  double left = 0;
  for (int k = 0; k < 3; ++k) {
    const double s0 = ring_.PanelStart(k), s1 = ring_.PanelStart(k + 1);
    const int32_t chart = builder_.AddChart();
    builder_.AddGrid(part_of(column_of(s0), column_of(s1), left, s0), body, chart);
    builder_.AddFace(names[static_cast<size_t>(k)], {chart}, {left, 0}, {s1 - s0, height});
    left += s1 - s0 + kGapMm;
  }
  // The back is cut where the ring begins; on the sheet its halves lie side by side.
  const double s0 = ring_.PanelStart(3), width = bag_.size[0];
  const int32_t chart = builder_.AddChart();
  const int last = static_cast<int>(ss_.size()) - 1;
  builder_.AddGrid(part_of(column_of(s0), last, left, s0), body, chart);
  builder_.AddGrid(part_of(0, column_of(ring_.PanelStart(0)), left + width / 2, 0), body, chart);
  builder_.AddFace("back", {chart}, {left, 0}, {width, height});

  SolidGrid within(rows, inside_.column_count);
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < inside_.column_count; ++c) {
      SolidPoint& point = within.At(r, inside_.column_count - 1 - c);
      point = inside_.At(r, c);
      point.normal = -point.normal;
    }
  }
  builder_.AddGrid(within, builder_.Part("inside"));
}

void PaperBagMaker::AddRim() {
  constexpr int kRound = 4;
  SolidGrid grid(kRound + 1, outside_.column_count);
  for (int c = 0; c < outside_.column_count; ++c) {
    const SolidPoint &out = outside_.At(0, c), &in = inside_.At(0, c);
    const Eigen::Vector3d arm = (out.at - in.at) / 2;
    Eigen::Vector3d up = (out.at - outside_.At(1, c).at);
    up = (up - up.dot(arm) / arm.squaredNorm() * arm).normalized() * arm.norm();
    for (int r = 0; r <= kRound; ++r) {
      const double angle = kPi * (kRound - r) / kRound;
      const Eigen::Vector3d off = std::cos(angle) * arm + std::sin(angle) * up;
      SolidPoint& point = grid.At(r, c);
      point.at = r == 0        ? in.at
                 : r == kRound ? out.at
                               : Eigen::Vector3d((out.at + in.at) / 2 + off);
      point.normal = off.normalized();
      point.texture_mm = out.texture_mm;
    }
  }
  builder_.AddGrid(grid, builder_.Part("body"));
}

// From the walls' foot around the fold to the middle of the bottom.
void PaperBagMaker::AddBottom(const SolidGrid& wall, bool outside) {
  constexpr int kRound = 6;
  const double radius = FoldRadius(bag_) - (outside ? 0 : kPaperMm);
  const int last = wall.row_count - 1, columns = wall.column_count;
  SolidGrid grid(kRound + 2, columns);
  for (int c = 0; c < columns; ++c) {
    const SolidPoint& foot = wall.At(last, c);
    const Eigen::Vector3d out = Eigen::Vector3d(foot.normal.x(), 0, foot.normal.z()).normalized();
    const int to = outside ? c : columns - 1 - c;
    const double side = outside ? 1 : -1;
    for (int r = 0; r <= kRound + 1; ++r) {
      const double angle = kPi / 2 * r / kRound, s = std::sin(angle), k = std::cos(angle);
      // Inside it is walked up, from the middle to the wall.
      SolidPoint& point = grid.At(outside ? r : kRound + 1 - r, outside ? to : c);
      if (r <= kRound) {
        point.at = r == 0 ? foot.at
                          : Eigen::Vector3d(
                                foot.at - radius * ((1 - k) * out + s * Eigen::Vector3d::UnitY()));
        point.normal =
            side * (r == 0 ? foot.normal : Eigen::Vector3d(k * out - s * Eigen::Vector3d::UnitY()));
      } else {
        point.at = {0, foot.at.y() - radius, 0};
        point.normal = {0, -side, 0};
      }
      point.texture_mm = {point.at.x(), -side * point.at.z()};
    }
  }
  builder_.AddGrid(grid, builder_.Part(outside ? "body" : "inside"));
}

// A point off the inside of front or back, x mm from its middle as seen from in front, v down from the rim.
Eigen::Vector3d PaperBagMaker::InsideAt(double x, double v, bool front, double off) const {
  const double around = ring_.around(), w = bag_.size[1] - v;
  const double s = front ? around / 2 + x : (x > 0 ? around - x : -x);
  Eigen::Vector3d at = ring_.At(s, w);
  at.y() += FoldRadius(bag_);
  at.z() += (front ? 1 : -1) * (ReliefAt(s, w) - 2 * kPaperMm - off);
  return at;
}

void PaperBagMaker::AddHandles() {
  if (bag_.handles == "none") return;
  const double width = bag_.size[0];
  const bool cord = bag_.handles == "cord";
  const double apart = std::min(0.19 * width, 55.0);  // of a leg from the middle
  const double rise = std::min(0.36 * width, 105.0);  // of the loop over the rim
  const double patch_half = apart + 16, patch_high = std::min(38.0, hem_ - 2);
  const double radius = 2.1, tape = 15, thin = 0.5;
  const int32_t handles = builder_.Part("handles"), patch = builder_.Part("patch");
  for (const bool front : {true, false}) {
    const double side = front ? 1 : -1;
    // The patch lies over the legs, its edges on the paper.
    const int rows = 24, columns = 90;
    SolidGrid cover(rows + 1, columns + 1);
    for (int r = 0; r <= rows; ++r) {
      for (int c = 0; c <= columns; ++c) {
        const double x = patch_half * (2.0 * c / columns - 1), v = 3 + patch_high * r / rows;
        const double beside = std::abs(std::abs(x) - apart);
        const bool border = r == 0 || r == rows || c == 0 || c == columns;
        const double over =
            cord ? 2 * radius * std::exp(-beside * beside / 18) : 0.9 * (beside < 9);
        // Seen from within: x runs the other way in front.
        SolidPoint& point = cover.At(r, front ? columns - c : c);
        point.at = InsideAt(x, v, front, border && !(cord && beside < 6) ? -0.05 : 0.35 + over);
        point.texture_mm = {x, -v};
      }
    }
    SetGridNormals(cover);
    builder_.AddGrid(cover, patch);
    const double off = cord ? radius + 0.1 : 0.4;
    const auto leg = [&](double x, double v) { return InsideAt(x, v, front, off); };
    const double z = leg(apart, 0).z(), top = leg(apart, 0).y() + rise;
    const double lean = -side * (front ? 0.05 : 0.12) * rise;  // they lean on one another a little
    if (cord) {
      Path path{leg(-apart, patch_high), leg(-apart, 0.5 * patch_high), leg(-apart, 0)};
      constexpr int kArch = 28;
      for (int i = 1; i < kArch; ++i) {
        // Legs nearly straight, the top round.
        const double t = kPi * i / kArch, c = std::cos(t), s = std::sin(t);
        const double x = -apart * std::copysign(std::pow(std::abs(c), 0.8), c) * (1 + 0.06 * s);
        const double share = std::pow(s, 0.75);
        path.emplace_back(x, top - rise * (1 - share), z + lean * share);
      }
      for (const double v : {0.0, 0.5, 1.0}) path.push_back(leg(apart, v * patch_high));
      AddTwistedCord(builder_, SmoothPath(path, 1.0), radius, 9.5, 3, handles);
      continue;
    }
    // A tape folded over at its corners: two legs and a bar, one upon the other.
    const auto band = [&](const Eigen::Vector3d& from, const Eigen::Vector3d& to,
                          const Eigen::Vector3d& across) {
      const Eigen::Vector3d along = (to - from).normalized();
      std::vector<BandPoint> path;
      for (int i = 0; i <= 12; ++i) path.push_back({from + (to - from) * i / 12.0, across, along});
      AddBand(builder_, path, tape, thin, handles);
    };
    const Eigen::Vector3d x_axis(1, 0, 0);
    const Eigen::Vector3d up = Eigen::Vector3d(0, rise, lean).normalized();
    for (const double x : {-apart, apart}) {
      const Eigen::Vector3d foot = leg(x, patch_high), rim = leg(x, 0);
      band(foot, rim, x_axis);
      band(rim - 0.3 * up, rim + rise * up, x_axis);
    }
    const Eigen::Vector3d bar =
        leg(0, 0) + (rise - tape / 2) * up - Eigen::Vector3d(0, 0, side * 1.1 * thin);
    band(bar - (apart + tape / 2) * x_axis, bar + (apart + tape / 2) * x_axis, -up);
  }
}

Solid PaperBagMaker::Make() {
  DrawCreases();
  PlaceLines();
  PlaceWalls();
  AddWalls();
  AddRim();
  AddBottom(outside_, true);
  AddBottom(inside_, false);
  AddHandles();
  return builder_.Finish();
}

}  // namespace

Solid BuildSolid(const PaperBagSolid& bag) { return PaperBagMaker(bag).Make(); }

}  // namespace wheatpaste

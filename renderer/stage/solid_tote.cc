// solid_tote.cc - a cotton tote bag: canvas with an outside and an inside, hem and stitches, two handles sewn on.
//
// Canvas  kCanvasMm thick about what tote_cloth.h brings to rest; on it the small relief of sewing: seams pucker, the hem is double, folds
//         of having lain flat stay.
// Handles hung over a peg of kPegMm diameter whose axis is z, beside each other, its top `handle` above the rim; or standing as an arch.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/smooth_noise.h"
#include "stage/solid_builder.h"
#include "stage/solids.h"
#include "stage/swept.h"
#include "stage/tote_cloth.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kCanvasMm = 0.8;
constexpr double kBandMm = 2.0;  // thickness of a handle
constexpr double kPegMm = 26;
constexpr double kCellMm = 2.2;
constexpr double kStitchMm = 3.0, kStitchGapMm = 0.7, kThreadMm = 0.3;  // radius
constexpr double kGapMm = 20;              // between panels on the sheet
constexpr std::array kHemLines{3.0, 9.0};  // above the hem's lower edge

double Falling(double mm, double over) { return std::exp(-mm / over); }

class ToteMaker {
 public:
  explicit ToteMaker(const ToteSolid& tote) : tote_(tote), shape_(HangTote(tote, kCellMm)) {}
  Solid Make();

 private:
  using Points = std::vector<Eigen::Vector3d>;
  Points NormalsOf(const Points& points) const;
  double ReliefAt(size_t panel, double u, double v) const;
  void AddPanels();
  void AddRim(const TotePanel& panel);
  void AddHemSeams(const TotePanel& panel);
  std::vector<BandPoint> HandlePath(int face) const;
  void AddHandle(int face);

  const ToteSolid& tote_;
  ToteShape shape_;
  SolidBuilder builder_;
  Points outside_, inside_, outside_normals_, inside_normals_;
};

ToteMaker::Points ToteMaker::NormalsOf(const Points& points) const {
  Points normals(points.size(), Eigen::Vector3d::Zero());
  for (const TotePanel& panel : shape_.cloth.panels) {
    for (int r = 0; r + 1 < panel.rows; ++r) {
      for (int c = 0; c + 1 < panel.columns; ++c) {
        const std::array corners{panel.At(r, c), panel.At(r + 1, c), panel.At(r + 1, c + 1),
                                 panel.At(r, c + 1)};
        const auto at = [&](size_t k) { return points[static_cast<size_t>(corners[k])]; };
        const Eigen::Vector3d out = (at(2) - at(0)).cross(at(3) - at(1));
        for (const int32_t corner : corners) normals[static_cast<size_t>(corner)] += out;
      }
    }
  }
  for (Eigen::Vector3d& normal : normals) normal.normalize();
  return normals;
}

// mm that the outside stands off, over half the canvas.
double ToteMaker::ReliefAt(size_t index, double u, double v) const {
  const TotePanel& panel = shape_.cloth.panels[index];
  const int64_t seed = tote_.seed * 16 + static_cast<int64_t>(index);
  double relief =
      0.10 * SmoothNoise(seed, u / 8, v / 8) + 0.28 * SmoothNoise(seed + 7, u / 27, v / 31);
  if (panel.name == "bottom") return relief;
  // Side seams and the bottom's pull the cloth together.
  const double to_side = std::min(u, panel.width - u), to_bottom = panel.height - v;
  relief +=
      0.55 * SmoothNoise(seed + 1, u < panel.width / 2 ? 0 : 9, v / 6.5) * Falling(to_side, 9);
  relief += 0.5 * SmoothNoise(seed + 2, u / 7, 3) * Falling(to_bottom, 8);
  // Below the hem's seam small waves; the hem itself is even, and double.
  const double below = v - shape_.hem;
  if (below > -12) {
    relief +=
        0.5 * SmoothNoise(seed + 3, u / 8, 5) * Falling(std::abs(below + 4), below > 0 ? 11 : 5);
  }
  relief += below < 0 ? 0.3 : 0.3 * Falling(below, 2.5);
  // Folds from lying flat, one out, one in.
  const double flat = 0.7 * (1 - tote_.fill);
  const double across = std::abs(v - 0.52 * panel.height - 2 * SmoothNoise(seed + 4, u / 90, 1));
  const double down = std::abs(u - 0.5 * panel.width - 2 * SmoothNoise(seed + 5, v / 90, 2));
  relief += flat * (0.7 + 0.3 * SmoothNoise(seed + 6, u / 15, 8)) * Falling(across, 5);
  relief -= flat * (0.7 + 0.3 * SmoothNoise(seed + 8, v / 15, 8)) * Falling(down, 5) *
            std::clamp(below / 20, 0.0, 1.0);
  // Under the handles' ends nothing stands up.
  if (index < 2 && v < shape_.handle_end + 6) {
    for (const ToteAnchor& anchor : shape_.anchors[index]) {
      const double beside = std::abs(u - anchor.flat_x) - shape_.handle_width / 2;
      if (beside < 4) return 0.3;
    }
  }
  return relief;
}

void ToteMaker::AddPanels() {
  const Points& middle = shape_.cloth.points;
  const Points normals = NormalsOf(middle);
  std::vector<double> relief(middle.size()), counts(middle.size());
  std::vector<double> under(middle.size(), kCanvasMm / 2);
  for (size_t p = 0; p < shape_.cloth.panels.size(); ++p) {
    const TotePanel& panel = shape_.cloth.panels[p];
    for (int r = 0; r < panel.rows; ++r) {
      for (int c = 0; c < panel.columns; ++c) {
        const double u = panel.width * c / (panel.columns - 1);
        const double v = panel.height * r / (panel.rows - 1);
        const auto i = static_cast<size_t>(panel.At(r, c));
        relief[i] += ReliefAt(p, u, v);
        counts[i] += 1;
        if (panel.name != "bottom" && v < shape_.hem + 1) under[i] = kCanvasMm;
      }
    }
  }
  outside_.resize(middle.size());
  inside_.resize(middle.size());
  for (size_t i = 0; i < middle.size(); ++i) {
    const double off = counts[i] > 0 ? relief[i] / counts[i] : 0;
    outside_[i] = middle[i] + (kCanvasMm / 2 + off) * normals[i];
    inside_[i] = middle[i] + (off - under[i]) * normals[i];
  }
  outside_normals_ = NormalsOf(outside_);
  inside_normals_ = NormalsOf(inside_);
  const int32_t body = builder_.Part("body"), within = builder_.Part("inside");
  double left = 0;
  for (const TotePanel& panel : shape_.cloth.panels) {
    SolidGrid outer(panel.rows, panel.columns), inner(panel.rows, panel.columns);
    for (int r = 0; r < panel.rows; ++r) {
      for (int c = 0; c < panel.columns; ++c) {
        const double u = panel.width * c / (panel.columns - 1);
        const double v = panel.height * r / (panel.rows - 1);
        const auto i = static_cast<size_t>(panel.At(r, c));
        outer.At(r, c) = {outside_[i], outside_normals_[i], {u, -v}, {left + u, v}};
        inner.At(r, panel.columns - 1 - c) = {inside_[i], -inside_normals_[i], {u, -v}, {}};
      }
    }
    const int32_t chart = builder_.AddChart();
    builder_.AddGrid(outer, body, chart);
    builder_.AddGrid(inner, within);
    builder_.AddFace(panel.name, {chart}, {left, 0}, {panel.width, panel.height});
    left += panel.width + kGapMm;
  }
}

// The fold of the hem, half round.
void ToteMaker::AddRim(const TotePanel& panel) {
  constexpr int kRound = 6;
  SolidGrid grid(kRound + 1, panel.columns);
  for (int c = 0; c < panel.columns; ++c) {
    const auto i = static_cast<size_t>(panel.At(0, c)), below = static_cast<size_t>(panel.At(1, c));
    const Eigen::Vector3d centre = (outside_[i] + inside_[i]) / 2;
    const Eigen::Vector3d out = (outside_[i] - inside_[i]) / 2;
    Eigen::Vector3d up = shape_.cloth.points[i] - shape_.cloth.points[below];
    up = (up - up.dot(out) / out.squaredNorm() * out).normalized() * out.norm();
    for (int r = 0; r <= kRound; ++r) {
      const double angle = kPi * (kRound - r) / kRound;  // from the inside over to the outside
      const Eigen::Vector3d arm = std::cos(angle) * out + std::sin(angle) * up;
      SolidPoint& point = grid.At(r, c);
      point.at = r == 0 ? inside_[i] : r == kRound ? outside_[i] : Eigen::Vector3d(centre + arm);
      point.normal = r == 0        ? Eigen::Vector3d(-inside_normals_[i])
                     : r == kRound ? outside_normals_[i]
                                   : Eigen::Vector3d(arm.normalized());
      point.texture_mm = {panel.width * c / (panel.columns - 1), out.norm() * angle};
    }
  }
  builder_.AddGrid(grid, builder_.Part("body"));
}

void ToteMaker::AddHemSeams(const TotePanel& panel) {
  for (const double above : kHemLines) {
    const double row = (shape_.hem - above) / panel.height * (panel.rows - 1);
    const int r = std::clamp(static_cast<int>(row), 0, panel.rows - 2);
    std::vector<SeamPoint> line;
    for (int c = 0; c < panel.columns; ++c) {
      const auto a = static_cast<size_t>(panel.At(r, c)),
                 b = static_cast<size_t>(panel.At(r + 1, c));
      const Eigen::Vector3d out =
          outside_normals_[a] + (row - r) * (outside_normals_[b] - outside_normals_[a]);
      line.push_back({outside_[a] + (row - r) * (outside_[b] - outside_[a]), out.normalized()});
    }
    AddSeam(builder_, line, kStitchMm, kStitchGapMm, kThreadMm, builder_.Part("thread"));
  }
}

// From the left end's foot over the top to the right's, as the panel is seen.
std::vector<BandPoint> ToteMaker::HandlePath(int face) const {
  constexpr double kStepMm = 3;
  const auto& anchors = shape_.anchors[static_cast<size_t>(face)];
  const double height = tote_.size[1], side = face == 0 ? 1 : -1;
  const Eigen::Vector3d out(0, 0, side);
  // What it lies over: the peg, or an arch of its own.
  const double radius = tote_.hangs ? kPegMm / 2 + kBandMm / 2 : 0.62 * std::abs(anchors[0].at.x());
  const double reach = (tote_.hangs ? height : anchors[0].at.y()) + tote_.handle;
  Eigen::Vector3d centre(0, reach - radius, side * (shape_.handle_width / 2 + 0.6));
  if (!tote_.hangs) centre.z() = anchors[0].at.z() + side * 0.10 * tote_.handle;
  std::vector<BandPoint> path;
  const auto add = [&](const Eigen::Vector3d& at, const Eigen::Vector3d& along,
                       const Eigen::Vector3d& across) {
    path.push_back({at, (across - across.dot(along) * along).normalized(), along});
  };
  const double off = kCanvasMm / 2 + 0.3 + kBandMm / 2 + 0.05;
  // Half of it, from the anchor `end` up to the top; the other half is walked back.
  const auto half = [&](const ToteAnchor& end, double x_side) {
    std::vector<BandPoint> leg;
    path.clear();
    const Eigen::Vector3d right = end.up.cross(out).normalized(), front = right.cross(end.up);
    const Eigen::Vector3d foot = end.at + off * front - shape_.handle_end * end.up;
    const double sewn = shape_.handle_end + 4;
    const int rows = static_cast<int>(sewn / kStepMm);
    for (int i = 0; i <= rows; ++i) add(foot + sewn * i / rows * end.up, end.up, right * -x_side);
    const Eigen::Vector3d from = foot + sewn * end.up;
    // Where it comes onto the peg: 75 degrees from its top.
    const double wrap = tote_.hangs ? 75 * kPi / 180 : kPi / 2;
    const Eigen::Vector3d away(face == 0 ? x_side : -x_side, 0, 0);  // from the middle to this leg
    const auto on_peg = [&](double angle) {
      return Eigen::Vector3d(
          centre + radius * (std::sin(angle) * away + Eigen::Vector3d(0, std::cos(angle), 0)));
    };
    const Eigen::Vector3d to = on_peg(wrap);
    const Eigen::Vector3d arrive =
        std::sin(wrap) * Eigen::Vector3d(0, 1, 0) - std::cos(wrap) * away;
    const double span = (to - from).norm();
    const int steps = std::max(8, static_cast<int>(span / kStepMm));
    for (int i = 1; i <= steps; ++i) {
      const double t = static_cast<double>(i) / steps, t2 = t * t, t3 = t2 * t;
      const double pull = tote_.hangs ? 0.7 : 1.0;
      const Eigen::Vector3d at = (2 * t3 - 3 * t2 + 1) * from +
                                 (t3 - 2 * t2 + t) * pull * span * end.up + (3 * t2 - 2 * t3) * to +
                                 (t3 - t2) * pull * span * arrive;
      const Eigen::Vector3d along =
          ((6 * t2 - 6 * t) * from + (3 * t2 - 4 * t + 1) * pull * span * end.up +
           (6 * t - 6 * t2) * to + (3 * t2 - 2 * t) * pull * span * arrive)
              .normalized();
      // It turns by a quarter on its way, edge towards whoever looks.
      const double share = std::clamp((t - 0.08) / 0.84, 0.0, 1.0);
      const double turned = kPi / 2 * share * share * (3 - 2 * share);
      add(at, along, std::cos(turned) * right * -x_side + std::sin(turned) * out);
    }
    const int arc = std::max(8, static_cast<int>(wrap * radius / (kStepMm / 2)));
    for (int i = 1; i <= arc; ++i) {
      const double angle = wrap * (1 - static_cast<double>(i) / arc);
      add(on_peg(angle), std::sin(angle) * Eigen::Vector3d(0, 1, 0) - std::cos(angle) * away, out);
    }
    leg.swap(path);
    return leg;
  };
  std::vector<BandPoint> whole = half(anchors[0], -1);
  std::vector<BandPoint> other = half(anchors[1], 1);
  other.pop_back();  // the top is in the first half
  for (size_t i = other.size(); i-- > 0;) {
    whole.push_back({other[i].at, other[i].across, -other[i].along});
  }
  return whole;
}

void ToteMaker::AddHandle(int face) {
  const std::vector<BandPoint> path = HandlePath(face);
  const double width = shape_.handle_width;
  AddBand(builder_, path, width, kBandMm, builder_.Part("handles"));
  const int32_t thread = builder_.Part("thread");
  // Along both edges, front and back.
  for (const double x : {-width / 2 + 3, width / 2 - 3}) {
    for (const double z : {1.0, -1.0}) {
      std::vector<SeamPoint> line;
      for (const BandPoint& point : path) {
        line.push_back(
            {point.at + x * point.across + z * kBandMm / 2 * point.front(), z * point.front()});
      }
      AddSeam(builder_, line, kStitchMm, kStitchGapMm, kThreadMm, thread);
    }
  }
  // A crossed box holds each end.
  for (const bool first : {true, false}) {
    const BandPoint& end = first ? path.front() : path.back();
    const Eigen::Vector3d rise = first ? end.along : Eigen::Vector3d(-end.along);
    const auto on = [&](double x, double y) {
      return SeamPoint{end.at + x * end.across + y * rise + kBandMm / 2 * end.front(), end.front()};
    };
    const double x = width / 2 - 4.2, low = 3, high = shape_.handle_end - 4;
    const std::array corners{on(-x, low), on(x, low), on(x, high), on(-x, high)};
    const std::array<std::array<size_t, 2>, 6> lines{
        {{0, 1}, {1, 2}, {2, 3}, {3, 0}, {0, 2}, {1, 3}}};
    for (const auto& [a, b] : lines) {
      AddSeam(builder_, {corners[a], corners[b]}, kStitchMm, kStitchGapMm, kThreadMm, thread);
    }
  }
}

Solid ToteMaker::Make() {
  AddPanels();
  for (const TotePanel& panel : shape_.cloth.panels) {
    if (panel.name == "bottom") continue;
    AddRim(panel);
    AddHemSeams(panel);
  }
  AddHandle(0);
  AddHandle(1);
  return builder_.Finish();
}

}  // namespace

Solid BuildSolid(const ToteSolid& tote) { return ToteMaker(tote).Make(); }

}  // namespace wheatpaste

#include "stage/tote_cloth.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/cloth.h"
#include "stage/smooth_noise.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kApartMm = 2.4;  // front from back, canvas to canvas

struct Cells {
  int across, down, deep;  // of front and back; of side panels
};

// Points and panels of a bag with that many cells.
ToteCloth SewPanels(const ToteSolid& tote, const Cells& cells) {
  const auto [width, height] = tote.size;
  ToteCloth cloth;
  const int around = 2 * (cells.across + cells.deep);
  const bool flat = cells.deep == 0;
  const auto ring = [&](int row, int column) {
    column = (column % around + around) % around;
    if (flat && row == cells.down && column > cells.across) column = around - column;
    return static_cast<int32_t>(row * around + column);
  };
  const auto add = [&](std::string name, double w, double h, int rows, int columns, auto id) {
    TotePanel panel{std::move(name), w, h, rows + 1, columns + 1, {}};
    for (int r = 0; r <= rows; ++r) {
      for (int c = 0; c <= columns; ++c) panel.points.push_back(id(r, c));
    }
    cloth.panels.push_back(std::move(panel));
  };
  const auto side = [&](std::string name, double w, int columns, int first) {
    add(std::move(name), w, height, cells.down, columns,
        [&](int r, int c) { return ring(r, first + c); });
  };
  const int to_back = cells.across + cells.deep;
  side("front", width, cells.across, 0);
  side("back", width, cells.across, to_back);
  int32_t count = (cells.down + 1) * around;
  if (!flat) {
    side("right", tote.gusset, cells.deep, cells.across);
    side("left", tote.gusset, cells.deep, to_back + cells.across);
    // Seen from below with the front up.
    add("bottom", width, tote.gusset, cells.deep, cells.across, [&](int r, int c) {
      if (r == 0) return ring(cells.down, c);
      if (r == cells.deep) return ring(cells.down, to_back + cells.across - c);
      if (c == 0) return ring(cells.down, around - r);
      if (c == cells.across) return ring(cells.down, cells.across + r);
      return count++;
    });
  }
  cloth.points.assign(static_cast<size_t>(count), Eigen::Vector3d::Zero());
  return cloth;
}

void AddLinks(const ToteCloth& sewn, double hem, Cloth& cloth) {
  cloth.links.clear();
  for (const TotePanel& panel : sewn.panels) {
    const double w = panel.width / (panel.columns - 1), h = panel.height / (panel.rows - 1);
    const auto add = [&](int r0, int c0, int r1, int c1, double share) {
      if (r1 >= panel.rows || c1 >= panel.columns || c1 < 0) return;
      const double rest = std::hypot((c1 - c0) * w, (r1 - r0) * h);
      cloth.links.push_back({panel.At(r0, c0), panel.At(r1, c1), rest, share});
    };
    for (int r = 0; r < panel.rows; ++r) {
      // Two layers and a seam are stiffer than one.
      const bool doubled = panel.name != "bottom" && r * h < hem;
      for (int c = 0; c < panel.columns; ++c) {
        add(r, c, r + 1, c + 1, 0.25);
        add(r, c, r + 1, c - 1, 0.25);
        add(r, c, r, c + 2, doubled ? 0.5 : 0.12);
        add(r, c, r + 2, c, doubled ? 0.5 : (c == 0 || c == panel.columns - 1 ? 0.4 : 0.12));
        add(r, c, r, c + 4, doubled ? 0.2 : 0.03);
        add(r, c, r + 4, c, doubled ? 0.2 : 0.03);
        add(r, c, r, c + 1, 1);
        add(r, c, r + 1, c, 1);
      }
    }
  }
}

// The finer bag's points from the coarser's, panel by panel.
void Interpolate(const ToteCloth& from, ToteCloth& to) {
  const auto weights = [](double t) {
    return std::array{0.5 * (-t + 2 * t * t - t * t * t), 0.5 * (2 - 5 * t * t + 3 * t * t * t),
                      0.5 * (t + 4 * t * t - 3 * t * t * t), 0.5 * (t * t * t - t * t)};
  };
  for (size_t p = 0; p < to.panels.size(); ++p) {
    const TotePanel &coarse = from.panels[p], &fine = to.panels[p];
    const auto split = [](int i, int pieces, int of) {
      const double place = static_cast<double>(i) * of / pieces;
      const int cell = std::min(static_cast<int>(place), of - 1);
      return std::pair{cell, place - cell};
    };
    // A point beyond the border goes on straight.
    const auto at = [&](int r, int c) {
      const auto inner = [&](int row, int column) {
        return from.points[static_cast<size_t>(coarse.At(row, column))];
      };
      const int rr = std::clamp(r, 0, coarse.rows - 1), cc = std::clamp(c, 0, coarse.columns - 1);
      Eigen::Vector3d point = inner(rr, cc);
      if (r < 0) point += inner(0, cc) - inner(1, cc);
      if (r >= coarse.rows) point += inner(rr, cc) - inner(rr - 1, cc);
      if (c < 0) point += inner(rr, 0) - inner(rr, 1);
      if (c >= coarse.columns) point += inner(rr, cc) - inner(rr, cc - 1);
      return point;
    };
    for (int r = 0; r < fine.rows; ++r) {
      const auto [row, down] = split(r, fine.rows - 1, coarse.rows - 1);
      const auto by_row = weights(down);
      for (int c = 0; c < fine.columns; ++c) {
        const auto [column, across] = split(c, fine.columns - 1, coarse.columns - 1);
        const auto by_column = weights(across);
        Eigen::Vector3d sum(0, 0, 0);
        for (int i = 0; i < 4; ++i) {
          for (int k = 0; k < 4; ++k) {
            if (by_row[i] * by_column[k] == 0) continue;
            sum += by_row[i] * by_column[k] * at(row + i - 1, column + k - 1);
          }
        }
        to.points[static_cast<size_t>(fine.At(r, c))] = sum;
      }
    }
  }
}

class ToteHanger {
 public:
  explicit ToteHanger(const ToteSolid& tote) : tote_(tote) {
    const auto [width, height] = tote.size;
    shape_.handle_width = std::min(26.0, 0.09 * width);
    shape_.hem = std::min(28.0, 0.1 * height);
    shape_.handle_end = shape_.hem + 6;
    PlaceAnchors();
  }
  ToteShape Hang(double cell);

 private:
  void PlaceAnchors();
  void PlaceFlat(ToteCloth& cloth) const;
  void HoldEnds(const ToteCloth& cloth, Cloth& held) const;
  void RelaxLevel(ToteCloth& cloth, int steps, int rounds) const;

  const ToteSolid& tote_;
  ToteShape shape_;
};

void ToteHanger::PlaceAnchors() {
  const auto [width, height] = tote_.size;
  const double out = 0.2 * width;  // of a handle's middle from the panel's
  // Handles that meet above pull their ends together; a bag that stands is held up by what is in it.
  const double in = tote_.hangs ? 0.955 : 0.985;
  const double y = tote_.hangs ? height : height * (0.965 - 0.02 * (1 - tote_.fill));
  const double lean = tote_.hangs ? 0.55 * std::atan2(out, tote_.handle) : 0.02;
  const double open =
      tote_.gusset > 0 ? 0.36 * tote_.gusset + 6 * tote_.fill : 3 + 0.06 * width * tote_.fill;
  for (int face = 0; face < 2; ++face) {
    for (int side = 0; side < 2; ++side) {
      const double seen = (side == 0 ? -1 : 1) * out;  // as the panel is seen
      const double x = face == 0 ? seen : -seen;       // in space
      // Not quite alike, as nothing sewn by hand hangs.
      const double uneven = 0.008 * width * (NoiseHash(tote_.seed, face, side, 0) - 0.5);
      ToteAnchor& anchor = shape_.anchors[face][side];
      anchor.at = {x * in, y + uneven, (face == 0 ? 1 : -1) * open};
      anchor.up = Eigen::Vector3d(x > 0 ? -std::sin(lean) : std::sin(lean), std::cos(lean),
                                  (face == 0 ? -1 : 1) * 0.03)
                      .normalized();
      anchor.flat_x = width / 2 + seen;
    }
  }
}

void ToteHanger::PlaceFlat(ToteCloth& cloth) const {
  const auto [width, height] = tote_.size;
  const double deep = tote_.gusset / 2;
  for (const TotePanel& panel : cloth.panels) {
    for (int r = 0; r < panel.rows; ++r) {
      for (int c = 0; c < panel.columns; ++c) {
        const double u = panel.width * c / (panel.columns - 1);
        const double v = panel.height * r / (panel.rows - 1);
        Eigen::Vector3d& at = cloth.points[static_cast<size_t>(panel.At(r, c))];
        // Creases need something to grow from: soft waves, and the panels' bellies.
        const double belly = std::sin(kPi * u / panel.width) *
                             std::sin(kPi * std::min(1.0, 0.25 + 0.75 * v / height));
        const double wave =
            SmoothNoise(tote_.seed * 7 + (panel.name == "back" ? 3 : 1), u / 70, v / 110);
        const double z = deep + belly * ((2 + 14 * tote_.fill) + 7 * wave);
        if (panel.name == "front") at = {u - width / 2, height - v, z};
        if (panel.name == "back") at = {width / 2 - u, height - v, -z};
        if (panel.name == "right") at = {width / 2, height - v, deep - u};
        if (panel.name == "left") at = {-width / 2, height - v, u - deep};
        if (panel.name == "bottom") at = {u - width / 2, 0, deep - v};
      }
    }
  }
}

// The canvas under the handles' ends stays where its anchor says.
void ToteHanger::HoldEnds(const ToteCloth& cloth, Cloth& held) const {
  held.held.assign(cloth.points.size(), false);
  for (size_t face = 0; face < 2; ++face) {
    const TotePanel& panel = cloth.panels[face];
    const double w = panel.width / (panel.columns - 1), h = panel.height / (panel.rows - 1);
    for (const ToteAnchor& anchor : shape_.anchors[face]) {
      const Eigen::Vector3d out(0, 0, face == 0 ? 1 : -1);
      const Eigen::Vector3d right = anchor.up.cross(out).normalized();
      for (int r = 0; r * h <= shape_.handle_end + 0.25 * h; ++r) {
        for (int c = 0; c < panel.columns; ++c) {
          const double x = c * w - anchor.flat_x;
          if (std::abs(x) > shape_.handle_width / 2 + 0.25 * w) continue;
          const auto i = static_cast<size_t>(panel.At(r, c));
          held.held[i] = true;
          held.points[i] = anchor.at + x * right - r * h * anchor.up;
        }
      }
    }
  }
}

void ToteHanger::RelaxLevel(ToteCloth& cloth, int steps, int rounds) const {
  Cloth hung;
  hung.points = cloth.points;
  HoldEnds(cloth, hung);
  AddLinks(cloth, shape_.hem, hung);
  const TotePanel &front = cloth.panels[0], &back = cloth.panels[1];
  const double cell = front.width / (front.columns - 1);
  ClothRun run;
  run.steps = steps;
  run.rounds = rounds;
  run.damping = 0.06;
  const double gravity = 0.004 * cell;  // a step, mm
  run.pull = [&](const std::vector<Eigen::Vector3d>& points, std::vector<Eigen::Vector3d>& pulls) {
    std::fill(pulls.begin(), pulls.end(), Eigen::Vector3d(0, -gravity, 0));
    // What is inside presses more the lower, and weighs on the bottom.
    for (const TotePanel& panel : cloth.panels) {
      const bool bottom = panel.name == "bottom";
      for (int r = 0; r < panel.rows; ++r) {
        const double low = bottom ? 1 : static_cast<double>(r) / (panel.rows - 1);
        const double press =
            gravity * tote_.fill * 3.2 * std::max(0.0, low - 0.25) * (bottom ? 0.3 : 1);
        for (int c = 0; c < panel.columns; ++c) {
          const auto point = [&](int row, int column) {
            return points[static_cast<size_t>(panel.At(std::clamp(row, 0, panel.rows - 1),
                                                       std::clamp(column, 0, panel.columns - 1)))];
          };
          const Eigen::Vector3d out = (point(r + 1, c) - point(r - 1, c))
                                          .cross(point(r, c + 1) - point(r, c - 1))
                                          .normalized();
          pulls[static_cast<size_t>(panel.At(r, c))] += press * out;
        }
      }
    }
    for (int c = 0; c < front.columns; ++c) {
      pulls[static_cast<size_t>(front.At(front.rows - 1, c))].y() -= 10 * gravity * tote_.fill;
    }
  };
  run.contacts = [&](std::vector<Eigen::Vector3d>& points) {
    for (int r = 0; r < front.rows; ++r) {
      for (int c = 0; c < front.columns; ++c) {
        const auto i = static_cast<size_t>(front.At(r, c));
        const auto k = static_cast<size_t>(back.At(r, back.columns - 1 - c));
        if (i == k) continue;
        const double missing = kApartMm - (points[i].z() - points[k].z());
        if (missing <= 0) continue;
        if (!hung.held[i]) points[i].z() += missing / 2;
        if (!hung.held[k]) points[k].z() -= missing / 2;
      }
    }
    if (tote_.hangs) return;
    for (Eigen::Vector3d& point : points) point.y() = std::max(point.y(), 0.0);
  };
  Relax(hung, run);
  // At last lengths alone.
  run.steps = 1;
  run.rounds = 60;
  run.pull = nullptr;
  run.damping = 1;
  Relax(hung, run);
  cloth.points = std::move(hung.points);
}

ToteShape ToteHanger::Hang(double cell) {
  const auto [width, height] = tote_.size;
  const auto cells_of = [&](double mm) {
    return Cells{
        std::max(8, static_cast<int>(std::lround(width / mm))),
        std::max(8, static_cast<int>(std::lround(height / mm))),
        tote_.gusset > 0 ? std::max(2, static_cast<int>(std::lround(tote_.gusset / mm))) : 0};
  };
  const double size = std::max(width, height);
  ToteCloth cloth = SewPanels(tote_, cells_of(size / 28));
  PlaceFlat(cloth);
  RelaxLevel(cloth, 300, 12);
  ToteCloth finer = SewPanels(tote_, cells_of(size / 56));
  Interpolate(cloth, finer);
  RelaxLevel(finer, 120, 10);
  shape_.cloth = SewPanels(tote_, cells_of(cell));
  Interpolate(finer, shape_.cloth);
  return std::move(shape_);
}

}  // namespace

ToteShape HangTote(const ToteSolid& tote, double cell) { return ToteHanger(tote).Hang(cell); }

}  // namespace wheatpaste

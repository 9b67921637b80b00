// dieline.h - a blank: what its drawing says, and the panels and creases that this makes.
//
// Flat    mm of the drawing's page, its outside (printed side) seen: origin top left, x right, y down.
// Angle   how far a crease is folded in the closed carton, degrees; positive: away from whoever looks at the outside, so that
//         the crease stands out (a mountain). 0 is flat.
// Order   creases of a lower number fold first; none: found from the shape (fold.h).
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "base/error.h"

namespace wheatpaste {

using FlatOutline = std::vector<Eigen::Vector2d>;  // closed, the first point not repeated

struct DielineLine {
  bool cut = true;  // else a crease
  std::vector<Eigen::Vector2d> points;
  std::optional<double> angle;  // of a crease
  std::optional<int> order;
};

struct PanelName {
  std::string name;
  Eigen::Vector2d at{0, 0};   // lies in the panel
  Eigen::Vector2d up{0, -1};  // unit: where its print is upright
  bool meant = true;          // false: a text that only may be a name
};

// Curves are drawn as short straight pieces.
struct DielineDrawing {
  Eigen::Vector2d page{0, 0};  // width, height
  std::vector<DielineLine> lines;
  std::vector<FlatOutline> glue, bleed;
  std::vector<PanelName> names;
};

struct DielinePanel {
  std::string name;
  FlatOutline outline;             // runs so that x cross y is positive: clockwise as it is seen
  std::vector<FlatOutline> holes;  // the other way round
  Eigen::Vector2d up{0, -1};
  double area = 0;     // mm^2, holes taken off
  bool glued = false;  // some of it is a glue area
};

struct DielineCrease {
  std::array<int, 2> panels{};
  Eigen::Vector2d from{0, 0}, to{0, 0};  // panels[0] lies to its right, as it is seen
  double angle = 90;
  std::optional<int> order;
};

// The face of a carton that is its whole blank.
inline constexpr char kFlatFace[] = "flat";

// Panels hang together by creases as a tree.
struct Dieline {
  Eigen::Vector2d page{0, 0};
  std::vector<DielinePanel> panels;
  std::vector<DielineCrease> creases;
  std::vector<FlatOutline> glue, bleed;
};

// Index of the panel of that name, -1 where there is none.
int FindPanel(const Dieline& dieline, const std::string& name);

// Positive where the points run clockwise as they are seen (y down).
double SignedArea(const FlatOutline& outline);
// Calls visit(from, to) for every edge of a panel's outline and holes.
template <typename Visit>
void ForEdges(const DielinePanel& panel, const Visit& visit) {
  const auto walk = [&](const FlatOutline& outline) {
    for (size_t i = 0; i < outline.size(); ++i) {
      visit(outline[i], outline[(i + 1) % outline.size()]);
    }
  };
  walk(panel.outline);
  for (const FlatOutline& hole : panel.holes) walk(hole);
}

bool IsInside(const FlatOutline& outline, const Eigen::Vector2d& point);  // by even and odd
// Inside the outline and in no hole.
bool IsInside(const DielinePanel& panel, const Eigen::Vector2d& point);
double DistanceToLine(const Eigen::Vector2d& point, const Eigen::Vector2d& from,
                      const Eigen::Vector2d& to);  // to the piece between both

}  // namespace wheatpaste

#include "dieline/find_panels.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include <fmt/format.h>

#include "dieline/face_walk.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

constexpr double kLeastPanelMm2 = 0.5;  // less is where lines nearly meet

std::string At(const Vector2d& p) {
  return fmt::format("({:.1f}, {:.1f}) mm", p.x() + 0.0, p.y() + 0.0);
}

// The uppermost point, of these the leftmost.
const Vector2d& FirstOf(const FlatOutline& points) {
  return *std::min_element(points.begin(), points.end(), [](const Vector2d& a, const Vector2d& b) {
    return a.y() != b.y() ? a.y() < b.y() : a.x() < b.x();
  });
}

double Cross(const Vector2d& a, const Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

class Sets {
 public:
  explicit Sets(size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0); }
  int Of(int i) {
    while (parent_[static_cast<size_t>(i)] != i) {
      i = parent_[static_cast<size_t>(i)] =
          parent_[static_cast<size_t>(parent_[static_cast<size_t>(i)])];
    }
    return i;
  }
  void Join(int i, int j) { parent_[static_cast<size_t>(Of(i))] = Of(j); }

 private:
  std::vector<int> parent_;
};

class PanelFinder {
 public:
  PanelFinder(const DielineDrawing& drawing, FaceWalk walk, const Placed<std::string>& where)
      : drawing_(drawing), walk_(std::move(walk)), where_(where) {}

  Result<Dieline> Find() {
    for (const Vector2d& end : walk_.loose_creases()) {
      Mistake("the crease ends at {} at no other line; draw it on to a cut or a crease", At(end));
    }
    if (!errors_.empty()) return std::move(errors_);
    FindBlank();
    if (!errors_.empty()) return std::move(errors_);
    MakePanels();
    FindCreases();
    if (!errors_.empty()) return std::move(errors_);
    NamePanels();
    if (!errors_.empty()) return std::move(errors_);
    dieline_.page = drawing_.page;
    dieline_.glue = drawing_.glue;
    dieline_.bleed = drawing_.bleed;
    return std::move(dieline_);
  }

 private:
  template <typename... Values>
  void Mistake(fmt::format_string<Values...> text, Values&&... values) {
    constexpr size_t kMostMistakes = 10;
    if (errors_.size() == kMostMistakes) return;
    errors_.push_back({where_.place, fmt::format("{} = \"{}\"", where_.key, where_.value),
                       fmt::format(text, std::forward<Values>(values)...)});
  }

  // ", the outline is open at ..." where some cut ends in the open.
  std::string OpenAt(const Vector2d& near) const {
    const auto& loose = walk_.loose_cuts();
    if (loose.empty()) return "";
    const auto nearest = std::min_element(loose.begin(), loose.end(), [&](auto& a, auto& b) {
      return (a - near).squaredNorm() < (b - near).squaredNorm();
    });
    return fmt::format("; a cut ends in the open at {}", At(*nearest));
  }

  bool IsFace(int cycle) const {
    return cycle >= 0 && walk_.cycles()[static_cast<size_t>(cycle)].area > kLeastPanelMm2;
  }

  // The faces that creases join, the largest such group.
  void FindBlank() {
    const auto& cycles = walk_.cycles();
    Sets sets(cycles.size());
    for (size_t e = 0; e < walk_.graph().edges.size(); ++e) {
      const FlatEdge& edge = walk_.graph().edges[e];
      const int a = walk_.cycle_of(static_cast<int>(2 * e)),
                b = walk_.cycle_of(static_cast<int>(2 * e) + 1);
      if (edge.cut || a < 0 || b < 0) continue;
      if (IsFace(a) && IsFace(b)) {
        sets.Join(a, b);
      } else if (cycles[static_cast<size_t>(IsFace(a) ? b : a)].area < 0) {
        const Vector2d middle = (walk_.graph().points[static_cast<size_t>(edge.ends[0])] +
                                 walk_.graph().points[static_cast<size_t>(edge.ends[1])]) /
                                2;
        Mistake("the crease at {} has no panel on one side{}", At(middle), OpenAt(middle));
      }
    }
    std::map<int, double> area_of;
    std::map<int, int> faces_of;
    for (size_t c = 0; c < cycles.size(); ++c) {
      if (!IsFace(static_cast<int>(c))) continue;
      area_of[sets.Of(static_cast<int>(c))] += cycles[c].area;
      ++faces_of[sets.Of(static_cast<int>(c))];
    }
    if (area_of.empty()) {
      const auto& loose = walk_.loose_cuts();
      if (loose.empty()) {
        Mistake("expected cut lines that enclose the blank; it has none");
      } else {
        Mistake("the cut lines enclose nothing: the outline is open at {}", At(loose.front()));
      }
      return;
    }
    const int largest = std::max_element(area_of.begin(), area_of.end(), [](auto& a, auto& b) {
                          return a.second < b.second;
                        })->first;
    panel_of_.assign(cycles.size(), -1);
    for (size_t c = 0; c < cycles.size(); ++c) {
      if (!IsFace(static_cast<int>(c))) continue;
      const int set = sets.Of(static_cast<int>(c));
      if (set == largest) {
        panel_of_[c] = static_cast<int>(faces_.size());
        faces_.push_back(static_cast<int>(c));
      } else if (faces_of[set] > 1 && told_.insert(set).second) {
        Mistake("the part at {} does not hang together with the rest: expected one blank",
                At(FirstOf(cycles[c].points)));
      }
    }
  }

  void MakePanels() {
    const auto& cycles = walk_.cycles();
    for (const int face : faces_) {
      const FlatCycle& cycle = cycles[static_cast<size_t>(face)];
      DielinePanel panel;
      panel.outline = cycle.points;
      panel.area = cycle.area;
      dieline_.panels.push_back(std::move(panel));
    }
    for (const FlatCycle& cycle : cycles) {
      if (cycle.area >= 0) continue;
      // Not the blank's own outside: that of a part which hangs together within itself alone.
      int inside = -1;
      for (size_t p = 0; p < dieline_.panels.size(); ++p) {
        if (IsInside(dieline_.panels[p].outline, cycle.points.front()) && !Touches(p, cycle)) {
          inside = static_cast<int>(p);
        }
      }
      if (inside >= 0) {
        DielinePanel& panel = dieline_.panels[static_cast<size_t>(inside)];
        panel.holes.push_back(cycle.points);
        panel.area += cycle.area;
      } else if (!HoldsPanel(cycle) && !InWaste(cycle)) {
        Mistake("the part at {} does not hang together with the rest: expected one blank",
                At(FirstOf(cycle.points)));
      }
    }
  }

  bool Touches(size_t panel, const FlatCycle& cycle) const {
    const FlatOutline& outline = dieline_.panels[panel].outline;
    return std::find(outline.begin(), outline.end(), cycle.points.front()) != outline.end();
  }
  // The outside of the blank itself.
  bool HoldsPanel(const FlatCycle& cycle) const {
    const std::set<int> edges(cycle.edges.begin(), cycle.edges.end());
    return std::any_of(faces_.begin(), faces_.end(), [&](int face) {
      const auto& own = walk_.cycles()[static_cast<size_t>(face)].edges;
      return std::any_of(own.begin(), own.end(), [&](int e) { return edges.count(e) > 0; });
    });
  }
  // Lies in a hole.
  bool InWaste(const FlatCycle& cycle) const {
    for (size_t c = 0; c < walk_.cycles().size(); ++c) {
      if (!IsFace(static_cast<int>(c)) || panel_of_[c] >= 0) continue;
      const FlatOutline& points = walk_.cycles()[c].points;
      if (std::find(points.begin(), points.end(), cycle.points.front()) != points.end()) continue;
      if (IsInside(points, cycle.points.front())) return true;
    }
    return false;
  }

  void FindCreases() {
    const FlatGraph& graph = walk_.graph();
    std::map<std::array<int, 2>, std::vector<int>> halves_between;
    for (size_t e = 0; e < graph.edges.size(); ++e) {
      const int half = static_cast<int>(2 * e);
      if (graph.edges[e].cut || walk_.cycle_of(half) < 0) continue;
      const int a = panel_of_[static_cast<size_t>(walk_.cycle_of(half))],
                b = panel_of_[static_cast<size_t>(walk_.cycle_of(half + 1))];
      if (a < 0 || b < 0 || a == b) continue;
      halves_between[{std::min(a, b), std::max(a, b)}].push_back(a < b ? half : half + 1);
    }
    Sets joined(faces_.size());
    for (const auto& [panels, halves] : halves_between) {
      const auto end = [&](int half, int side) -> const Vector2d& {
        return graph.points[static_cast<size_t>(graph.edges[static_cast<size_t>(half / 2)]
                                                    .ends[static_cast<size_t>((half + side) % 2)])];
      };
      // The longest piece tells the direction.
      const int longest = *std::max_element(halves.begin(), halves.end(), [&](int a, int b) {
        return (end(a, 1) - end(a, 0)).norm() < (end(b, 1) - end(b, 0)).norm();
      });
      const Vector2d origin = end(longest, 0), along = (end(longest, 1) - origin).normalized();
      double low = 0, high = 0;
      bool straight = true;
      DielineCrease crease;
      crease.panels = panels;
      std::optional<double> angle;
      for (const int half : halves) {
        for (int side = 0; side < 2; ++side) {
          const Vector2d from_origin = end(half, side) - origin;
          low = std::min(low, from_origin.dot(along));
          high = std::max(high, from_origin.dot(along));
          straight = straight && std::abs(Cross(along, from_origin)) <= kCreaseStraightMm;
        }
        const FlatEdge& edge = graph.edges[static_cast<size_t>(half / 2)];
        if (edge.angle) angle = edge.angle;
        if (edge.order) crease.order = edge.order;
      }
      if (!straight) {
        Mistake("the crease at {} is not straight, so it cannot be folded", At(origin));
        continue;
      }
      crease.from = origin + low * along;
      crease.to = origin + high * along;
      crease.angle = angle.value_or(90);
      if (joined.Of(panels[0]) == joined.Of(panels[1])) {
        Mistake(
            "the crease at {} closes a ring of creases: expected panels that can be folded one "
            "after the other",
            At((crease.from + crease.to) / 2));
        continue;
      }
      joined.Join(panels[0], panels[1]);
      dieline_.creases.push_back(crease);
    }
  }

  void NamePanels() {
    std::map<std::string, Vector2d> at_of;
    std::vector<int> rank(dieline_.panels.size(), 0);  // 2: meant, 1: a text
    for (const bool meant : {true, false}) {
      for (const PanelName& name : drawing_.names) {
        if (name.meant != meant) continue;
        for (size_t p = 0; p < dieline_.panels.size(); ++p) {
          DielinePanel& panel = dieline_.panels[p];
          if (!IsInside(panel, name.at) || rank[p] > 0) continue;
          if (const auto other = at_of.find(name.name); other != at_of.end()) {
            if (meant) {
              Mistake("two panels are named {}, at {} and {}", name.name, At(other->second),
                      At(name.at));
            }
            continue;
          }
          at_of[name.name] = name.at;
          panel.name = name.name;
          panel.up = name.up;
          rank[p] = meant ? 2 : 1;
        }
      }
    }
    for (DielinePanel& panel : dieline_.panels) {
      panel.glued = std::any_of(drawing_.glue.begin(), drawing_.glue.end(), [&](auto& area) {
        Vector2d middle(0, 0);
        for (const Vector2d& p : area) middle += p / static_cast<double>(area.size());
        return IsInside(panel, middle);
      });
    }
    NumberOthers(at_of);
  }

  // From top to bottom, then left to right; upright as the front is.
  void NumberOthers(const std::map<std::string, Vector2d>& taken) {
    std::vector<size_t> unnamed;
    for (size_t p = 0; p < dieline_.panels.size(); ++p) {
      if (dieline_.panels[p].name.empty()) unnamed.push_back(p);
    }
    const auto corner = [&](size_t p) {
      Vector2d low = dieline_.panels[p].outline.front();
      for (const Vector2d& point : dieline_.panels[p].outline) low = low.cwiseMin(point);
      return low;
    };
    std::sort(unnamed.begin(), unnamed.end(), [&](size_t a, size_t b) {
      const Vector2d p = corner(a), q = corner(b);
      return p.y() != q.y() ? p.y() < q.y() : p.x() < q.x();
    });
    const int front = FindPanel(dieline_, "front");
    int number = 0;
    for (const size_t p : unnamed) {
      std::string name;
      do {
        name = fmt::format("panel_{}", ++number);
      } while (taken.count(name) > 0);
      dieline_.panels[p].name = name;
      if (front >= 0) dieline_.panels[p].up = dieline_.panels[static_cast<size_t>(front)].up;
    }
  }

  const DielineDrawing& drawing_;
  FaceWalk walk_;
  const Placed<std::string>& where_;
  std::vector<int> panel_of_;  // of each cycle; -1: none
  std::vector<int> faces_;     // cycle of each panel
  std::set<int> told_;
  Dieline dieline_;
  Errors errors_;
};

}  // namespace

Result<Dieline> FindPanels(const DielineDrawing& drawing, const Placed<std::string>& where) {
  auto graph = SplitLines(drawing.lines);
  if (!graph) {
    return Error{where.place, fmt::format("{} = \"{}\"", where.key, where.value),
                 fmt::format("expected at most {} straight pieces of lines", kMostDielinePieces)};
  }
  return PanelFinder(drawing, FaceWalk(std::move(*graph)), where).Find();
}

}  // namespace wheatpaste

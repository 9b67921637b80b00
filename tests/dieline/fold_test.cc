// Folding: tests that do not ask how a blank was laid out (methods of box blanks, section 10: from memory, independent of
// allowances), for every style in sizes and boards drawn at random.
#include <catch2/catch.hpp>

#include <map>
#include <numbers>
#include <random>
#include <set>

#include "dieline/check_fold.h"
#include "dieline/dieline_support.h"
#include "dieline/fold_solid.h"

namespace wheatpaste {
namespace {

using namespace test;
using Eigen::Vector3d;

struct Sample {
  std::string style;
  double l, b, h, t;
};

// Boards of each style as they are made: cartons 0.3 to 0.7 mm, boxes and trays 1 to 7 mm.
std::vector<Sample> Samples() {
  std::mt19937 random(8);
  const auto between = [&](double low, double high) {
    return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
  };
  std::vector<Sample> samples;
  for (const char* style : {"0201", "0427", "tuck", "reverse tuck", "sleeve"}) {
    const bool folding = std::string(style) == "tuck" || std::string(style) == "reverse tuck" ||
                         std::string(style) == "sleeve";
    for (int i = 0; i < 8; ++i) {
      const double t =
          folding ? between(0.3, 0.7) : between(1, std::string(style) == "0427" ? 3 : 7);
      const double least = folding ? 25 : 20 * t;
      const double b = between(least, folding ? 120 : 300);
      const double l = b * between(1, 2.5);
      samples.push_back({style, l, b, between(least, folding ? 250 : 300), t});
    }
  }
  return samples;
}

std::string Shown(const Sample& s) {
  return fmt::format("{} {:.1f} x {:.1f} x {:.1f}, board {:.2f}", s.style, s.l, s.b, s.h, s.t);
}

struct Bounds {
  Vector3d low, high;
};
Bounds BoundsOf(const Solid& solid) {
  Bounds bounds{solid.vertices.front(), solid.vertices.front()};
  for (const Vector3d& v : solid.vertices) {
    bounds.low = bounds.low.cwiseMin(v);
    bounds.high = bounds.high.cwiseMax(v);
  }
  return bounds;
}

// The arc of a bend, by its own geometry: equal steps in the flat are equal steps on the arc.
TEST_CASE("Hinge: the outside keeps its lengths over a bend", "[dieline][closed-form]") {
  Hinge hinge;
  hinge.length = 50;
  hinge.radius = 3;
  for (const double inset : {0.0, 1.0, -0.7}) {
    for (const double degrees : {90.0, 45.0, 180.0, -90.0}) {
      hinge.inset = inset;
      const double angle = degrees * std::numbers::pi / 180;
      double length = 0;
      Vector3d before = hinge.At(angle, 0, -20, 0);
      constexpr int kSteps = 40000;
      for (int i = 1; i <= kSteps; ++i) {
        const Vector3d at = hinge.At(angle, 0, -20 + 40.0 * i / kSteps, 0);
        length += (at - before).norm();
        before = at;
      }
      CHECK(length == Approx(40).margin(1e-6));
      // Beyond the bend it is the child's, and the board's inside a thickness under it.
      const Vector3d end = hinge.Fold(angle) * Vector3d(0, 20, -0.5);
      CHECK((end - hinge.At(angle, 0, 20, -0.5)).norm() < 1e-9);
      CHECK((hinge.At(angle, 0, 0.1, 0) - hinge.At(angle, 0, 0.1, -0.5)).norm() ==
            Approx(0.5).margin(1e-12));
      CHECK((hinge.At(angle, 0, 0.1, 0) - hinge.At(angle, 0, 0.1, -0.5))
                .dot(hinge.NormalAt(angle, 0.1)) == Approx(0.5).margin(1e-12));
    }
  }
}

// Right angles: faces stand w + 2 (1 - pi / 4) r apart. Of a 0201 the walls that all creases lie between.
TEST_CASE("Closed 0201 is as large as its creases and bends make it", "[dieline][closed-form]") {
  const double t = 4, r = kRadiusPerBoard * t, q = 2 * (1 - std::numbers::pi / 4) * r;
  const FoldPlan plan = PlanOf("0201", 300, 200, 150, t);
  const Bounds bounds = BoundsOf(FoldSolid(plan, AnglesAt(plan, 1)));
  const Vector3d size = bounds.high - bounds.low;
  CHECK(size.x() == Approx(304 + q).margin(1e-6));
  CHECK(size.y() == Approx(158 + q).margin(1e-6));
  CHECK(size.z() == Approx(204 + q).margin(1e-6));
  CHECK(bounds.low.y() == Approx(0).margin(1e-9));
  CHECK(bounds.low.x() == Approx(-bounds.high.x()).margin(1e-9));
}

// Inside of the folding carton: what is to go in has room, within the thickness that rules of thumb leave open.
TEST_CASE("Closed cartons hold what they are made for", "[dieline][invariant]") {
  for (const Sample& s : Samples()) {
    INFO(Shown(s));
    const FoldPlan plan = PlanOf(s.style, s.l, s.b, s.h, s.t);
    const auto poses = PosesAt(plan, AnglesAt(plan, 1));
    const auto apart = [&](const char* a, const char* b) {
      const auto &p = poses[static_cast<size_t>(FindPanel(plan.dieline, a))],
                 &q = poses[static_cast<size_t>(FindPanel(plan.dieline, b))];
      CHECK(p.linear().col(2).dot(q.linear().col(2)) == Approx(-1).margin(1e-9));
      const auto& at = plan.dieline.panels[static_cast<size_t>(FindPanel(plan.dieline, b))];
      const Vector3d on_b = q * Vector3d(at.outline[0].x(), -at.outline[0].y(), 0);
      const auto& own = plan.dieline.panels[static_cast<size_t>(FindPanel(plan.dieline, a))];
      const Vector3d on_a = p * Vector3d(own.outline[0].x(), -own.outline[0].y(), 0);
      return (on_a - on_b).dot(p.linear().col(2)) - 2 * s.t;
    };
    // A 0201's walls are narrower than what bends would ask for, by less than t: its rule is X01's.
    const double less = s.style == "0201" ? s.t : 1e-3;
    CHECK(apart("front", "back") >= s.b - less);
    const double width =
        s.style == "0427" ? apart("left", "right") - 4 * s.t - 2 : apart("left", "right");
    CHECK(width >= s.l - less);
    CHECK(width <= s.l + s.t + 0.5);
    if (s.style == "0427" || s.style.find("tuck") != std::string::npos) {
      CHECK(apart("top", "bottom") == Approx(s.style == "0427" ? s.h : s.h + 2 * s.t).margin(1e-3));
    }
  }
}

TEST_CASE("Folded: nothing goes through anything, layers lie beside each other",
          "[dieline][invariant]") {
  for (const Sample& s : Samples()) {
    INFO(Shown(s));
    const FoldPlan plan = PlanOf(s.style, s.l, s.b, s.h, s.t);
    const auto poses = PosesAt(plan, AnglesAt(plan, 1));
    CHECK(WarningsOf(plan, FindClashes(plan, poses)) == std::vector<std::string>{});
    for (const CoveringPair& pair : FindCoveringPairs(plan, poses, 3 * s.t)) {
      INFO(plan.dieline.panels[static_cast<size_t>(pair.inner)].name
           << " under " << plan.dieline.panels[static_cast<size_t>(pair.outer)].name);
      CHECK(std::abs(pair.apart) >= s.t);
      if (plan.dieline.panels[static_cast<size_t>(pair.inner)].glued) CHECK(pair.apart > 0);
    }
  }
}

// The check itself: without layers the glue flap lies in its wall, and a lid that is folded too far goes through the front.
TEST_CASE("Clashes are found where they are", "[dieline][closed-form]") {
  FoldPlan plan = PlanFold(PanelsOf(BlankOf("tuck", 90, 40, 140, 0.5)), 0.5);
  const auto warnings = [&](const std::vector<double>& angles) {
    return WarningsOf(plan, FindClashes(plan, PosesAt(plan, angles)));
  };
  const auto flat = warnings(AnglesAt(plan, 1));
  CHECK(std::count(flat.begin(), flat.end(),
                   "folded, the panels glue_flap and right lie in each other") == 1);
  StackLayers(plan);
  CHECK(warnings(AnglesAt(plan, 1)).empty());
  CHECK(warnings(AnglesAt(plan, 0)).empty());
  std::vector<double> angles = AnglesAt(plan, 1);
  for (size_t h = 0; h < plan.hinges.size(); ++h) {
    if (plan.hinges[h].lid) angles[h] *= 1.2;
  }
  CHECK_FALSE(warnings(angles).empty());
}

// Every edge of a closed carton's walls, lids and flaps meets something, within the thickness and what the style leaves open:
// slots t + 3 wide, half of them on each side; dust flaps that stand 1.8 t + 0.4 back from the tuck; a tray's play of 1
// and sides that stand 0.25 back. Ends of sleeves are open.
TEST_CASE("Closed: edges meet", "[dieline][invariant]") {
  for (const Sample& s : Samples()) {
    if (s.style == "sleeve") continue;
    INFO(Shown(s));
    const FoldPlan plan = PlanOf(s.style, s.l, s.b, s.h, s.t);
    const auto poses = PosesAt(plan, AnglesAt(plan, 1));
    for (size_t p = 0; p < plan.dieline.panels.size(); ++p) {
      const std::string& name = plan.dieline.panels[p].name;
      if (name.rfind("flap", 0) == 0 || name.rfind("ridge", 0) == 0) continue;
      INFO(name);
      const double open = s.style == "0201"   ? (s.t + 3) / 2
                          : s.style == "0427" ? 1.25
                                              : (1.8 * s.t + 0.4) / 2;
      CHECK(LargestGap(plan, poses, static_cast<int>(p)) <= s.t + open);
    }
  }
}

TEST_CASE("Solid: area kept, lengths kept, charts the flat itself", "[dieline][invariant]") {
  for (const Sample& s : Samples()) {
    INFO(Shown(s));
    const FoldPlan plan = PlanOf(s.style, s.l, s.b, s.h, s.t);
    for (const double closed : {0.0, 0.6, 1.0}) {
      const Solid solid = FoldSolid(plan, AnglesAt(plan, closed));
      std::vector<double> in_flat(plan.dieline.panels.size()), in_space(in_flat.size());
      double worst = 0;
      for (const SolidTriangle& triangle : solid.triangles) {
        if (triangle.chart < 0) continue;
        std::array<Vector3d, 3> v;
        std::array<Eigen::Vector2d, 3> m;
        for (size_t i = 0; i < 3; ++i) {
          v[i] = solid.vertices[static_cast<size_t>(triangle.vertices[i])];
          m[i] = triangle.sheet[i].vector();
        }
        const Vector3d normal = (v[1] - v[0]).cross(v[2] - v[0]);
        const Eigen::Vector2d a = m[1] - m[0], b = m[2] - m[0];
        const auto chart = static_cast<size_t>(triangle.chart);
        // Counter-clockwise in space is so on the sheet, whose y runs down: never mirrored.
        in_flat[chart] += -(a.x() * b.y() - a.y() * b.x()) / 2;
        in_space[chart] += normal.norm() / 2;
        for (size_t i = 0; i < 3; ++i) {
          worst = std::max(
              worst, std::abs((v[i] - v[(i + 1) % 3]).norm() - (m[i] - m[(i + 1) % 3]).norm()));
          CHECK(normal.dot(triangle.normals[i]) > 0);
        }
      }
      // A chord of a bend's kBendPieces is shorter than its arc by r x^3 / 24, x = pi / 16: 0.003 mm at r = 10.5.
      CHECK(worst < 0.004);
      double whole = 0, area = 0;
      for (size_t p = 0; p < in_flat.size(); ++p) {
        CHECK(in_flat[p] == Approx(plan.dieline.panels[p].area).margin(0.02));
        CHECK(in_space[p] == Approx(plan.dieline.panels[p].area).epsilon(0.002));
        whole += in_flat[p];
        area += plan.dieline.panels[p].area;
      }
      CHECK(whole == Approx(area).epsilon(1e-5));
    }
  }
}

// Every edge of a triangle is another triangle's too, the other way round: board has no open seam.
TEST_CASE("Solid: closed surface", "[dieline][invariant]") {
  for (const Sample& s : Samples()) {
    INFO(Shown(s));
    const FoldPlan plan = PlanOf(s.style, s.l, s.b, s.h, s.t);
    for (const double closed : {0.0, 0.6, 1.0}) {
      const Solid solid = FoldSolid(plan, AnglesAt(plan, closed));
      std::multiset<std::pair<int, int>> edges;
      for (const SolidTriangle& triangle : solid.triangles) {
        for (size_t i = 0; i < 3; ++i) {
          edges.insert({triangle.vertices[i], triangle.vertices[(i + 1) % 3]});
        }
      }
      size_t open = 0;
      for (const auto& [a, b] : edges) open += edges.count({a, b}) != edges.count({b, a});
      CHECK(open == 0);
    }
  }
}

TEST_CASE("Faces of a closed carton are upright and face where they are named",
          "[dieline][invariant]") {
  for (const Sample& s : Samples()) {
    INFO(Shown(s));
    const FoldPlan plan = PlanOf(s.style, s.l, s.b, s.h, s.t);
    const Solid solid = FoldSolid(plan, AnglesAt(plan, 1));
    const std::map<std::string, std::pair<Vector3d, Vector3d>> wanted{
        {"front", {{0, 0, 1}, {0, 1, 0}}}, {"back", {{0, 0, -1}, {0, 1, 0}}},
        {"left", {{-1, 0, 0}, {0, 1, 0}}}, {"right", {{1, 0, 0}, {0, 1, 0}}},
        {"top", {{0, 1, 0}, {0, 0, -1}}},  {"bottom", {{0, -1, 0}, {0, 0, 1}}}};
    int met = 0;
    for (const SolidFace& face : solid.faces) {
      const auto found = wanted.find(face.name);
      if (found == wanted.end()) continue;
      ++met;
      const auto& [facing, up] = found->second;
      // A large triangle of it: where its face mm run up in space.
      const SolidTriangle* largest = nullptr;
      double area = 0;
      for (const SolidTriangle& triangle : solid.triangles) {
        if (triangle.chart != face.charts.front()) continue;
        const auto v = [&](size_t i) {
          return solid.vertices[static_cast<size_t>(triangle.vertices[i])];
        };
        const double own = (v(1) - v(0)).cross(v(2) - v(0)).norm();
        if (own > area) {
          area = own;
          largest = &triangle;
        }
      }
      REQUIRE(largest != nullptr);
      CHECK((largest->normals[0] - facing).norm() < 1e-6);
      Eigen::Matrix2d flat;
      Eigen::Matrix<double, 3, 2> space;
      for (int i = 0; i < 2; ++i) {
        const auto corner = static_cast<size_t>(i) + 1;
        flat.col(i) = face.face_from_sheet(largest->sheet[corner]).vector() -
                      face.face_from_sheet(largest->sheet[0]).vector();
        space.col(i) = solid.vertices[static_cast<size_t>(largest->vertices[corner])] -
                       solid.vertices[static_cast<size_t>(largest->vertices[0])];
      }
      const Vector3d face_up = space * flat.inverse() * Eigen::Vector2d(0, -1);
      CHECK((face_up - up).norm() < 1e-5);
    }
    CHECK(met >= 4);
  }
}

TEST_CASE("Half open: walls stand before flaps fold; a lid opens alone", "[dieline][invariant]") {
  const FoldPlan plan = PlanOf("tuck", 90, 40, 140, 0.5);
  const auto angle_of = [&](const std::vector<double>& angles, const char* name) {
    const int hinge = plan.hinge_of[static_cast<size_t>(FindPanel(plan.dieline, name))];
    return angles[static_cast<size_t>(hinge)] * 180 / std::numbers::pi;
  };
  const auto half = AnglesAt(plan, 0.5);
  CHECK(angle_of(half, "left") == Approx(90));
  CHECK(angle_of(half, "dust_top_left") == Approx(90));
  CHECK(angle_of(half, "top") == Approx(0).margin(1e-9));
  const auto lid = AnglesAt(plan, 1, 35.0);
  CHECK(angle_of(lid, "top") == Approx(35));
  CHECK(angle_of(lid, "bottom") == Approx(90));
  CHECK(angle_of(lid, "tuck_top") == Approx(90));
  const Bounds flat = BoundsOf(FoldSolid(plan, AnglesAt(plan, 0)));
  CHECK(flat.high.z() - flat.low.z() == Approx(0.5).margin(1e-9));
  CHECK(flat.high.z() == Approx(0.25).margin(1e-9));
}

}  // namespace
}  // namespace wheatpaste

#include "dieline/fold_solid.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>
#include <set>

#include <Eigen/Geometry>

#include "dieline/join_points.h"
#include "dieline/panel_cells.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kSamePointMm = 1e-5;
constexpr double kSamePlaceMm = 1e-4;

struct Cell {
  FlatOutline outline;
  int panel = 0;
  int hinge = -1;            // that bends it; -1: it goes with its panel
  std::vector<int> corners;  // of the joined points, those of neighbours on its sides too
};

// Splits panels along the bends of their creases.
class CellMaker {
 public:
  CellMaker(const FoldPlan& plan, const std::vector<double>& angles)
      : plan_(plan), angles_(angles), joiner_(kSamePointMm) {}

  std::vector<Cell> Make() {
    for (size_t p = 0; p < plan_.dieline.panels.size(); ++p) MakePanel(static_cast<int>(p));
    TakeInNeighbours();
    return std::move(cells_);
  }
  const std::vector<Vector2d>& points() const { return joiner_.points(); }

 private:
  void MakePanel(int panel) {
    std::vector<size_t> bends;
    for (size_t h = 0; h < plan_.hinges.size(); ++h) {
      const Hinge& hinge = plan_.hinges[h];
      if ((hinge.parent == panel || hinge.child == panel) && angles_[h] != 0) bends.push_back(h);
    }
    std::sort(bends.begin(), bends.end(), [&](size_t a, size_t b) {
      const Hinge &p = plan_.hinges[a], &q = plan_.hinges[b];
      if (p.order != q.order) return p.order < q.order;
      return p.length != q.length ? p.length > q.length : a < b;
    });
    std::vector<FlatOutline> level = Trapezoids(plan_.dieline.panels[static_cast<size_t>(panel)]);
    for (const size_t h : bends) {
      std::vector<FlatOutline> rest;
      for (const FlatOutline& convex : level) SplitAt(h, panel, convex, rest);
      level = std::move(rest);
    }
    for (FlatOutline& convex : level) Add(std::move(convex), panel, -1);
  }

  void Add(FlatOutline outline, int panel, int hinge) {
    Cell cell{std::move(outline), panel, hinge, {}};
    for (const Vector2d& p : cell.outline) {
      const int corner = joiner_.IndexOf(p);
      if (cell.corners.empty() || cell.corners.back() != corner) cell.corners.push_back(corner);
    }
    while (cell.corners.size() > 1 && cell.corners.front() == cell.corners.back()) {
      cell.corners.pop_back();
    }
    if (cell.corners.size() >= 3) cells_.push_back(std::move(cell));
  }

  // What a hinge bends of a convex piece becomes cells, what it does not goes to `rest`.
  void SplitAt(size_t h, int panel, const FlatOutline& convex, std::vector<FlatOutline>& rest) {
    const Hinge& hinge = plan_.hinges[h];
    const Vector2d origin(hinge.origin.x(), -hinge.origin.y());
    const Vector2d along(hinge.along.x(), -hinge.along.y()), out(hinge.out.x(), -hinge.out.y());
    const bool is_child = hinge.child == panel;
    const double reach = is_child ? hinge.ReachOut(angles_[h]) : hinge.ReachIn(angles_[h]);
    if (reach <= 0) return rest.push_back(convex);
    const auto keep = [&](FlatOutline outline) {
      if (!outline.empty()) rest.push_back(std::move(outline));
    };
    const double start = along.dot(origin);
    auto [before, within] = SplitConvex(convex, along, start);
    keep(std::move(before));
    auto [span, after] = SplitConvex(within, along, start + hinge.length);
    keep(std::move(after));
    const double line = out.dot(origin);
    auto [inner, outer] = SplitConvex(span, out, line + (is_child ? reach : -reach));
    keep(is_child ? std::move(outer) : std::move(inner));
    FlatOutline bent = is_child ? std::move(inner) : std::move(outer);
    const double turn = std::abs(angles_[h]);
    const int pieces =
        std::max(2, static_cast<int>(std::ceil(kBendPieces * turn / (std::numbers::pi / 2))));
    const double low = line - hinge.inset - hinge.radius * turn / 2;
    for (int i = 0; i <= pieces && !bent.empty(); ++i) {
      auto [piece, more] = SplitConvex(bent, out, low + hinge.radius * turn * i / pieces);
      if (!piece.empty()) Add(std::move(piece), panel, static_cast<int>(h));
      bent = std::move(more);
    }
    if (!bent.empty()) Add(std::move(bent), panel, static_cast<int>(h));
  }

  // Corners of other cells that lie on a side of a cell become its corners, so that neighbours share all of them.
  void TakeInNeighbours() {
    const auto& points = joiner_.points();
    std::vector<int> by_x(points.size());
    std::iota(by_x.begin(), by_x.end(), 0);
    const auto x = [&](int i) { return points[static_cast<size_t>(i)].x(); };
    std::sort(by_x.begin(), by_x.end(), [&](int a, int b) { return x(a) < x(b); });
    for (Cell& cell : cells_) {
      std::vector<int> corners;
      for (size_t i = 0; i < cell.corners.size(); ++i) {
        const int from = cell.corners[i], to = cell.corners[(i + 1) % cell.corners.size()];
        corners.push_back(from);
        const Vector2d &a = points[static_cast<size_t>(from)], &b = points[static_cast<size_t>(to)];
        const Vector2d side = b - a;
        std::vector<std::pair<double, int>> between;
        auto at = std::lower_bound(by_x.begin(), by_x.end(), std::min(a.x(), b.x()) - kSamePointMm,
                                   [&](int index, double value) { return x(index) < value; });
        for (; at != by_x.end() && x(*at) <= std::max(a.x(), b.x()) + kSamePointMm; ++at) {
          if (*at == from || *at == to) continue;
          const Vector2d d = points[static_cast<size_t>(*at)] - a;
          const double t = d.dot(side) / side.squaredNorm();
          if (t > 0 && t < 1 && (d - t * side).norm() < 2 * kSamePointMm)
            between.push_back({t, *at});
        }
        std::sort(between.begin(), between.end());
        for (const auto& [t, index] : between) corners.push_back(index);
      }
      cell.corners = std::move(corners);
    }
  }

  const FoldPlan& plan_;
  const std::vector<double>& angles_;
  PointJoiner joiner_;
  std::vector<Cell> cells_;
};

class SolidMaker {
 public:
  SolidMaker(const FoldPlan& plan, const std::vector<double>& angles)
      : plan_(plan), angles_(angles), poses_(PosesAt(plan, angles)) {}

  Solid Make() {
    CellMaker cell_maker(plan_, angles_);
    const std::vector<Cell> cells = cell_maker.Make();
    flat_ = cell_maker.points();
    solid_.parts = {"outside", "inside", "edges"};
    solid_.chart_count = static_cast<int32_t>(plan_.dieline.panels.size());
    for (const Cell& cell : cells) AddCell(cell);
    AddEdges();
    Stand();
    AddFaces();
    return std::move(solid_);
  }

 private:
  // A place on the board: a vertex of the outside, the one under it follows.
  struct Corner {
    int32_t vertex = 0;
    Vector3d normal{0, 0, 1};
    Vector2d flat{0, 0};
  };

  Corner CornerOf(const Cell& cell, int point) {
    const Vector2d& flat = flat_[static_cast<size_t>(point)];
    Corner corner;
    corner.flat = flat;
    Vector3d outside, inside;
    if (cell.hinge < 0) {
      const Eigen::Isometry3d& pose = poses_[static_cast<size_t>(cell.panel)];
      outside = pose * Vector3d(flat.x(), -flat.y(), 0);
      inside = pose * Vector3d(flat.x(), -flat.y(), -plan_.board);
      corner.normal = pose.linear().col(2);
    } else {
      const Hinge& hinge = plan_.hinges[static_cast<size_t>(cell.hinge)];
      const double angle = angles_[static_cast<size_t>(cell.hinge)];
      const Eigen::Isometry3d& pose = poses_[static_cast<size_t>(hinge.parent)];
      const Vector3d from = Vector3d(flat.x(), -flat.y(), 0) - hinge.origin;
      const double along = from.dot(hinge.along), beyond = from.dot(hinge.out);
      outside = pose * hinge.At(angle, along, beyond, 0);
      inside = pose * hinge.At(angle, along, beyond, -plan_.board);
      corner.normal = pose.linear() * hinge.NormalAt(angle, beyond);
    }
    for (const int32_t vertex : vertices_at_[point]) {
      if ((solid_.vertices[static_cast<size_t>(vertex)] - outside).norm() < kSamePlaceMm) {
        corner.vertex = vertex;
        return corner;
      }
    }
    corner.vertex = static_cast<int32_t>(solid_.vertices.size());
    vertices_at_[point].push_back(corner.vertex);
    solid_.vertices.push_back(outside);
    solid_.vertices.push_back(inside);
    return corner;
  }

  // Corners run clockwise as the outside is seen.
  void AddTriangle(const Corner& a, const Corner& b, const Corner& c, int panel) {
    SolidTriangle outside, inside;
    const std::array<const Corner*, 3> corners{&c, &b, &a};
    for (size_t i = 0; i < 3; ++i) {
      const Corner &front = *corners[i], &back = *corners[2 - i];
      outside.vertices[i] = front.vertex;
      outside.normals[i] = front.normal;
      outside.sheet[i] = {front.flat.x(), front.flat.y()};
      outside.texture_mm[i] = {front.flat.x(), -front.flat.y()};
      inside.vertices[i] = back.vertex + 1;
      inside.normals[i] = -back.normal;
      inside.texture_mm[i] = {back.flat.x(), -back.flat.y()};
    }
    outside.chart = panel;
    inside.part = 1;
    solid_.triangles.push_back(outside);
    solid_.triangles.push_back(inside);
  }

  void AddCell(const Cell& cell) {
    std::vector<Corner> corners;
    for (const int point : cell.corners) corners.push_back(CornerOf(cell, point));
    const size_t n = corners.size();
    const auto doubled = [&](size_t i, size_t j, size_t k) {
      const Vector2d u = corners[j].flat - corners[i].flat, v = corners[k].flat - corners[i].flat;
      return std::abs(u.x() * v.y() - u.y() * v.x()) / std::max(u.norm(), v.norm());
    };
    // From a corner whose triangles are all real ones.
    size_t best = n;
    for (size_t s = 0; s < n && best == n; ++s) {
      bool real = true;
      for (size_t i = 1; i + 1 < n; ++i) {
        real = real && doubled(s, (s + i) % n, (s + i + 1) % n) > kSamePointMm;
      }
      if (real) best = s;
    }
    if (best < n) {
      for (size_t i = 1; i + 1 < n; ++i) {
        AddTriangle(corners[best], corners[(best + i) % n], corners[(best + i + 1) % n],
                    cell.panel);
      }
    } else {
      AddFromMiddle(corners, cell.panel);
    }
    for (size_t i = 0; i < n; ++i) {
      const Corner &a = corners[i], &b = corners[(i + 1) % n];
      const auto back = open_.find({b.vertex, a.vertex});
      if (back != open_.end()) {
        open_.erase(back);
      } else {
        open_[{a.vertex, b.vertex}] = {a, b};
      }
    }
  }

  void AddFromMiddle(const std::vector<Corner>& corners, int panel) {
    const auto n = static_cast<double>(corners.size());
    Corner middle{static_cast<int32_t>(solid_.vertices.size()), {0, 0, 0}, {0, 0}};
    Vector3d outside(0, 0, 0), inside(0, 0, 0);
    for (const Corner& corner : corners) {
      middle.normal += corner.normal;
      middle.flat += corner.flat / n;
      outside += solid_.vertices[static_cast<size_t>(corner.vertex)] / n;
      inside += solid_.vertices[static_cast<size_t>(corner.vertex) + 1] / n;
    }
    middle.normal.normalize();
    solid_.vertices.push_back(outside);
    solid_.vertices.push_back(inside);
    for (size_t i = 0; i < corners.size(); ++i) {
      AddTriangle(middle, corners[i], corners[(i + 1) % corners.size()], panel);
    }
  }

  // The board's own edge, where nothing goes on.
  void AddEdges() {
    double run = 0;
    for (const auto& [ends, corners] : open_) {
      const auto& [a, b] = corners;
      const Vector3d p = solid_.vertices[static_cast<size_t>(a.vertex)],
                     q = solid_.vertices[static_cast<size_t>(b.vertex)];
      const Vector3d outward = (p - q).cross(a.normal + b.normal).normalized();
      const double length = (p - q).norm();
      const std::array<int32_t, 4> vertices{b.vertex + 1, a.vertex + 1, a.vertex, b.vertex};
      const std::array<Vector2d, 4> texture{Vector2d(run, 0), Vector2d(run + length, 0),
                                            Vector2d(run + length, plan_.board),
                                            Vector2d(run, plan_.board)};
      run += length;
      for (const auto& corner : {std::array<size_t, 3>{0, 1, 2}, std::array<size_t, 3>{0, 2, 3}}) {
        SolidTriangle triangle;
        for (size_t i = 0; i < 3; ++i) {
          triangle.vertices[i] = vertices[corner[i]];
          triangle.normals[i] = outward;
          triangle.texture_mm[i] = texture[corner[i]];
        }
        triangle.part = 2;
        solid_.triangles.push_back(triangle);
      }
    }
  }

  void Stand() {
    if (solid_.vertices.empty()) return;
    Vector3d low = solid_.vertices.front(), high = low;
    for (const Vector3d& vertex : solid_.vertices) {
      low = low.cwiseMin(vertex);
      high = high.cwiseMax(vertex);
    }
    const Vector3d foot((low.x() + high.x()) / 2, low.y(), (low.z() + high.z()) / 2);
    for (Vector3d& vertex : solid_.vertices) vertex -= foot;
  }

  void AddFaces() {
    const Dieline& dieline = plan_.dieline;
    SolidFace flat;
    flat.name = kFlatFace;
    flat.high = {dieline.page.x(), dieline.page.y()};
    flat.centre = {dieline.page.x() / 2, dieline.page.y() / 2};
    for (size_t p = 0; p < dieline.panels.size(); ++p) {
      const auto chart = static_cast<int32_t>(p);
      flat.charts.push_back(chart);
      solid_.faces.push_back(FaceOf(dieline.panels[p], chart));
    }
    solid_.faces.push_back(std::move(flat));
  }

  static SolidFace FaceOf(const DielinePanel& panel, int32_t chart) {
    SolidFace face;
    face.name = panel.name;
    face.charts = {chart};
    Eigen::Matrix3d upright = Eigen::Matrix3d::Identity();
    upright.topLeftCorner<2, 2>() << -panel.up.y(), panel.up.x(), -panel.up.x(), -panel.up.y();
    Vector2d low(1e12, 1e12), high(-1e12, -1e12);
    for (const Vector2d& p : panel.outline) {
      const Vector2d at = upright.topLeftCorner<2, 2>() * p;
      low = low.cwiseMin(at);
      high = high.cwiseMax(at);
    }
    upright.topRightCorner<2, 1>() = -low;
    face.face_from_sheet = Map<SurfaceMm, SurfaceMm>(upright);
    face.high = {high.x() - low.x(), high.y() - low.y()};
    face.centre = {face.high.x / 2, face.high.y / 2};
    for (const Vector2d& p : panel.outline) {
      face.outline.push_back(face.face_from_sheet(SurfaceMm{p.x(), p.y()}));
    }
    return face;
  }

  const FoldPlan& plan_;
  const std::vector<double>& angles_;
  std::vector<Eigen::Isometry3d> poses_;
  std::vector<Vector2d> flat_;
  Solid solid_;
  std::map<int, std::vector<int32_t>> vertices_at_;
  std::map<std::array<int32_t, 2>, std::array<Corner, 2>> open_;  // sides that no neighbour shares
};

}  // namespace

Solid FoldSolid(const FoldPlan& plan, const std::vector<double>& angles) {
  return SolidMaker(plan, angles).Make();
}

}  // namespace wheatpaste

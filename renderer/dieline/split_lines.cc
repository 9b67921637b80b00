#include "dieline/split_lines.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "dieline/join_points.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

struct Piece {
  Vector2d a, b;
  const DielineLine* line = nullptr;
  bool ends_at_a = false, ends_at_b = false;  // of an open line
  std::vector<double> splits;                 // between 0 and 1

  Vector2d At(double t) const { return a + t * (b - a); }
};

double Cross(const Vector2d& a, const Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

std::vector<Piece> PiecesOf(const std::vector<DielineLine>& lines) {
  std::vector<Piece> pieces;
  for (const DielineLine& line : lines) {
    const size_t first = pieces.size();
    for (size_t i = 0; i + 1 < line.points.size(); ++i) {
      if ((line.points[i + 1] - line.points[i]).norm() < kFlatGridMm) continue;
      pieces.push_back({line.points[i], line.points[i + 1], &line, false, false, {}});
    }
    if (pieces.size() == first) continue;
    if ((line.points.front() - line.points.back()).norm() < kFlatGridMm) continue;
    pieces[first].ends_at_a = true;
    pieces.back().ends_at_b = true;
  }
  return pieces;
}

// Calls visit(i, j) for pieces whose bounds come nearer than `reach`, i < j in order of their left ends.
template <typename Visit>
void ForNeighbours(const std::vector<Piece>& pieces, double reach, const Visit& visit) {
  std::vector<size_t> order(pieces.size());
  std::iota(order.begin(), order.end(), size_t{0});
  const auto left = [&](size_t i) { return std::min(pieces[i].a.x(), pieces[i].b.x()); };
  const auto right = [&](size_t i) { return std::max(pieces[i].a.x(), pieces[i].b.x()); };
  std::sort(order.begin(), order.end(),
            [&](size_t i, size_t j) { return left(i) != left(j) ? left(i) < left(j) : i < j; });
  for (size_t n = 0; n < order.size(); ++n) {
    const Piece& p = pieces[order[n]];
    const double low = std::min(p.a.y(), p.b.y()) - reach,
                 high = std::max(p.a.y(), p.b.y()) + reach;
    for (size_t m = n + 1; m < order.size() && left(order[m]) <= right(order[n]) + reach; ++m) {
      const Piece& q = pieces[order[m]];
      if (std::max(q.a.y(), q.b.y()) < low || std::min(q.a.y(), q.b.y()) > high) continue;
      visit(order[n], order[m]);
    }
  }
}

// Creases that stop short of another line are drawn on to it.
void DrawCreasesOn(std::vector<Piece>& pieces) {
  struct End {
    bool met = false;
    double reach = kCreaseReachMm;  // to the nearest line ahead
    bool found = false;
  };
  std::vector<std::array<End, 2>> ends(pieces.size());
  const auto look = [&](size_t i, size_t j) {
    const Piece &p = pieces[i], &q = pieces[j];
    if (p.line->cut) return;
    for (int side = 0; side < 2; ++side) {
      if (!(side == 0 ? p.ends_at_a : p.ends_at_b)) continue;
      End& end = ends[i][static_cast<size_t>(side)];
      const Vector2d& at = side == 0 ? p.a : p.b;
      const Vector2d ahead = (at - (side == 0 ? p.b : p.a)).normalized();
      if (DistanceToLine(at, q.a, q.b) <= kJoinMm) end.met = true;
      const Vector2d along = q.b - q.a;
      const double across = Cross(ahead, along);
      if (std::abs(across) < 1e-9 * along.norm()) continue;
      const double distance = Cross(q.a - at, along) / across;
      const double share = Cross(q.a - at, ahead) / across;
      const double slack = kJoinMm / along.norm();
      if (distance > 0 && distance <= end.reach && share >= -slack && share <= 1 + slack) {
        end.reach = distance;
        end.found = true;
      }
    }
  };
  ForNeighbours(pieces, kCreaseReachMm, [&](size_t i, size_t j) {
    look(i, j);
    look(j, i);
  });
  for (size_t i = 0; i < pieces.size(); ++i) {
    for (size_t side = 0; side < 2; ++side) {
      const End& end = ends[i][side];
      if (end.met || !end.found) continue;
      Vector2d& at = side == 0 ? pieces[i].a : pieces[i].b;
      const Vector2d ahead = (at - (side == 0 ? pieces[i].b : pieces[i].a)).normalized();
      at += end.reach * ahead;
    }
  }
}

void SplitPair(Piece& p, Piece& q) {
  const auto touch = [](Piece& piece, const Vector2d& point) {
    const Vector2d along = piece.b - piece.a;
    const double t = (point - piece.a).dot(along) / along.squaredNorm();
    const bool on = t > 0 && t < 1 && (point - piece.At(t)).norm() <= kJoinMm;
    if (on) piece.splits.push_back(t);
    return on || (point - piece.a).norm() <= kJoinMm || (point - piece.b).norm() <= kJoinMm;
  };
  bool touches = touch(p, q.a);
  touches = touch(p, q.b) || touches;
  touches = touch(q, p.a) || touches;
  touches = touch(q, p.b) || touches;
  if (touches) return;
  const Vector2d u = p.b - p.a, v = q.b - q.a;
  const double across = Cross(u, v);
  if (across == 0) return;
  const double s = Cross(q.a - p.a, v) / across, t = Cross(q.a - p.a, u) / across;
  if (s <= 0 || s >= 1 || t <= 0 || t >= 1) return;
  p.splits.push_back(s);
  q.splits.push_back(t);
}

double ToGrid(double mm) { return std::round(mm / kFlatGridMm) * kFlatGridMm; }

}  // namespace

std::optional<FlatGraph> SplitLines(const std::vector<DielineLine>& lines) {
  std::vector<Piece> pieces = PiecesOf(lines);
  if (pieces.size() > kMostDielinePieces) return std::nullopt;
  DrawCreasesOn(pieces);
  size_t split_count = 0;
  bool too_many = false;
  ForNeighbours(pieces, kJoinMm, [&](size_t i, size_t j) {
    if (too_many) return;
    const size_t before = pieces[i].splits.size() + pieces[j].splits.size();
    SplitPair(pieces[i], pieces[j]);
    split_count += pieces[i].splits.size() + pieces[j].splits.size() - before;
    too_many = split_count > 4 * kMostDielinePieces;
  });
  if (too_many) return std::nullopt;

  FlatGraph graph;
  PointJoiner joiner(kJoinMm);
  // Ends come first, so that crossings nearby join them and not the other way round.
  for (const Piece& piece : pieces) {
    joiner.IndexOf(piece.a);
    joiner.IndexOf(piece.b);
  }
  std::map<std::array<int, 2>, size_t> edge_of;
  for (Piece& piece : pieces) {
    piece.splits.push_back(0);
    piece.splits.push_back(1);
    std::sort(piece.splits.begin(), piece.splits.end());
    int from = -1;
    for (const double t : piece.splits) {
      const int to = joiner.IndexOf(piece.At(t));
      if (from >= 0 && from != to) {
        const std::array<int, 2> ends{std::min(from, to), std::max(from, to)};
        const FlatEdge edge{ends, piece.line->cut, piece.line->angle, piece.line->order};
        const auto [found, is_new] = edge_of.insert({ends, graph.edges.size()});
        if (is_new) {
          graph.edges.push_back(edge);
        } else if (edge.cut) {
          graph.edges[found->second] = edge;
        }
      }
      from = to;
    }
  }
  for (const Vector2d& point : joiner.points()) {
    graph.points.emplace_back(ToGrid(point.x()), ToGrid(point.y()));
  }
  if (graph.edges.size() > 4 * kMostDielinePieces) return std::nullopt;
  return graph;
}

}  // namespace wheatpaste

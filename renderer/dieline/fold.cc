#include "dieline/fold.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "base/check.h"
#include "base/units.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

Vector3d BeforeFolding(const Vector2d& flat) { return {flat.x(), -flat.y(), 0}; }

// How far the panel reaches from a line, across it.
double DepthFrom(const DielinePanel& panel, const Vector2d& origin, const Vector2d& direction) {
  double low = 0, high = 0;
  for (const Vector2d& p : panel.outline) {
    low = std::min(low, (p - origin).dot(direction));
    high = std::max(high, (p - origin).dot(direction));
  }
  return high - low;
}

bool StartsWith(const std::string& text, const char* start) { return text.rfind(start, 0) == 0; }

int RootOf(const Dieline& dieline) {
  const int front = FindPanel(dieline, "front");
  if (front >= 0) return front;
  int largest = 0;
  for (size_t p = 1; p < dieline.panels.size(); ++p) {
    if (dieline.panels[p].area > dieline.panels[static_cast<size_t>(largest)].area) {
      largest = static_cast<int>(p);
    }
  }
  return largest;
}

Hinge HingeOf(const Dieline& dieline, const DielineCrease& crease, int parent, double board) {
  const int side = crease.panels[0] == parent ? 0 : 1;
  const int child = crease.panels[static_cast<size_t>(1 - side)];
  const Vector2d along = (crease.to - crease.from).normalized();
  // panels[0] lies to the right of from -> to, as it is seen; y runs down.
  const Vector2d right(-along.y(), along.x());
  const Vector2d out = side == 0 ? Vector2d(-right) : right;
  Hinge hinge;
  hinge.parent = parent;
  hinge.child = child;
  hinge.origin = BeforeFolding(crease.from);
  hinge.along = BeforeFolding(along);
  hinge.out = BeforeFolding(out);
  hinge.length = (crease.to - crease.from).norm();
  hinge.angle = RadFromDegrees(crease.angle).value;
  const double room =
      std::min(DepthFrom(dieline.panels[static_cast<size_t>(parent)], crease.from, out),
               DepthFrom(dieline.panels[static_cast<size_t>(child)], crease.from, out));
  const double wanted = (crease.angle < 0 ? kValleyRadiusPerBoard : kRadiusPerBoard) * board;
  hinge.radius =
      std::abs(hinge.angle) > 0 ? std::min(wanted, room / std::abs(hinge.angle)) : wanted;
  const std::string& name = dieline.panels[static_cast<size_t>(child)].name;
  hinge.lid = StartsWith(name, "top") || StartsWith(name, "lid");
  return hinge;
}

}  // namespace

Vector3d Hinge::At(double angle_rad, double along_mm, double beyond, double height) const {
  const Vector3d up(0, 0, 1);
  const double turn = std::abs(angle_rad), sign = angle_rad < 0 ? -1 : 1;
  const double u = beyond + inset, a = radius * turn / 2;
  const double phi = radius > 0 ? std::clamp((u + a) / radius, 0.0, turn) : (u > 0 ? turn : 0);
  const double rest = u + a - radius * phi;
  const double c = std::cos(phi), s = std::sin(phi);
  return origin + along_mm * along - (a + inset) * out - sign * radius * up +
         (radius + sign * height) * (sign * c * up + s * out) + rest * (c * out - sign * s * up);
}

Vector3d Hinge::NormalAt(double angle_rad, double beyond) const {
  const double turn = std::abs(angle_rad), sign = angle_rad < 0 ? -1 : 1;
  const double u = beyond + inset, a = radius * turn / 2;
  const double phi = radius > 0 ? std::clamp((u + a) / radius, 0.0, turn) : (u > 0 ? turn : 0);
  return std::cos(phi) * Vector3d(0, 0, 1) + sign * std::sin(phi) * out;
}

Eigen::Isometry3d Hinge::Fold(double angle_rad) const {
  // Far enough beyond the bend everything is the child's.
  const double far = ReachOut(angle_rad) + 1;
  const double sign = angle_rad < 0 ? -1 : 1, turn = std::abs(angle_rad);
  const Vector3d up(0, 0, 1);
  Eigen::Matrix3d before, after;
  before << along, out, up;
  after << along, std::cos(turn) * out - sign * std::sin(turn) * up,
      std::cos(turn) * up + sign * std::sin(turn) * out;
  Eigen::Isometry3d fold = Eigen::Isometry3d::Identity();
  fold.linear() = after * before.transpose();
  fold.translation() = At(angle_rad, 0, far, 0) - fold.linear() * (origin + far * out);
  return fold;
}

FoldPlan PlanFold(Dieline dieline, double board_mm) {
  WHEATPASTE_CHECK(!dieline.panels.empty());
  FoldPlan plan;
  plan.board = board_mm;
  plan.root = RootOf(dieline);
  plan.hinge_of.assign(dieline.panels.size(), -1);
  const Vector2d upright = dieline.panels[static_cast<size_t>(plan.root)].up;
  std::vector<int> order(dieline.panels.size(), 0);  // of the hinge each panel hangs on
  std::vector<int> reached{plan.root};
  std::vector<bool> is_reached(dieline.panels.size());
  is_reached[static_cast<size_t>(plan.root)] = true;
  for (size_t next = 0; next < reached.size(); ++next) {
    const int parent = reached[next];
    for (const DielineCrease& crease : dieline.creases) {
      if (crease.panels[0] != parent && crease.panels[1] != parent) continue;
      Hinge hinge = HingeOf(dieline, crease, parent, board_mm);
      const auto child = static_cast<size_t>(hinge.child);
      if (is_reached[child]) continue;
      is_reached[child] = true;
      reached.push_back(hinge.child);
      constexpr double kAlongUpright = 0.9;
      const int before = order[static_cast<size_t>(parent)];
      const bool goes_around =
          before <= 1 &&
          std::abs((crease.to - crease.from).normalized().dot(upright)) > kAlongUpright;
      order[child] = crease.order.value_or(goes_around ? 1 : std::max(before, 1) + 1);
      hinge.order = order[child];
      plan.hinge_of[child] = static_cast<int>(plan.hinges.size());
      plan.hinges.push_back(hinge);
    }
  }
  plan.dieline = std::move(dieline);
  return plan;
}

std::vector<double> AnglesAt(const FoldPlan& plan, double closed, std::optional<double> lid) {
  std::set<int> orders;
  for (const Hinge& hinge : plan.hinges) orders.insert(hinge.order);
  std::vector<double> angles;
  for (const Hinge& hinge : plan.hinges) {
    const auto before =
        static_cast<double>(std::distance(orders.begin(), orders.find(hinge.order)));
    const double share = std::clamp(closed * static_cast<double>(orders.size()) - before, 0.0, 1.0);
    angles.push_back(lid && hinge.lid ? RadFromDegrees(*lid).value : share * hinge.angle);
  }
  return angles;
}

std::vector<Eigen::Isometry3d> PosesAt(const FoldPlan& plan, const std::vector<double>& angles) {
  WHEATPASTE_CHECK_OP(angles.size(), ==, plan.hinges.size());
  std::vector<Eigen::Isometry3d> poses(plan.dieline.panels.size(), Eigen::Isometry3d::Identity());
  const Vector2d up = plan.dieline.panels[static_cast<size_t>(plan.root)].up;
  // Turns the root's upright to +y.
  Eigen::Matrix3d upright = Eigen::Matrix3d::Identity();
  upright.topLeftCorner<2, 2>() << -up.y(), -up.x(), up.x(), -up.y();
  poses[static_cast<size_t>(plan.root)].linear() = upright;
  for (size_t h = 0; h < plan.hinges.size(); ++h) {
    const Hinge& hinge = plan.hinges[h];
    poses[static_cast<size_t>(hinge.child)] =
        poses[static_cast<size_t>(hinge.parent)] * hinge.Fold(angles[h]);
  }
  return poses;
}

}  // namespace wheatpaste

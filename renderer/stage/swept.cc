#include "stage/swept.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kCapRings = 3;

Eigen::Vector3d TangentAt(const Path& path, size_t i) {
  const size_t last = path.size() - 1;
  return (path[std::min(i + 1, last)] - path[i == 0 ? 0 : i - 1]).normalized();
}

Eigen::Vector3d AcrossTo(const Eigen::Vector3d& tangent) {
  const Eigen::Vector3d axis = std::abs(tangent.y()) < 0.9 ? Eigen::Vector3d::UnitY().eval()
                                                           : Eigen::Vector3d::UnitX().eval();
  return tangent.cross(axis).normalized();
}

}  // namespace

std::vector<Eigen::Matrix3d> FramesAlong(const Path& path, const Eigen::Vector3d& sideways) {
  std::vector<Eigen::Matrix3d> frames(path.size());
  Eigen::Vector3d across = sideways, before = TangentAt(path, 0);
  for (size_t i = 0; i < path.size(); ++i) {
    const Eigen::Vector3d along = TangentAt(path, i);
    across = Eigen::Quaterniond::FromTwoVectors(before, along) * across;
    across = (across - across.dot(along) * along).normalized();
    frames[i].col(0) = across;
    frames[i].col(1) = along.cross(across);
    frames[i].col(2) = along;
    before = along;
  }
  return frames;
}

Path SmoothPath(const Path& given, double step) {
  Path fine;
  const auto at = [&](int i) {
    return given[static_cast<size_t>(std::clamp(i, 0, static_cast<int>(given.size()) - 1))];
  };
  constexpr int kFine = 32;
  for (int i = 0; i + 1 < static_cast<int>(given.size()); ++i) {
    const Eigen::Vector3d a = at(i - 1), b = at(i), c = at(i + 1), d = at(i + 2);
    for (int k = 0; k < kFine; ++k) {
      const double t = static_cast<double>(k) / kFine;
      fine.push_back(0.5 * (2 * b + t * (c - a) + t * t * (2 * a - 5 * b + 4 * c - d) +
                            t * t * t * (3 * b - a - 3 * c + d)));
    }
  }
  fine.push_back(given.back());
  std::vector<double> along{0};
  for (size_t i = 1; i < fine.size(); ++i)
    along.push_back(along.back() + (fine[i] - fine[i - 1]).norm());
  const int count = std::max(2, static_cast<int>(std::ceil(along.back() / step)) + 1);
  Path even;
  size_t from = 0;
  for (int i = 0; i < count; ++i) {
    const double want = along.back() * i / (count - 1);
    while (from + 2 < fine.size() && along[from + 1] < want) ++from;
    const double share =
        std::clamp((want - along[from]) / (along[from + 1] - along[from]), 0.0, 1.0);
    even.push_back(fine[from] + share * (fine[from + 1] - fine[from]));
  }
  return even;
}

void AddCord(SolidBuilder& builder, const Path& path, double radius, int sides, int32_t part) {
  const std::vector<Eigen::Matrix3d> frames = FramesAlong(path, AcrossTo(TangentAt(path, 0)));
  const int count = static_cast<int>(path.size());
  SolidGrid grid(count + 2 * kCapRings, sides + 1);
  double along = 0;
  for (int r = 0; r < grid.row_count; ++r) {
    const int i = std::clamp(r - kCapRings, 0, count - 1);
    // Latitude on the half balls: 90 degrees at the poles.
    const int into = r < kCapRings ? kCapRings - r : std::max(0, r - kCapRings - count + 1);
    const double latitude = kPi / 2 * into / kCapRings * (r < kCapRings ? -1 : 1);
    const Eigen::Matrix3d& frame = frames[static_cast<size_t>(i)];
    if (i > 0 && into == 0)
      along += (path[static_cast<size_t>(i)] - path[static_cast<size_t>(i) - 1]).norm();
    const double wide = into == kCapRings ? 0 : std::cos(latitude);
    for (int c = 0; c <= sides; ++c) {
      // Clockwise as seen along the path: rows go forward, columns to the right of one who looks at it from outside.
      const double angle = -2 * kPi * (c % sides) / sides;
      const Eigen::Vector3d out =
          wide * (std::cos(angle) * frame.col(0) + std::sin(angle) * frame.col(1)) +
          std::sin(latitude) * frame.col(2);
      SolidPoint& point = grid.At(r, c);
      point.normal = out.normalized();
      point.at = path[static_cast<size_t>(i)] + radius * out;
      point.texture_mm = {2 * kPi * radius * c / sides, -along};
    }
  }
  builder.AddGrid(grid, part);
}

void AddTwistedCord(SolidBuilder& builder, const Path& path, double radius, double pitch,
                    int strands, int32_t part) {
  // Strands that touch: two of half the radius each; more lie deeper.
  const double sine = std::sin(kPi / strands);
  const double thick = radius * sine / (1 + sine) * 1.08;  // pressed into one another a little
  const double arm = radius - thick;
  const std::vector<Eigen::Matrix3d> frames = FramesAlong(path, AcrossTo(TangentAt(path, 0)));
  for (int s = 0; s < strands; ++s) {
    Path strand;
    double along = 0;
    for (size_t i = 0; i < path.size(); ++i) {
      if (i > 0) along += (path[i] - path[i - 1]).norm();
      const double angle = 2 * kPi * (along / pitch + static_cast<double>(s) / strands);
      strand.push_back(path[i] + arm * (std::cos(angle) * frames[i].col(0) +
                                        std::sin(angle) * frames[i].col(1)));
    }
    AddCord(builder, strand, thick, 10, part);
  }
}

void AddStitch(SolidBuilder& builder, const Eigen::Vector3d& a, const Eigen::Vector3d& b,
               const Eigen::Vector3d& out, double radius, int32_t part) {
  constexpr int kSides = 6;
  const Eigen::Vector3d along = (b - a).normalized(), across = out.cross(along).normalized();
  const Eigen::Vector3d up = along.cross(across);
  const double place[] = {0, 0.14, 0.5, 0.86, 1}, wide[] = {0, 0.8, 1, 0.8, 0};
  const double lift[] = {-0.6, 0.1, 0.35, 0.1, -0.6}, lean[] = {-1, -0.5, 0, 0.5, 1};
  SolidGrid grid(5, kSides + 1);
  for (int r = 0; r < 5; ++r) {
    for (int c = 0; c <= kSides; ++c) {
      const double angle = -2 * kPi * (c % kSides) / kSides;
      const Eigen::Vector3d round = std::cos(angle) * across + std::sin(angle) * up;
      SolidPoint& point = grid.At(r, c);
      point.at = a + place[r] * (b - a) + radius * (lift[r] * up + wide[r] * round);
      point.normal = (round + lean[r] * along).normalized();
      point.texture_mm = {radius * angle, -place[r] * (b - a).norm()};
    }
  }
  builder.AddGrid(grid, part);
}

void AddSeam(SolidBuilder& builder, const std::vector<SeamPoint>& line, double stitch, double gap,
             double radius, int32_t part) {
  std::vector<double> along{0};
  for (size_t i = 1; i < line.size(); ++i)
    along.push_back(along.back() + (line[i].at - line[i - 1].at).norm());
  const int count = std::max(1, static_cast<int>(std::lround(along.back() / (stitch + gap))));
  const double step = along.back() / count, share = stitch / (stitch + gap);
  size_t from = 0;
  const auto at = [&](double mm) {
    while (from + 2 < line.size() && along[from + 1] < mm) ++from;
    const double part_of =
        std::clamp((mm - along[from]) / (along[from + 1] - along[from]), 0.0, 1.0);
    return SeamPoint{
        line[from].at + part_of * (line[from + 1].at - line[from].at),
        (line[from].out + part_of * (line[from + 1].out - line[from].out)).normalized()};
  };
  for (int i = 0; i < count; ++i) {
    const SeamPoint a = at((i + 0.5 - share / 2) * step), b = at((i + 0.5 + share / 2) * step);
    AddStitch(builder, a.at, b.at, (a.out + b.out).normalized(), radius, part);
  }
}

void AddBand(SolidBuilder& builder, const std::vector<BandPoint>& path, double width,
             double thickness, int32_t part) {
  // Around it: along the front from left to right, about the right edge, back, about the left.
  constexpr int kFlat = 8, kRound = 6, kAround = 2 * (kFlat + kRound);
  const double half = width / 2 - thickness / 2, radius = thickness / 2;
  const int count = static_cast<int>(path.size());
  SolidGrid grid(count + 2, kAround + 1);
  double along = 0;
  for (int r = 0; r < count + 2; ++r) {
    const int i = std::clamp(r - 1, 0, count - 1);
    const BandPoint& point = path[static_cast<size_t>(i)];
    if (r > 1 && r <= count) along += (point.at - path[static_cast<size_t>(i) - 1].at).norm();
    for (int c = 0; c <= kAround; ++c) {
      const int k = c % kAround;
      // Rows run forward, so columns run from right to left on the front.
      double x = 0, angle = 0;  // angle from the front towards the left edge
      if (k < kFlat) {
        x = half * (1 - 2.0 * k / kFlat), angle = 0;
      } else if (k < kFlat + kRound) {
        x = -half, angle = kPi * (k - kFlat) / kRound;
      } else if (k < 2 * kFlat + kRound) {
        x = half * (2.0 * (k - kFlat - kRound) / kFlat - 1), angle = kPi;
      } else {
        x = half, angle = kPi + kPi * (k - 2 * kFlat - kRound) / kRound;
      }
      const Eigen::Vector3d out = std::cos(angle) * point.front() - std::sin(angle) * point.across;
      SolidPoint& to = grid.At(r, c);
      const bool end = r == 0 || r == count + 1;
      to.at = end ? point.at : Eigen::Vector3d(point.at + x * point.across + radius * out);
      to.normal = end ? Eigen::Vector3d((r == 0 ? -1 : 1) * point.along) : out;
      to.texture_mm = {x, along};
    }
  }
  builder.AddGrid(grid, part);
}

}  // namespace wheatpaste

#include "stage/paper_ring.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kSteps = 512;

}  // namespace

PaperRing::PaperRing(double width, double height, double depth, double radius, double push)
    : width_(width), height_(height), depth_(depth), radius_(radius), push_(push) {
  ys_.push_back(0);
  double z = SectionAt(0).half_depth;
  for (int i = 1; i <= kSteps; ++i) {
    const double next = SectionAt(height_ * i / kSteps).half_depth;
    const double step = height_ / kSteps, out = std::min(std::abs(next - z), step);
    ys_.push_back(ys_.back() + std::sqrt(step * step - out * out));
    z = next;
  }
}

double PaperRing::PanelStart(int panel) const {
  const double starts[] = {width_ / 2, width_ / 2 + depth_, 1.5 * width_ + depth_,
                           1.5 * width_ + 2 * depth_};
  return starts[panel];
}

PaperRing::Section PaperRing::SectionAt(double w) const {
  // From where the sides' triangles end, at half the depth, the middles go in.
  const double from = std::min(0.5 * depth_, 0.6 * height_);
  const double t = std::max(0.0, (w - from) / (height_ - from));
  Section section;
  section.push = push_ * t * std::sqrt(t);
  section.half_depth = depth_ / 2;
  // The half side: |AF| - tangents + arcs = depth / 2; converges at once for p well below the depth.
  for (int i = 0; i < 30; ++i) {
    const double lean = std::atan2(section.push, section.half_depth);
    section.turn_corner = kPi / 2 + lean;
    section.turn_fold = 2 * lean;
    const double tangents =
        radius_ * (std::tan(section.turn_corner / 2) + std::tan(section.turn_fold / 2));
    const double arcs = radius_ * (section.turn_corner + section.turn_fold) / 2;
    const double length = depth_ / 2 + tangents - arcs;
    section.half_depth = std::sqrt(std::max(1e-6, length * length - section.push * section.push));
  }
  section.half_width =
      width_ / 2 + radius_ * (std::tan(section.turn_corner / 2) - section.turn_corner / 2);
  return section;
}

Eigen::Vector2d PaperRing::Quarter(const Section& section, double s) const {
  // Polygon: (0, d) to the corner A, to the fold F = (W - p, 0); x right, y front.
  const Eigen::Vector2d a(section.half_width, section.half_depth);
  const Eigen::Vector2d f(section.half_width - section.push, 0);
  const Eigen::Vector2d side = (f - a).normalized();
  const double half_corner = radius_ * section.turn_corner / 2;
  const double half_fold = radius_ * section.turn_fold / 2;
  const double corner = width_ / 2;  // s of its middle
  if (s <= corner - half_corner) return {s, section.half_depth};
  if (s < corner + half_corner) {
    const double angle = (s - corner + half_corner) / radius_;
    const Eigen::Vector2d centre(corner - half_corner, section.half_depth - radius_);
    return centre + radius_ * Eigen::Vector2d(std::sin(angle), std::cos(angle));
  }
  const double fold = width_ / 2 + depth_ / 2;
  const double tangent_corner = radius_ * std::tan(section.turn_corner / 2);
  if (s <= fold - half_fold) return a + (tangent_corner + s - corner - half_corner) * side;
  // The arc of the fold turns the other way, about a centre outside on the axis of symmetry.
  const double angle = (fold - s) / radius_;  // from the axis
  const double middle = f.x() + radius_ / std::cos(section.turn_fold / 2);
  return {middle - radius_ * std::cos(angle), radius_ * std::sin(angle)};
}

Eigen::Vector3d PaperRing::At(double s, double w) const {
  const Section section = SectionAt(w);
  // From the front's middle, -around / 2 to around / 2; the halves are mirror images.
  const double from_front = s - around() / 2;
  const double along = std::abs(from_front), quarter = around() / 4;
  const bool behind = along > quarter;
  Eigen::Vector2d at = Quarter(section, behind ? 2 * quarter - along : along);
  if (behind) at.y() = -at.y();
  if (from_front < 0) at.x() = -at.x();
  const double place = std::clamp(w / height_, 0.0, 1.0) * kSteps;
  const auto i = std::min(static_cast<size_t>(place), static_cast<size_t>(kSteps - 1));
  const double y = ys_[i] + (place - static_cast<double>(i)) * (ys_[i + 1] - ys_[i]);
  return {at.x(), y, at.y()};
}

}  // namespace wheatpaste

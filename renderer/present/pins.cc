#include "present/pins.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "present/page_text.h"

namespace wheatpaste {
namespace {

constexpr double kRadiusMm = 2.5;
constexpr double kPointMm = 0.6;
constexpr double kApart = 2.05;  // centres of neighbours, by the radius
constexpr int kRings = 3;
constexpr double kRingMm = 0.35;  // around the disc, so that it stands out from any picture

}  // namespace

double PinRadius(const SheetLook& look) { return look.Scaled(kRadiusMm); }

void DrawPin(const Page& page, const SheetLook& look, const PointMm& centre, size_t number,
             bool outdated) {
  const Theme& theme = look.theme();
  const double radius = PinRadius(look);
  const double ring = look.Scaled(kRingMm);
  page.FillCircle(centre.x, centre.y, radius, outdated ? theme.accent : theme.ground);
  page.FillCircle(centre.x, centre.y, radius - ring, outdated ? theme.ground : theme.accent);
  TextStyle style = look.Facts();
  style.weight = 700;
  style.align = TextStyle::kCentre;
  style.colour = outdated ? theme.accent : theme.ground;
  const std::string text = std::to_string(number);
  style.size_pt *= text.size() < 3 ? 1.0 : 2.6 / static_cast<double>(text.size());
  const PageText label(page, text, style, 2 * radius);
  label.Draw(centre.x - radius, centre.y - label.height() / 2);
}

std::vector<PointMm> PlacePins(const SheetLook& look, const RectMm& picture,
                               const std::vector<PointMm>& points) {
  const double radius = std::min({PinRadius(look), picture.width / 2, picture.height / 2});
  std::vector<PointMm> centres;
  const auto within = [&](PointMm point) -> PointMm {
    return {std::clamp(point.x, picture.x + radius, picture.right() - radius),
            std::clamp(point.y, picture.y + radius, picture.bottom() - radius)};
  };
  const auto is_free = [&](const PointMm& centre) {
    return std::none_of(centres.begin(), centres.end(), [&](const PointMm& other) {
      return std::hypot(centre.x - other.x, centre.y - other.y) < kApart * radius;
    });
  };
  for (const PointMm& point : points) {
    PointMm chosen = within(point);
    // Rings around the point, from the right of it clockwise.
    for (int ring = 1; ring <= kRings && !is_free(chosen); ++ring) {
      for (int step = 0; step < 8 * ring; ++step) {
        const double angle = 2 * std::numbers::pi * step / (8 * ring);
        const double away = ring * kApart * radius;
        const PointMm beside =
            within({point.x + away * std::cos(angle), point.y + away * std::sin(angle)});
        if (!is_free(beside)) continue;
        chosen = beside;
        break;
      }
    }
    centres.push_back(chosen);
  }
  return centres;
}

void DrawPinPoint(const Page& page, const SheetLook& look, const PointMm& point, bool outdated) {
  const double radius = look.Scaled(kPointMm);
  page.FillCircle(point.x, point.y, radius + look.Scaled(kRingMm) / 2, look.theme().ground);
  page.FillCircle(point.x, point.y, radius, outdated ? look.theme().quiet : look.theme().accent);
}

}  // namespace wheatpaste

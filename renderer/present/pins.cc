#include "present/pins.h"

#include <algorithm>
#include <string>

#include "present/page_text.h"

namespace wheatpaste {
namespace {

constexpr double kRadiusMm = 2.5;
constexpr double kRingMm = 0.35;  // around the disc, so that it stands out from any picture

}  // namespace

double PinRadius(const SheetLook& look) { return look.Scaled(kRadiusMm); }

void DrawPin(const Page& page, const SheetLook& look, double x, double y, size_t number,
             bool outdated) {
  const Theme& theme = look.theme();
  const double radius = PinRadius(look);
  const double ring = look.Scaled(kRingMm);
  page.FillCircle(x, y, radius, outdated ? theme.accent : theme.ground);
  page.FillCircle(x, y, radius - ring, outdated ? theme.ground : theme.accent);
  TextStyle style = look.Facts();
  style.weight = 700;
  style.align = TextStyle::kCentre;
  style.colour = outdated ? theme.accent : theme.ground;
  const std::string text = std::to_string(number);
  style.size_pt *= text.size() < 3 ? 1.0 : 2.6 / static_cast<double>(text.size());
  const PageText label(page, text, style, 2 * radius);
  label.Draw(x - radius, y - label.height() / 2);
}

PinCentre PinCentreOf(const SheetLook& look, const RectMm& picture, double share_x,
                      double share_y) {
  const double radius = std::min({PinRadius(look), picture.width / 2, picture.height / 2});
  return {
      std::clamp(picture.x + share_x * picture.width, picture.x + radius, picture.right() - radius),
      std::clamp(picture.y + share_y * picture.height, picture.y + radius,
                 picture.bottom() - radius)};
}

}  // namespace wheatpaste

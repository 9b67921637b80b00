#include "surface/write_blank.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

#include <fmt/format.h>

#include "base/check.h"
#include "base/plain_text.h"
#include "surface/mark_rims.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
// Longer ones than a scene can hold.
constexpr size_t kMaxTitleCharacters = 1000;

// Six digits after the point: a nanometre.
std::string Number(double mm) { return fmt::format("{:.6f}", mm == 0 ? 0.0 : mm); }

struct Blank {
  SurfaceMm low, high;  // the page
  std::string path;
};

Blank RectangleBlank(const FlatPattern& pattern, double bleed) {
  Blank blank{pattern.low(), pattern.high(), ""};
  blank.low = {blank.low.x - bleed, blank.low.y - bleed};
  blank.high = {blank.high.x + bleed, blank.high.y + bleed};
  blank.path = fmt::format("M {} {} H {} V {} H {} Z", Number(blank.low.x), Number(blank.low.y),
                           Number(blank.high.x), Number(blank.high.y), Number(blank.low.x));
  return blank;
}

Blank SectorBlank(const FrustumSize& size, double bleed) {
  const FlatSector flat = FlatSectorOf(size);
  const double half = flat.angle_rad / 2;
  // Both sides turn outwards by asin(bleed / radius) at each arc; at the inner one that must leave them apart.
  const double room = std::sin(0.95 * std::min(kPi / 2, kPi - half));
  const double b = std::min(bleed, flat.inner_radius * room / (1 + room));
  const double outer = flat.outer_radius + b, inner = flat.inner_radius - b;
  const double outer_half = half + std::asin(b / outer), inner_half = half + std::asin(b / inner);
  // The apex lies on the centre line, below the pattern where the top is the wider rim.
  const double down = size.diameter_top > size.diameter_bottom ? 1 : -1;
  const double apex = down * (flat.outer_radius - flat.slant / 2);
  const auto at = [&](double radius, double angle) {
    return SurfaceMm{radius * std::sin(angle), apex - down * radius * std::cos(angle)};
  };
  const auto point = [](const SurfaceMm& p) { return Number(p.x) + " " + Number(p.y); };
  const auto arc = [&](double radius, double angle, int sweep, const SurfaceMm& to) {
    return fmt::format("A {0} {0} 0 {1} {2} {3}", Number(radius), 2 * angle > kPi ? 1 : 0, sweep,
                       point(to));
  };
  const SurfaceMm outer_end = at(outer, outer_half);
  const int clockwise = down > 0 ? 1 : 0;
  Blank blank;
  blank.path =
      fmt::format("M {} {} L {} {} Z", point(at(outer, -outer_half)),
                  arc(outer, outer_half, clockwise, outer_end), point(at(inner, inner_half)),
                  arc(inner, inner_half, 1 - clockwise, at(inner, -inner_half)));
  const double wide = outer * std::sin(std::min(outer_half, kPi / 2));
  const double far = apex - down * outer;
  const double near = down > 0 ? std::max(outer_end.y, at(inner, inner_half).y)
                               : std::min(outer_end.y, at(inner, inner_half).y);
  blank.low = {-wide, std::min(far, near)};
  blank.high = {wide, std::max(far, near)};
  return blank;
}

}  // namespace

std::string BlankSvg(const RimMarks& rims, double bleed_mm, const std::string& title, Shape shape) {
  WHEATPASTE_CHECK_OP(bleed_mm, >=, 0.0);
  const FrustumSize size = FrustumSizeOf(rims);
  const Blank blank = size.is_cylinder() ? RectangleBlank(PatternOf(size, shape), bleed_mm)
                                         : SectorBlank(size, bleed_mm);
  const double width = blank.high.x - blank.low.x, height = blank.high.y - blank.low.y;
  const std::string placing = bleed_mm == 0
                                  ? std::string("with fit = \"stretch\"")
                                  : fmt::format("with width = {} and at = [{}, {}]", Number(width),
                                                Number((blank.low.x + blank.high.x) / 2),
                                                Number((blank.low.y + blank.high.y) / 2));
  // Control characters, which XML forbids, leave a space.
  std::string plain = title;
  std::replace_if(
      plain.begin(), plain.end(), [](unsigned char c) { return c < 0x20; }, ' ');
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" "
      "viewBox=\"{2} {3} {0} {1}\">\n"
      "  <title>{4}</title>\n"
      "  <desc>Flat print blank, true to scale: {5:g} mm across the top, {6:g} mm across the "
      "bottom, "
      "{7:g} mm high, bleed {8:g} mm. Coordinates are mm of the surface; their origin lies {9} mm "
      "from "
      "the left and {10} mm from the top of this page. Artwork drawn on this page is placed "
      "{11}.</desc>\n"
      "  <path d=\"{12}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.1\"/>\n"
      "</svg>\n",
      Number(width), Number(height), Number(blank.low.x), Number(blank.low.y),
      XmlText(plain, kMaxTitleCharacters), size.diameter_top, size.diameter_bottom, size.height,
      bleed_mm, Number(-blank.low.x), Number(-blank.low.y), placing, blank.path);
}

}  // namespace wheatpaste

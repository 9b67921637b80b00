#include "composite/check_print.h"

#include <fmt/format.h>

#include "colour/adapt.h"
#include "colour/difference.h"
#include "composite/proof_artwork.h"

namespace wheatpaste {

Result<std::vector<PrintedMainColour>> CheckPrint(const Press& press, const Artwork& artwork) {
  const auto colours = MainColours(artwork);
  if (!colours) return colours.errors();
  std::vector<PrintedMainColour> printed;
  for (const MainColour& drawn : *colours) {
    PrintedMainColour colour{drawn, press.Hold(LinearFromSrgb(drawn.colour)), {}};
    const HeldColour& held = colour.held;
    colour.held_srgb = SrgbFromLinear(LinearFromLabD50(held.relative));
    colour.shift = DeltaE2000(held.wanted, held.relative);
    colour.out_of_gamut = DeltaE2000(held.wanted, held.nearest) > kLargeShift;
    printed.push_back(colour);
  }
  return printed;
}

std::vector<std::string> PrintWarnings(const std::vector<PrintedMainColour>& colours,
                                       const PrintCondition& condition,
                                       const std::string& artwork) {
  std::vector<std::string> warnings;
  const std::string press = PlainName(condition);
  for (const PrintedMainColour& colour : colours) {
    const std::string name = fmt::format("{}: {}", artwork, HexOf(colour.drawn.colour));
    const std::string change = fmt::format("shifts by {:.1f} CIEDE2000, to about {}", colour.shift,
                                           HexOf(colour.held_srgb));
    if (colour.out_of_gamut) {
      warnings.push_back(fmt::format("{} lies outside what {} holds and {}", name, press, change));
    } else if (colour.shift > kLargeShift) {
      warnings.push_back(
          fmt::format("{} {} on {}, as dark colours are lightened together to stay apart", name,
                      change, press));
    }
    const double ink = colour.held.total_ink_percent();
    if (condition.total_ink_percent && ink > *condition.total_ink_percent) {
      warnings.push_back(fmt::format("{} takes {:.0f} % of ink, more than the {:.0f} % of {}", name,
                                     ink, *condition.total_ink_percent, press));
    }
  }
  return warnings;
}

}  // namespace wheatpaste

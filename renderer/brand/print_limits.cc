#include "brand/print_limits.h"

#include <algorithm>
#include <array>
#include <string_view>

namespace wheatpaste {

PrintLimits LimitsOf(const Ink& ink) {
  constexpr std::array<std::string_view, 3> kThroughScreen{"screen ink", "screen ink, two passes",
                                                           "washed-out print"};
  constexpr std::string_view kPainted = "wall paint";
  if (ink.name == kPainted) return {"painted on a wall", 1.0, 1.0, 10};
  if (std::find(kThroughScreen.begin(), kThroughScreen.end(), ink.name) != kThroughScreen.end()) {
    return {"through a screen on cloth", 0.35, 0.5, 2.0};
  }
  // 0.25 pt and 0.5 pt; small letters of 6 pt type.
  return {"on paper", 0.1, 0.2, 1.2};
}

}  // namespace wheatpaste

#include "ink/printed_colour.h"

namespace wheatpaste {

SceneLinear PrintedColour(const Ink& ink, const Substrate& substrate, const SceneLinear& artwork) {
  const auto band = [&ink](double blank, float colour) {
    const double printed = double{colour} * ((1 - ink.opacity) * blank + ink.opacity * ink.white);
    return static_cast<float>(printed);
  };
  const Reflectance& blank = substrate.reflectance;
  return {band(blank.r, artwork.r), band(blank.g, artwork.g), band(blank.b, artwork.b)};
}

}  // namespace wheatpaste

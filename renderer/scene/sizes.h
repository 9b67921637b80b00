// sizes.h - how large a picture is wanted: pixels, millimetres or inches, or a name of the trade.
//
// Forms   "1600x1200"               px
//         "210x297mm", "8.5x11in"   printed; the density says how many px that is
//         a name of shared/sizes.toml, upper and lower case alike: "A3", "letter", "slide", ...;
//         with " landscape" behind it, the wider side along the top: "A3 landscape"
// Model   px = round(mm / 25.4 * ppi), half away from zero.
// Limits  sides of 1 to kMaxPictureSidePx.
#pragma once

#include <string>
#include <variant>

#include "base/error.h"
#include "base/rect.h"
#include "base/units.h"

namespace wheatpaste {

inline constexpr int64_t kMaxPictureSidePx = 60'000;

struct SizeMm {
  double width = 0;
  double height = 0;
};

struct PictureSize {
  std::variant<SizePx, SizeMm> extent;

  bool printed() const { return std::holds_alternative<SizeMm>(extent); }

  // Of a size in px, that size, whatever the density. No limit is checked here.
  SizePx ToPixels(Ppi ppi) const;
};

// text         for a command-line option, text.place.file holds it as written, "--size 40x", and
//              text.key is empty; for a file, place and key are those of the value.
// data_folder  holds shared/sizes.toml.
// errors       none of the forms, a side below 1 px or above the limit, an unknown name (with the
//              nearest known one); a broken shared/sizes.toml.
Result<PictureSize> ReadPictureSize(const Placed<std::string>& text,
                                    const std::string& data_folder);

// ToPixels within the limits.
// errors  at the place of `text`: a side of the result is below 1 px or above the limit; of a printed size that is too
//         large, the message names the largest whole density that fits.
Result<SizePx> PixelsWithinLimits(const PictureSize& size, Ppi ppi,
                                  const Placed<std::string>& text);

}  // namespace wheatpaste

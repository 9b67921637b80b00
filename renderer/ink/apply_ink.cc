#include "ink/apply_ink.h"

namespace wheatpaste {

void ApplyInkPlainly(const Ink& ink, const InkRow& row) {
  for (int64_t i = 0; i < row.count; ++i) {
    const double c = double{row.seen[i]};
    const double bare = 1 - c * double{row.artwork[3][i]};
    for (int k = 0; k < 3; ++k) {
      const double l = double{row.light[k][i]}, art = double{row.artwork[k][i]};
      const double filtered = l * (bare + c * art);
      const double hidden =
          ink.opacity > 0 ? l * bare + ink.white * c * art * double{row.irradiance[k][i]} : 0;
      row.light[k][i] = static_cast<float>((1 - ink.opacity) * filtered + ink.opacity * hidden);
    }
  }
}

}  // namespace wheatpaste

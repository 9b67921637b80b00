// press.h - what a printing press holds of a colour, by its ICC profile.
//
// Model   ink = B(working colour): relative colorimetric with black-point compensation, as artwork is separated.
//         Seen again, ink = c m y k in percent:
//           relative  to the press's own paper, paper = 1 1 1, black as light as this press leaves it. What the ink
//                     takes away; may be printed on any substrate of a scene.
//           absolute  as measured, paper included: 1 is the perfect diffuser under D50, adapted to the working white.
//         Black-point compensation (which moves the screen's black to the press's) belongs to the first step alone;
//         absolute here means the view, never another separation.
// Raster  HoldRow looks up a table made once from the above: kPressNodes points a side over the signed cube root of
//         linear light, tetrahedra between them, cube of the result. Covers [-0.05, 1.42] a band, so Display P3 and
//         light a little beyond white keep their colour; what lies further out ends there.
// Source  ICC.1:2022, 6.2 (intents); ISO 18619:2015 (black-point compensation); both done by LittleCMS 2. Tetrahedra:
//         J. M. Kasson et al. 1995, J. Electronic Imaging 4(3), 226-250.
// Threads immutable once made; any thread may use it, and the result has the same bits on any number of them.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <string>

#include "base/error.h"
#include "colour/colour.h"
#include "colour/profile.h"

namespace wheatpaste {

enum class ProofIntent { kRelative, kAbsolute };

inline constexpr int kPressNodes = 49;
// The table against the exact way, CIEDE2000 over the colours of sRGB: in the mean, and for 99 of 100.
inline constexpr double kPressTableMeanError = 0.1;
inline constexpr double kPressTableLargeError = 0.4;

// One colour on a press. Lab: D50, 2 degrees.
struct HeldColour {
  std::array<double, 4> ink_percent{};  // cyan, magenta, yellow, black
  Lab wanted;                           // the working colour, paper = its white
  Lab nearest;  // to the press's paper: as near as the press comes, without black-point compensation
  Lab relative;  // to the press's paper: as separated
  Lab absolute;  // as measured
  double total_ink_percent() const {
    return ink_percent[0] + ink_percent[1] + ink_percent[2] + ink_percent[3];
  }
};

class Press {
 public:
  // errors  at `place` and `subject`: not a CMYK profile, or one that only reads ink and cannot choose it.
  static Result<Press> Make(const Profile& profile, const Place& place, const std::string& subject);

  // What `ink_percent` on this press looks like.
  Lab LabOfInk(ProofIntent intent, const std::array<double, 4>& ink_percent) const;

  // Exact, for single colours.
  HeldColour Hold(const SceneLinear& colour) const;

  // Replaces `count` colours by what the press holds of them, by the table; the first call makes it.
  void HoldRow(ProofIntent intent, int64_t count, float* r, float* g, float* b) const;

 private:
  struct Impl;
  std::shared_ptr<const Impl> impl_;
};

}  // namespace wheatpaste

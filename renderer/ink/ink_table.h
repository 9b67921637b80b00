// ink_table.h - printed_colour.h for every pixel of a raster, by a table made once for an ink and a substrate.
//
// Table   kNodes a side over the square root of the linear colour, where steps look even; trilinear between.
// Error   against InkOnSubstrate::At, reflectance of the print over 24^3 colours between the nodes, five inks on three
//         substrates: CIEDE2000 at most kInkTableMaxError (tests/ink/ink_table_test.cc).
// Threads the table is immutable; conversion runs on all threads, with the same bits for any number.
#pragma once

#include <optional>
#include <vector>

#include "image/image.h"
#include "ink/printed_colour.h"

namespace wheatpaste {

inline constexpr double kInkTableMaxError = 0.6;

// Light of printed artwork, premultiplied by the share that holds ink: F, and H where the ink hides anything.
struct PrintRaster {
  Image<LinearPremul> filter;
  std::optional<Image<LinearPremul>> cover;  // its alpha is that of `filter`
};

class InkTable {
 public:
  static constexpr int kNodes = 33;

  InkTable(const Ink& ink, const Substrate& substrate);

  // Whether what is printed has a `cover`.
  bool covers() const { return ink_.covers(); }
  PrintedLight At(const SceneLinear& artwork) const;
  PrintRaster Print(Image<LinearPremul> artwork) const;

 private:
  struct Node {
    float filter[3], cover[3];
  };
  Node LookUp(float r, float g, float b) const;

  InkOnSubstrate ink_;
  float beyond_filter_, beyond_cover_;  // what colours outside [0, 1] add
  bool gray_;                           // an ink of one colour: only luminance counts
  bool stock_;
  std::vector<Node> nodes_;  // red slowest
};

}  // namespace wheatpaste

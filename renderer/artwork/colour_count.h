// colour_count.h - how much of a drawing each flat colour fills, counted as it is drawn, piece by piece.
//
// Model   coded as sRGB; a pixel counts where it and its four neighbours are opaque and of one code. Codes that mostly
//         border on nearly equal ones are steps of a gradient and left out, so edges, gradients and photographs leave
//         nothing behind. Beyond a piece every neighbour agrees.
//         share = pixels of that code / area that the drawing covers (the sum of alpha)
// Range   colours outside sRGB end at its limits. Shares sum to at most 1; the rest is edges, gradients, pictures.
//         At most kMostMainColours, none below `least_share`.
// Threads pieces may be added by several at once, in any order: the sums are of whole numbers, and so the same.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <unordered_map>
#include <vector>

#include "artwork/artwork.h"
#include "colour/srgb.h"

namespace wheatpaste {

inline constexpr size_t kMostMainColours = 24;
inline constexpr double kLeastShare = 0.001;

struct MainColour {
  Srgb8 colour;
  double share = 0;
};

class ColourCount {
 public:
  void Add(ImageView<LinearPremul> piece);
  // By falling share, equal ones by code; empty where nothing is flat.
  std::vector<MainColour> Colours(double least_share = kLeastShare) const;

 private:
  struct Pixels {
    int64_t flat = 0,
            sloping =
                0;  // sloping: beside a nearly equal code, in pieces where the code is flat too
  };
  mutable std::mutex mutex_;
  std::unordered_map<uint32_t, Pixels> by_code_;
  int64_t area_ = 0;  // in parts of a pixel
};

// The same artwork, whose colours are added to `count` whenever it is drawn.
std::shared_ptr<const Artwork> CountWhenDrawn(std::shared_ptr<const Artwork> artwork,
                                              std::shared_ptr<ColourCount> count);

}  // namespace wheatpaste

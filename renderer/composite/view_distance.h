// view_distance.h - how large a picture is in which a pixel is what an eye just tells apart.
//
// Model   at distance d an output px spans one minute of arc: mm per px = d tan(1/60 degree), so 87.3 px an
//         inch at 1 m, 8.7 at 10 m. The picture gets the size at which the largest placement's centre
//         has that many px a mm, measured along the direction in which the photo foreshortens least;
//         what stands nearer or farther in the photo has more or fewer.
// Source  one minute of arc: the resolution of visual acuity 1.0 (ISO 8596:2017, 4.1, from memory).
#pragma once

#include <string>

#include "base/error.h"
#include "base/rect.h"
#include "base/units.h"
#include "composite/prepare_artwork.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

struct DistanceView {
  SizePx size;          // of the picture; the photo's aspect ratio
  std::string surface;  // on which it counts
  Ppi wanted;           // px per inch on that surface, one minute of arc each
  Ppi photo;            // that the photo itself has there
};

// Px per inch on a surface `metres` away.
Ppi ResolvedFrom(double metres);

// metres  with the option as its place.
// errors  nothing is placed on a surface whose mm are known and which the picture shows; a side below 1
//         px or above kMaxPictureSidePx.
Result<DistanceView> ViewFrom(const SolvedScene& solved, const ArtworkByName& artworks,
                              const Placed<double>& metres);

// What the user should know of it, in plain words.
std::string DistanceNote(const DistanceView& view, double metres);

}  // namespace wheatpaste

// shown_scale.h - where and how large a picture shows a placement: px per mm at its centre.
//
// Model   J = d output px / d surface mm where the surface shows the placement's centre; with s1 >= s2 its singular values
//             largest = s1               along the direction that is foreshortened least
//             mean    = sqrt(s1 s2)      geometric mean over all directions: the square root of the area's scale
//         Of a projective picture J is exact. Else it is that of the seen pixel nearest to the centre, on the face that
//         holds it or is nearest to it.
// Threads safe to call from several at once.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "composite/prepare_artwork.h"

namespace wheatpaste {

struct ShownScale {
  double largest = 0, mean = 0;  // px of the picture per surface mm
  OutputPx at;  // where: of a projective picture the centre, maybe beyond the picture's edge
};

// What a picture shows of one face; several charts may be of one.
struct FacePicture {
  size_t face = 0;  // index into FittedSurface::faces
  const ChartPicture* picture = nullptr;
};

// centre  of the placement, mm of the area that it lies on (AreaOf).
// returns none where no picture shows anything of its faces.
std::optional<ShownScale> ScaleShown(const FittedSurface& fitted, const Placement& placement,
                                     const SurfaceMm& centre,
                                     const std::vector<FacePicture>& pictures);

// The same of a scene's own picture, px of the picture itself.
std::optional<ShownScale> ScaleShown(const PreparedScene& prepared, const Placement& placement,
                                     const SurfaceMm& centre);

}  // namespace wheatpaste

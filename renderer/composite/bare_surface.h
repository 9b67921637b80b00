// bare_surface.h - surfaces whose material is read from the photo, or whose old print is removed.
//
// Model   SeparateReflectance over all that the picture shows of a surface; AnchorMaterial where the scene says
//         substrate = "photo"; RemovePrint where it says old_print = "remove": then the base picture shows the bare
//         surface, in the same light, before anything is printed. Pixels that do not change keep their codes.
#pragma once

#include "composite/prepare_scene.h"

namespace wheatpaste {

// Whether ReadBareSurfaces has anything to do there: then all of the surface is prepared, printed or not.
inline bool ReadsSurface(const Surface& surface) {
  return surface.substrate.value.from_photo || surface.old_print == OldPrint::kRemove;
}

// Pixels of the base picture that are no longer the photo's.
struct BarePart {
  RectPx region;
  Image<Coverage> changed;  // 0: the photo's own, 1: wholly made anew
};

// Writes the reflectance that was read into scene.surfaces[].substrate, the bare surface into `base`.
// surfaces  one for each of the scene's; without charts where the picture shows nothing of it.
std::vector<BarePart> ReadBareSurfaces(const std::vector<PreparedSurface>& surfaces, Scene& scene,
                                       BasePicture& base);

}  // namespace wheatpaste

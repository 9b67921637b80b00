// divide_reflectance.h - light on a surface whose reflectance is known pixel by pixel: an old print whose artwork is known.
//
// Model   E = L / R in each band; where a band returns little, from the others (the trust in bands of shading.h), for each
//         pixel by its own R. A pixel that returns nothing (R = 0 in every band) has E = 0.
// Use     divide first, then clean: SeparateShading of the result, on a substrate of reflectance 1.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include "colour/colour.h"
#include "image/image.h"

namespace wheatpaste {

// Both of one size.
Image<SceneLinear> DivideByReflectance(ImageView<SceneLinear> light,
                                       ImageView<Reflectance> reflectance);

}  // namespace wheatpaste

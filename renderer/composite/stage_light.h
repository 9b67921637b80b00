// stage_light.h - the light of a stage under a chart: not read from the photograph, but known.
//
// Model   E and S as traced (stage/stage_photo.h), resized as the photo is. In a pixel that the face shares with others, and in those next
//         to it where the picture is not the photo's own size, they are those of the nearest pixel that is the face's alone.
//         Fine texture T = Y(D) / Y(E Rs): the substrate's own grain, as its texture lays it over its mean reflectance.
//         Where the photograph ends at white, the light itself goes on: D = E Rs.
// Edges   in pixels that faces share with others, the light that is not theirs is what is left of the photograph's; where coverage and light,
//         each with a sample's noise, leave less than half or more than twice what the nearest pixel without such faces shows, that bound.
// Source  derived here; tests/ref/stage_exactness_test.cc holds prints on a stage against prints that were traced with it.
#pragma once

#include <vector>

#include "composite/prepare_scene.h"

namespace wheatpaste {

// Fills in chart's gloss and shading, and mends `base` under it.
void LightFromStage(const StagePhoto& photo, const Reflectance& substrate, const Frame& frame,
                    BasePicture& base, PreparedChart& chart);

// What the face alone sends to the camera while blank, E Rs + S, at a pixel of its chart's region. Expects PreparedChart::blank.
float OwnLight(const PreparedChart& chart, int plane, int64_t x, int64_t y);

// Makes `base` exactly the sum of its parts in pixels that faces share, as far as they know their own light (PreparedChart::blank).
void MendSharedPixels(const std::vector<PreparedSurface>& surfaces, BasePicture& base);

}  // namespace wheatpaste

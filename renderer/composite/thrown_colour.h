// thrown_colour.h - the colour that prints on a stage throw on what stands beside them.
//
// Model   the blank throws T_f on each pixel: light of the photograph that came off face f, diffuse there, before the point that is seen
//         (stage/stage_photo.h). A print that returns r_f times what the blank does, in the mean over the face, throws r_f T_f:
//             gain = (L + sum over f (r_f - 1) T_f) / L,   L' = gain L   for the finished light of the pixel, printed or not.
//         Of placements one over another the means are multiplied.
// Limits  one bounce; one mean colour a face, whichever of its parts is near; what is mirrored keeps the blank's colour; a print that is
//         seen in the pixel takes the gain whole, its gloss too.
// Source  derived here; tests/ref/thrown_colour_test.cc holds it against prints that were traced.
#pragma once

#include <memory>
#include <vector>

#include "composite/prepare_artwork.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

// The gain of every pixel; none where the scene's stage tells no face apart, or nothing on those faces is printed.
// Expects a picture that is held whole, and a stage whose photograph has been taken.
std::unique_ptr<const Image<SceneLinear>> ThrownColour(
    const PreparedScene& scene, const std::vector<PreparedArtwork>& artworks);

}  // namespace wheatpaste

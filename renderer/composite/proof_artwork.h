// proof_artwork.h - artwork as a press holds it.
//
// Model   each colour of the raster, its alpha divided out, becomes what the press holds of it (colour/press.h):
//           relative  relative to the press's paper, so that the ink filters, or covers, the scene's own material;
//           absolute  the measured reflectance Rp, the press's paper included, on whatever lies under it: handed on as
//                     C = Rp / Rw, Rw what artwork white becomes here (ink/printed_colour.h), so that a plain ink makes Rp of
//                     it. Films are left out: what they would look like has been measured.
//         Alpha stays. Where nothing is printed (alpha 0) the photographed material stays, in both.
// Threads rows in parallel, the same bits on any number of them.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/error.h"
#include "colour/press.h"
#include "image/image.h"
#include "scene/scene.h"

namespace wheatpaste {

// errors  at the place that names the condition: the profile is not there, too large or broken.
Result<Profile> ReadPressProfile(const PrintCondition& condition);

// errors  those, or the profile is none of a press.
Result<Press> ReadPress(const PrintCondition& condition);

// "coated offset (FOGRA39)", or the profile's file.
std::string PlainName(const PrintCondition& condition);

// What the colours of a picture are, in plain words.
std::string ProofNote(const Scene& scene);

// Rw of a placement (for a film, that of the substrate) where `scene` asks for an absolute proof, else 1. Expects a substrate that is known.
std::array<float, 3> ProofWhite(const Scene& scene, const Placement& placement);

void ProofArtwork(const Press& press, ProofIntent intent, const std::array<float, 3>& white,
                  Image<LinearPremul>& raster);

}  // namespace wheatpaste

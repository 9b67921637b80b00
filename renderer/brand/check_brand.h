// check_brand.h - every rule on every placement of a scene whose geometry is solved.
//
// Rules   colour_rules.h, size_rules.h, place_rules.h; of artwork for a whole blank (a carton's face "flat") flat_rules.h too. An artwork is drawn once for each of its printed sizes.
// Null    what cannot be measured says why: artwork that is not of flat colours, a surface without a size, a substrate
//         that only the photo knows.
// Threads runs in parallel inside; the same findings for any thread count.
#pragma once

#include "brand/finding.h"
#include "composite/prepare_artwork.h"

namespace wheatpaste {

// Placements whose slot is open are passed over.
// errors  an artwork cannot be drawn, a dieline not be read any more.
Result<Findings> CheckBrand(const SolvedScene& solved, const ArtworkByName& artworks);

}  // namespace wheatpaste

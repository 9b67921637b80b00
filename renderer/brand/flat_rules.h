// flat_rules.h - artwork for a whole blank: does lettering keep off creases, does it bleed, is the glue left bare?
//
// Creases      no row of letters (letter_rows.h: level ones) may lie on both sides of a crease: kReachesOverMm or more on each. Measured: how far
//              the nearest row keeps away, mm; 0 where one crosses.
// Edges, bleed as on any face (place_rules.h), along the cuts of all panels but glue flaps; panels go on over creases: what LayFlat says.
// Glue         print may run over the crease of a glue area as far as bleed does, kGlueLapMm; beyond that the board has to be bare.
//              Measured: mm^2 that are drawn there.
// Source       3 mm of lap: as bleed; that glue wants bare board: common practice. tests/brand/flat_rules_test.cc.
#pragma once

#include "brand/finding.h"
#include "brand/letter_rows.h"
#include "brand/place_rules.h"
#include "dieline/dieline.h"

namespace wheatpaste {

inline constexpr double kReachesOverMm = 0.3;
inline constexpr double kGlueLapMm = kLeastBleedMm;
inline constexpr double kMostGluePrintMm2 = 1;

// Panels, cuts and creases in flat mm.
FlatFace LayFlat(const Dieline& dieline);

// flat_from_artwork  where the artwork lies on the blank.
Finding CheckCreases(const Dieline& dieline, const std::vector<LetterRow>& rows,
                     const Map<SurfaceMm, ArtworkUv>& flat_from_artwork);

// Expects a blank with glue areas.
Finding CheckGlue(const Dieline& dieline, const FlatDrawing& drawing,
                  const Map<SurfaceMm, ArtworkUv>& flat_from_artwork);

}  // namespace wheatpaste

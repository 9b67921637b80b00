// brand_report.h - what the rules of a brand found, for people and as JSON.
//
// JSON    an array; of each finding rule, placement (index into "placements", null: of the whole scene), subject, measured,
//         expected, unit, source, verdict ("kept", "broken", "not judged", "not measured"), words. What is not known is
//         null.
// People  of every placement one line of what was measured, then a line for each rule that is broken, or that could not
//         be measured for a reason that the user can mend.
#pragma once

#include <string>

#include "brand/finding.h"
#include "cli/report.h"

namespace wheatpaste {

Json BrandOf(const Findings& findings);

// "" where there are no findings.
std::string BrandText(const Scene& scene, const Findings& findings);

}  // namespace wheatpaste

// caption.h - what pages say of a picture, in the words that all of them use.
#pragma once

#include <string>

#include "batch/manifest.h"

namespace wheatpaste {

// "visualisation, not a proof": what every page that goes to people says of its pictures.
inline constexpr char kNotAProof[] = "visualisation, not a proof";

// "lettered", or with its colourway "lettered, clay".
std::string NameOf(const JobRecord& record);

// "front 180 x 120 mm" of each placement whose printed size is known, joined by "; ".
std::string SizesOf(const JobRecord& record);

// "print condition: coated offset", or that colours are those of a screen.
std::string ConditionOf(const JobRecord& record);

// "from 8 m", "as protan colour vision sees it", both, or nothing of a picture that is no such view.
std::string ViewOf(const JobRecord& record);

// Lengths as people write them: "180", "60.5".
std::string MmText(double mm);

}  // namespace wheatpaste

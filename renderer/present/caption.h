// caption.h - what pages say of a picture, in the words that all of them use.
#pragma once

#include <string>
#include <vector>

#include "batch/manifest.h"

namespace wheatpaste {

// "visualisation, not a proof": what every page that goes to people says of its pictures.
inline constexpr char kNotAProof[] = "visualisation, not a proof";

// "1 scene", "2 scenes".
std::string Counted(size_t count, const std::string& one, const std::string& several);

// The batch's title, else its run sheet's file name; the title of a picture's scene, else that scene's name.
const std::string& TitleOf(const Manifest& manifest);
const std::string& SceneTitleOf(const JobRecord& record);

// "lettered", or with its colourway "lettered, clay".
std::string NameOf(const JobRecord& record);

// "180 x 120 mm, front" of each placement whose printed size is known, each text once; "1000 x 1414 mm, poster on wall" where
// the surface has several artworks. The first few, then "and 3 more".
std::vector<std::string> SizeLinesOf(const JobRecord& record);
// The same joined by "; ".
std::string SizesOf(const JobRecord& record);

// "cannot read /a/b/mark.svg here" to "cannot read mark.svg here": where the files lie is not for everyone.
std::string WithoutFolders(const std::string& text);

// "print condition: coated offset", or that colours are those of a screen.
std::string ConditionOf(const JobRecord& record);

// "from 8 m", "as protan colour vision sees it", both, or nothing of a picture that is no such view.
std::string ViewOf(const JobRecord& record);

// Lengths as people write them: "180", "60.5".
std::string MmText(double mm);

}  // namespace wheatpaste

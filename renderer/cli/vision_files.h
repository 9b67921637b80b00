// vision_files.h - the pictures of `render --vision`: what they show and what they are called.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "cli/commands.h"
#include "colour/colour_vision.h"

namespace wheatpaste {

struct WantedVision {
  ColourDeficiency deficiency = ColourDeficiency::kProtan;
  std::string name;     // "protan", ...
  double severity = 1;  // 0 to 1
  std::string file;     // the picture's name with -NAME before its ending
};

// picture  name of the picture that they stand beside.
// errors   an unknown deficiency, with the nearest; one that is named twice; a severity out of range.
Result<std::vector<WantedVision>> ReadVision(const RenderArguments& arguments,
                                             const std::string& picture);

}  // namespace wheatpaste

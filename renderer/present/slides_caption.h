// slides_caption.h - what a slide says beside a preview, a line each (caption.h has the words).
#pragma once

#include <string>
#include <vector>

#include "batch/manifest.h"

namespace wheatpaste {

// "Printed size": one value or several, a line each.
struct CaptionPart {
  std::string label;
  std::vector<std::string> values;
};

// Printed sizes (as far as the record has any) and what its colours are.
std::vector<CaptionPart> CaptionOf(const JobRecord& record);

// Where the picture could mislead: the record's warnings, at most `most`, without the folders of the files they name.
std::vector<std::string> WarningsOf(const JobRecord& record, size_t most);

}  // namespace wheatpaste

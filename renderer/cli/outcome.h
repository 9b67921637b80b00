// outcome.h - the last words of commands that show a batch's pictures.
#pragma once

#include <string>
#include <vector>

namespace wheatpaste {

// Notes on the standard output; on the standard error pictures that were to be shown and could not be.
// returns  the exit status.
int PrintOutcome(const std::vector<std::string>& notes, const std::vector<std::string>& missing);

}  // namespace wheatpaste

// check_text.h - what `check` found, for people.
#pragma once

#include "cli/report.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

// report  as ReportOf makes it, with what was added to it.
void PrintForPeople(const SolvedScene& solved, const Json& report);

}  // namespace wheatpaste

#include <filesystem>

#include <fmt/format.h>

#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/report.h"
#include "scene/read_scene.h"

namespace wheatpaste {

int RunMatte(const MatteArguments&) { return kExitFault; }

}  // namespace wheatpaste

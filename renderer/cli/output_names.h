// output_names.h - an output never lands on a file that the same command reads, or on another
// output.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "cli/commands.h"
#include "composite/render_scene.h"
#include "scene/scene.h"

namespace wheatpaste {

// Files that are the same by device and number count as one, whatever their names.
// out      the picture's name, given or by default.
// returns  a mistake for each output that would overwrite an input or the other output.
Errors MistakenOutputs(const RenderArguments& arguments, const std::string& out, const Scene& scene,
                       const SlotFiles& files);

}  // namespace wheatpaste

// output_names.h - an output never lands on a file that the same command reads, or on another
// output.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "composite/render_scene.h"
#include "scene/scene.h"

namespace wheatpaste {

struct NamedOutput {
  const char* option;  // "--out"
  std::string name;    // given, or by default
  const char* what;    // "the picture"
};

// Files that are the same by device and number count as one, whatever their names.
// returns  a mistake for each output that would overwrite an input or an earlier output.
Errors MistakenOutputs(const std::vector<NamedOutput>& outputs, const Scene& scene,
                       const SlotFiles& files);

}  // namespace wheatpaste

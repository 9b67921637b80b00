// arguments.h - command-line values to what they mean; mistakes are reported like those of a file, with
// the option as it was written in the place of file and line.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "cli/commands.h"
#include "composite/render_scene.h"
#include "scene/output_spec.h"
#include "scene/read_scene.h"
#include "scene/scene.h"

namespace wheatpaste {

// Folder that holds shared/ and assets-open/: the environment's WHEATPASTE_DATA, else beside the program.
std::string DataFolder();

ReadSceneOptions SceneOptionsOf(const SceneArguments& arguments);

// "mark=art/mark.svg" to slot and file. Slots named twice are an error.
Result<SlotFiles> ReadSlotFiles(const SceneArguments& arguments);

// A whole number of threads, 1 to 1024.
Result<int> ReadThreads(const std::string& text);

// A whole number of jobs at once, 1 to 1024.
Result<int> ReadJobs(const std::string& text);

// Gibibytes, 0.1 to 65536, to bytes.
Result<int64_t> ReadMemory(const std::string& text);

// An option's value with the option as its place.
Placed<std::string> PlacedOption(const std::string& option, const std::string& value);

// Bleed in mm, 0 to 1000.
Result<double> ReadBleed(const std::string& text);

// Puts --samples, 1 to kMaxStageSamples, in place of those of the scene's stage.
// errors  the scene has a photo.
Status ApplySamples(const std::optional<std::string>& text, Scene& scene);

// Puts --proof and --proof-intent into the scene.
Status ApplyProof(const ProofArguments& arguments, Scene& scene);

// The colourway of `--colourway`, its swatches looked up; without the option none, and no changes.
struct WantedColourway {
  std::optional<std::string> name;
  std::vector<ColourChange> changes;
};
Result<WantedColourway> ReadWantedColourway(const SceneArguments& arguments, const Scene& scene);

// The options of the file that is written, read as the keys of a run sheet are; places are the options'.
// format  of the file, "png" ...; empty: not known.
Result<OutputSpec> ReadOutputOptions(const std::vector<OutputOption>& options,
                                     const std::string& format);

}  // namespace wheatpaste

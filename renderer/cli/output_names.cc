#include "cli/output_names.h"

#include <filesystem>

#include <fmt/format.h>

#include "scene/stage.h"

namespace wheatpaste {
namespace {

bool SameFile(const std::string& a, const std::string& b) {
  std::error_code fault;
  if (std::filesystem::equivalent(a, b, fault)) return true;
  // Not there yet: by their names, folders resolved as far as they exist.
  const auto resolved = [&fault](const std::string& path) {
    return std::filesystem::weakly_canonical(std::filesystem::absolute(path, fault), fault);
  };
  return resolved(a) == resolved(b);
}

struct Input {
  std::string path;
  std::string what;
};

std::vector<Input> InputsOf(const Scene& scene, const SlotFiles& files) {
  std::vector<Input> inputs = {{scene.file, "the scene"}};
  if (scene.stage) {
    for (const std::string& file : FilesOf(*scene.stage)) {
      inputs.push_back({file, "a file of the stage"});
    }
  } else {
    inputs.push_back({scene.photo.file.value, "the photo"});
  }
  const auto& everywhere = scene.photo.occlusion.matte;
  if (everywhere) inputs.push_back({everywhere->value, "a matte"});
  for (const Surface& surface : scene.surfaces) {
    const auto& matte = surface.occlusion.matte;
    if (matte) inputs.push_back({matte->value, "a matte"});
    if (surface.shape == Shape::kMesh) inputs.push_back({surface.mesh.file.value, "a mesh"});
  }
  for (const Placement& placement : scene.placements) {
    if (!placement.artwork_path.empty()) inputs.push_back({placement.artwork_path, "an artwork"});
    for (const Finish& finish : placement.finishes) {
      if (finish.mask) inputs.push_back({finish.mask->value, "a mask"});
    }
  }
  for (const auto& [slot, file] : files) inputs.push_back({file.value, "an artwork"});
  return inputs;
}

}  // namespace

Errors MistakenOutputs(const std::vector<NamedOutput>& outputs, const Scene& scene,
                       const SlotFiles& files) {
  Errors errors;
  const auto refuse = [&errors](const NamedOutput& output, const std::string& what) {
    errors.push_back({{fmt::format("{} {}", output.option, PrintableText(output.name))},
                      "",
                      fmt::format("is also {}; expected a name of its own", what)});
  };
  for (const Input& input : InputsOf(scene, files)) {
    for (const NamedOutput& output : outputs) {
      if (SameFile(output.name, input.path)) refuse(output, input.what);
    }
  }
  for (size_t i = 0; i < outputs.size(); ++i) {
    for (size_t k = 0; k < i; ++k) {
      if (SameFile(outputs[i].name, outputs[k].name)) refuse(outputs[i], outputs[k].what);
    }
  }
  return errors;
}

}  // namespace wheatpaste

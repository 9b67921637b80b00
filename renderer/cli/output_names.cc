#include "cli/output_names.h"

#include <filesystem>

#include <fmt/format.h>

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
  std::vector<Input> inputs = {{scene.file, "the scene"}, {scene.photo.file.value, "the photo"}};
  for (const Surface& surface : scene.surfaces) {
    if (surface.matte) inputs.push_back({surface.matte->value, "a matte"});
  }
  for (const Placement& placement : scene.placements) {
    if (!placement.artwork_path.empty()) inputs.push_back({placement.artwork_path, "an artwork"});
  }
  for (const auto& [slot, file] : files) inputs.push_back({file.value, "an artwork"});
  return inputs;
}

}  // namespace

Errors MistakenOutputs(const RenderArguments& arguments, const std::string& out, const Scene& scene,
                       const SlotFiles& files) {
  Errors errors;
  const auto refuse = [&errors](const char* option, const std::string& name,
                                const std::string& what) {
    errors.push_back({{fmt::format("{} {}", option, PrintableText(name))},
                      "",
                      fmt::format("is also {}; expected a name of its own", what)});
  };
  for (const Input& input : InputsOf(scene, files)) {
    if (SameFile(out, input.path)) refuse("--out", out, input.what);
    if (arguments.report && SameFile(*arguments.report, input.path)) {
      refuse("--report", *arguments.report, input.what);
    }
  }
  if (arguments.report && SameFile(*arguments.report, out)) {
    refuse("--report", *arguments.report, "the picture");
  }
  return errors;
}

}  // namespace wheatpaste

#include <fmt/format.h>

#include "base/files.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/output_names.h"
#include "cli/report.h"
#include "scene/nearest_name.h"
#include "scene/read_scene.h"
#include "surface/write_blank.h"

namespace wheatpaste {
namespace {

// The cylinder or cone of that name.
Result<const Surface*> FindRound(const Scene& scene, const std::string& name) {
  std::vector<std::string> round;
  for (const Surface& surface : scene.surfaces) {
    if (surface.shape != Shape::kCylinder && surface.shape != Shape::kCone) continue;
    if (surface.name.value == name) return &surface;
    round.push_back(surface.name.value);
  }
  const std::string hint =
      round.empty()
          ? "the scene has none"
          : fmt::format("there {} {}", round.size() == 1 ? "is" : "are", QuotedList(round));
  return Error{{"--surface " + PrintableText(name)},
               "",
               fmt::format("expected a cylinder or a cone of {}; {}", scene.file, hint)};
}

}  // namespace

int RunBlank(const BlankArguments& arguments) {
  Errors errors;
  double bleed_mm = 0;
  if (arguments.bleed) {
    if (auto bleed = ReadBleed(*arguments.bleed)) {
      bleed_mm = *bleed;
    } else {
      errors = bleed.errors();
    }
  }
  const auto scene = ReadScene(arguments.scene.scene, SceneOptionsOf(arguments.scene));
  if (!scene) errors.insert(errors.end(), scene.errors().begin(), scene.errors().end());
  if (!errors.empty()) return Refuse(errors);
  const auto surface = FindRound(*scene, arguments.surface);
  if (!surface) return Refuse(surface.errors());
  const std::string out = arguments.out.value_or((*surface)->name.value + "-blank.svg");
  if (EndingOf(out) != "svg") {
    return Refuse({Error{{"--out " + PrintableText(out)}, "", "expected a file ending in .svg"}});
  }
  errors = MistakenOutputs({{"--out", out, "the blank"}}, *scene, {});
  if (!errors.empty()) return Refuse(errors);
  const std::string text =
      BlankSvg((*surface)->rims, bleed_mm, (*surface)->name.value, (*surface)->shape);
  if (auto written = WriteWholeFile(out, text); !written) {
    return Refuse(written.errors());
  }
  fmt::print("{}: the flat blank of {}, true to scale\n", out, (*surface)->name.value);
  return kExitDone;
}

}  // namespace wheatpaste

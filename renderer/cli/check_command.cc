#include <fmt/format.h>

#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/report.h"
#include "composite/render_scene.h"
#include "scene/read_scene.h"

namespace wheatpaste {
namespace {

int Refuse(const Errors& errors, bool json) {
  fmt::print(stderr, "{}", FormatErrors(errors));
  if (json) fmt::print("{}", Print(ReportOf(errors)));
  return kExitBadInput;
}

void PrintForPeople(const SolvedScene& solved, const Json& report) {
  fmt::print("{}: {}\n", solved.scene.file,
             solved.scene.title.empty() ? "no title" : PrintableText(solved.scene.title));
  fmt::print("photo       {} x {} px, {}{}\n", solved.photo.size.width, solved.photo.size.height,
             report["photo"]["profile"].get<std::string>(),
             solved.photo.profile ? "" : " (assumed)");
  fmt::print("camera      focal length {:.1f} px, {}\n", solved.camera.focal_px,
             NameOf(solved.camera.source));
  for (size_t i = 0; i < solved.planes.size(); ++i) {
    const FittedPlane& plane = solved.planes[i];
    fmt::print("surface     {}: ", solved.scene.surfaces[i].name.value);
    if (plane.size_known) {
      fmt::print("{:g} x {:g} mm", plane.size.x, plane.size.y);
    } else {
      fmt::print("aspect ratio {:.4f} (sd {:.4f})", plane.aspect.value, plane.aspect.sd);
    }
    fmt::print(", residual {:.3f} px\n", plane.residual_px);
  }
  for (const Json& placement : report["placements"]) {
    fmt::print("placement   {} on {}", placement["artwork"].get<std::string>(),
               placement["surface"].get<std::string>());
    if (!placement["filled"].get<bool>()) {
      fmt::print(": slot not filled\n");
      continue;
    }
    if (placement["width_mm"].is_number()) {
      fmt::print(": {:.1f} x {:.1f} mm", placement["width_mm"].get<double>(),
                 placement["height_mm"].get<double>());
    }
    if (placement["ppi"].is_number()) fmt::print(", {:.0f} ppi", placement["ppi"].get<double>());
    fmt::print("{}\n", placement["vector"].get<bool>() ? ", vector" : "");
  }
  for (const Json& note : report["notes"]) {
    fmt::print("note        {}\n", PrintableText(note.get<std::string>(), 1000));
  }
  for (const Json& warning : report["warnings"]) {
    fmt::print("warning     {}\n", PrintableText(warning.get<std::string>(), 1000));
  }
}

}  // namespace

int RunCheck(const CheckArguments& arguments) {
  Errors errors;
  const auto files = ReadSlotFiles(arguments.scene);
  if (!files) errors.insert(errors.end(), files.errors().begin(), files.errors().end());
  auto scene = ReadScene(arguments.scene.scene, SceneOptionsOf(arguments.scene));
  if (!scene) errors.insert(errors.end(), scene.errors().begin(), scene.errors().end());
  if (!errors.empty()) return Refuse(errors, arguments.json);

  const auto artworks = ReadArtworks(*scene, *files, true);
  if (!artworks) errors = artworks.errors();
  auto solved = SolveScene(std::move(*scene));
  if (!solved) errors.insert(errors.end(), solved.errors().begin(), solved.errors().end());
  if (!errors.empty()) return Refuse(errors, arguments.json);

  const Json report = ReportOf(*solved, *artworks);
  if (arguments.json) {
    fmt::print("{}", Print(report));
  } else {
    PrintForPeople(*solved, report);
  }
  return kExitDone;
}

}  // namespace wheatpaste

#include <fmt/format.h>

#include "brand/check_brand.h"
#include "cli/arguments.h"
#include "cli/brand_report.h"
#include "cli/check_sheet.h"
#include "cli/check_text.h"
#include "cli/commands.h"
#include "cli/print_report.h"
#include "cli/report.h"
#include "composite/render_scene.h"
#include "scene/read_scene.h"
#include "scene/run_sheet.h"

namespace wheatpaste {

int RunCheck(const CheckArguments& arguments) {
  if (LooksLikeRunSheet(arguments.scene.scene)) return CheckSheet(arguments);
  Errors errors;
  const auto files = ReadSlotFiles(arguments.scene);
  if (!files) errors.insert(errors.end(), files.errors().begin(), files.errors().end());
  auto scene = ReadScene(arguments.scene.scene, SceneOptionsOf(arguments.scene));
  if (!scene) errors.insert(errors.end(), scene.errors().begin(), scene.errors().end());
  Scene unread;  // so that the proof's options are looked at whatever the scene is
  if (const auto proof = ApplyProof(arguments.proof, scene ? *scene : unread); !proof) {
    errors.insert(errors.end(), proof.errors().begin(), proof.errors().end());
  }
  if (!errors.empty()) return Refuse(errors, arguments.json);

  const auto colourway = ReadWantedColourway(arguments.scene, *scene);
  if (!colourway) return Refuse(colourway.errors(), arguments.json);
  const auto artworks = ReadArtworks(*scene, *files, true, colourway->changes);
  if (!artworks) errors = artworks.errors();
  auto solved = SolveScene(std::move(*scene));
  if (!solved) errors.insert(errors.end(), solved.errors().begin(), solved.errors().end());
  if (!errors.empty()) return Refuse(errors, arguments.json);

  const auto findings = CheckBrand(*solved, *artworks);
  if (!findings) return Refuse(findings.errors(), arguments.json);
  Json report = ReportOf(*solved, *artworks);
  report["brand"] = BrandOf(*findings);
  report["colourway"] = ColourwayOf(colourway->name, colourway->changes);
  for (std::string& note : NotesOf(colourway->changes, *artworks)) {
    report["notes"].push_back(std::move(note));
  }
  if (const auto added = AddPrintReport(*solved, *artworks, report); !added) {
    return Refuse(added.errors(), arguments.json);
  }
  if (arguments.json) {
    fmt::print("{}", Print(report));
  } else {
    PrintForPeople(*solved, report);
    fmt::print("{}", BrandText(solved->scene, *findings));
  }
  return kExitDone;
}

}  // namespace wheatpaste

#include "cli/check_sheet.h"

#include <cstdio>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "batch/make_job.h"
#include "batch/output_profile.h"
#include "brand/check_brand.h"
#include "cli/arguments.h"
#include "cli/brand_report.h"
#include "cli/check_text.h"
#include "cli/print_report.h"
#include "cli/report.h"
#include "composite/colourway.h"

namespace wheatpaste {
namespace {

Json LinesOf(const Errors& errors) {
  Json lines = Json::array();
  for (const Error& error : errors) lines.push_back(FormatError(error));
  return lines;
}

// One artwork in one colourway on a solved scene.
Json CheckArtwork(const RunSheet& sheet, const PlannedJob& job, const SolvedScene& solved) {
  const RunArtwork& artwork = sheet.artworks[job.artwork];
  Json found{
      {"artwork", artwork.name.value},
      {"colourway", job.colourway ? Json(sheet.colourways[*job.colourway].name.value) : Json()}};
  const auto failed = [&found](const Errors& errors) {
    found["errors"] = LinesOf(errors);
    return found;
  };
  const auto files = FilesFor(solved.scene, artwork);
  if (!files) return failed(files.errors());
  const auto changes = ChangesFor(sheet, job, solved.scene);
  if (!changes) return failed(changes.errors());
  const auto artworks = ReadArtworks(solved.scene, *files, false, *changes);
  if (!artworks) return failed(artworks.errors());
  Json report = ReportOf(solved, *artworks);
  if (!job.colourway) {
    const auto findings = CheckBrand(solved, *artworks);
    if (!findings) return failed(findings.errors());
    found["brand"] = BrandOf(*findings);
    found["text"] = BrandText(solved.scene, *findings);
    if (auto added = AddPrintReport(solved, *artworks, report); !added) {
      return failed(added.errors());
    }
  }
  for (std::string& note : NotesOf(*changes, *artworks)) report["notes"].push_back(std::move(note));
  for (const char* key : {"placements", "notes", "warnings"}) found[key] = report[key];
  found["errors"] = Json::array();
  return found;
}

void PrintArtwork(const Json& found) {
  const Json& colourway = found["colourway"];
  fmt::print("artwork     {}{}\n", found["artwork"].get<std::string>(),
             colourway.is_null() ? "" : " in " + colourway.get<std::string>());
  if (found.contains("text")) fmt::print("{}", found["text"].get<std::string>());
  if (!found.contains("warnings")) return;
  for (const Json& warning : found["warnings"]) {
    fmt::print("warning     {}\n", PrintableText(warning.get<std::string>(), 1000));
  }
}

}  // namespace

int CheckSheet(const CheckArguments& arguments) {
  const ReadSceneOptions options = SceneOptionsOf(arguments.scene);
  const auto sheet = ReadRunSheet(arguments.scene.scene, options);
  if (!sheet) return Refuse(sheet.errors(), arguments.json);
  const auto jobs = PlanJobs(*sheet);
  if (!jobs) return Refuse(jobs.errors(), arguments.json);
  Errors errors = UnknownSlots(*sheet, options);
  for (const OutputSpec& output : sheet->outputs) {
    if (!output.profile) continue;
    if (auto profile = ReadOutputProfile(*output.profile, options.data_folder); !profile) {
      errors.insert(errors.end(), profile.errors().begin(), profile.errors().end());
    }
  }
  if (!errors.empty()) return Refuse(errors, arguments.json);

  Json report{{"run_sheet", sheet->file},
              {"title", sheet->title},
              {"pictures", jobs->size()},
              {"scenes", Json::array()}};
  std::vector<std::string> mistakes;
  const auto note_mistakes = [&mistakes](const Json& lines) {
    for (const Json& line : lines) mistakes.push_back(line.get<std::string>());
  };
  if (!arguments.json) fmt::print("{}: {} pictures\n", PrintableText(sheet->file), jobs->size());
  for (size_t scene = 0; scene < sheet->scenes.size(); ++scene) {
    // Each artwork and colourway that some output of this scene shows, once.
    std::set<std::pair<size_t, std::optional<size_t>>> shown;
    for (const PlannedJob& job : *jobs) {
      if (job.scene == scene) shown.insert({job.artwork, job.colourway});
    }
    if (shown.empty()) continue;
    const auto solved = SolveRunScene(*sheet, sheet->scenes[scene], options);
    Json found{
        {"scene", sheet->scenes[scene].name}, {"solved", Json()}, {"artworks", Json::array()}};
    found["errors"] = solved ? Json::array() : LinesOf(solved.errors());
    note_mistakes(found["errors"]);
    if (solved) {
      found["solved"] = ReportOf(*solved, {});
      if (!arguments.json) PrintForPeople(*solved, found["solved"]);
      for (const auto& [artwork, colourway] : shown) {
        Json one = CheckArtwork(*sheet, {scene, artwork, 0, colourway, {}}, *solved);
        note_mistakes(one["errors"]);
        if (!arguments.json) PrintArtwork(one);
        one.erase("text");
        found["artworks"].push_back(std::move(one));
      }
    }
    report["scenes"].push_back(std::move(found));
  }
  if (arguments.json) fmt::print("{}", Print(report));
  std::set<std::string> printed;
  for (const std::string& mistake : mistakes) {
    if (printed.insert(mistake).second) fmt::print(stderr, "{}\n", PrintableText(mistake, 1000));
  }
  return mistakes.empty() ? kExitDone : kExitBadInput;
}

}  // namespace wheatpaste

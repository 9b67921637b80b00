#include "cli/print_report.h"

#include <map>

#include "composite/check_print.h"

namespace wheatpaste {
namespace {

Json LabOf(const Lab& lab) { return Json::array({lab.l, lab.a, lab.b}); }

Json ColoursOf(const std::vector<PrintedMainColour>& colours) {
  Json list = Json::array();
  for (const PrintedMainColour& colour : colours) {
    list.push_back({{"colour", HexOf(colour.drawn.colour)},
                    {"share", colour.drawn.share},
                    {"lab", LabOf(colour.held.wanted)},
                    {"lab_held", LabOf(colour.held.relative)},
                    {"lab_nearest", LabOf(colour.held.nearest)},
                    {"colour_held", HexOf(colour.held_srgb)},
                    {"shift", colour.shift},
                    {"out_of_gamut", colour.out_of_gamut},
                    {"ink_percent", colour.held.ink_percent},
                    {"total_ink", colour.held.total_ink_percent()}});
  }
  return list;
}

}  // namespace

Status AddPrintReport(const SolvedScene& solved, const ArtworkByName& artworks, Json& report) {
  if (!solved.press) return Done{};
  Errors errors;
  std::map<std::string, Json> done;  // by artwork; placements may share one
  for (size_t i = 0; i < solved.scene.placements.size(); ++i) {
    const std::string& name = solved.scene.placements[i].artwork.value;
    const auto found = artworks.find(name);
    if (found == artworks.end() || found->second == nullptr) continue;
    if (done.count(name) == 0) {
      const auto colours = CheckPrint(*solved.press, *found->second);
      if (!colours) {
        errors.insert(errors.end(), colours.errors().begin(), colours.errors().end());
        continue;
      }
      done[name] = {{"colours", ColoursOf(*colours)}};
      for (const std::string& warning :
           PrintWarnings(*colours, *solved.scene.print_condition, name)) {
        report["warnings"].push_back(warning);
      }
    }
    report["placements"][i]["print"] = done[name];
  }
  if (!errors.empty()) return errors;
  return Done{};
}

}  // namespace wheatpaste

#include "composite/colourway.h"

#include <set>

#include <fmt/format.h>

namespace wheatpaste {

Recolouring RecolouringOf(const std::vector<ColourChange>& changes) {
  Recolouring recolouring;
  recolouring.required = false;
  for (const ColourChange& change : changes) {
    recolouring.exact.emplace(change.from.value, change.to);
  }
  return recolouring;
}

Errors LackingColours(const std::vector<ColourChange>& changes, const ArtworkByName& artworks) {
  std::set<Srgb8> colours;
  bool any_vector = false;
  for (const auto& [name, artwork] : artworks) {
    if (artwork == nullptr) continue;
    any_vector |= artwork->is_vector();
    colours.merge(artwork->colours());
  }
  const std::string those = any_vector
                                ? "their colours: " + ListOfColours(colours)
                                : "only vector artwork (SVG or PDF) can be shown in other colours";
  Errors errors;
  for (const ColourChange& change : changes) {
    if (colours.contains(change.from.value)) continue;
    errors.push_back({change.from.place, change.from.key,
                      fmt::format("no artwork of the scene has the colour {}; {}",
                                  HexOf(change.from.value), those)});
  }
  return errors;
}

std::vector<std::string> NotesOf(const std::vector<ColourChange>& changes,
                                 const ArtworkByName& artworks) {
  std::vector<std::string> notes;
  if (changes.empty()) return notes;
  for (const auto& [name, artwork] : artworks) {
    if (artwork == nullptr || artwork->is_vector()) continue;
    notes.push_back(name + ": a bitmap; the colourway leaves it as it is");
  }
  return notes;
}

}  // namespace wheatpaste

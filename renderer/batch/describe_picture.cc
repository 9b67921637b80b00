#include "batch/describe_picture.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "colour/adapt.h"
#include "colour/difference.h"
#include "composite/shown_scale.h"

namespace wheatpaste {
namespace {

double Rounded(double value) {
  constexpr double kSteps = 100;
  return std::round(value * kSteps) / kSteps;
}

std::array<double, 3> Rounded(const Lab& lab) {
  return {Rounded(lab.l), Rounded(lab.a), Rounded(lab.b)};
}

}  // namespace

std::shared_ptr<const ColourCount> CountPrinted(const Scene& scene, ArtworkByName& artworks) {
  auto count = std::make_shared<ColourCount>();
  std::set<std::string> printed;
  for (const Placement& placement : scene.placements) {
    if (placement.printed) printed.insert(placement.artwork.value);
  }
  for (const std::string& name : printed) {
    auto& artwork = artworks.at(name);
    artwork = CountWhenDrawn(std::move(artwork), count);
  }
  return count;
}

std::vector<PlacedRecord> PlacementsOf(const RenderedScene& rendered, const RectPx& picture) {
  const SolvedScene& solved = rendered.scene->solved;
  std::vector<PlacedRecord> records;
  for (const PreparedArtwork& artwork : *rendered.artworks) {
    const Placement& placement = solved.scene.placements[artwork.placement];
    if (!placement.printed && placement.finishes.empty()) continue;
    PlacedRecord record;
    for (const std::string& name : SurfaceNamesOf(solved.scene, placement)) {
      record.surface += (record.surface.empty() ? "" : " + ") + name;
    }
    record.artwork = placement.artwork.value;
    if (solved.surfaces[placement.surface].size_known) {
      record.width_mm = artwork.placed.size.x;
      record.height_mm = artwork.placed.size.y;
      if (artwork.in_sight()) {
        const auto scale = ScaleShown(*rendered.scene, placement, artwork.placed.centre);
        if (scale) {
          record.px_per_mm = scale->mean;
          record.centre_px = {scale->at.x + static_cast<double>(picture.x0),
                              scale->at.y + static_cast<double>(picture.y0)};
        }
      }
    }
    records.push_back(std::move(record));
  }
  return records;
}

std::vector<ColourRecord> ColoursOf(const std::vector<MainColour>& colours,
                                    const std::vector<Swatch>& swatches,
                                    const std::optional<Press>& press) {
  std::vector<ColourRecord> records;
  for (size_t i = 0; i < std::min(colours.size(), kMostRecordedColours); ++i) {
    const Srgb8& colour = colours[i].colour;
    const SceneLinear linear = LinearFromSrgb(colour);
    ColourRecord record;
    const auto swatch = std::find_if(swatches.begin(), swatches.end(),
                                     [&colour](const Swatch& one) { return one.colour == colour; });
    if (swatch != swatches.end()) record.name = swatch->name;
    record.srgb = HexOf(colour);
    record.lab = Rounded(LabD50FromLinear(linear));
    if (press) {
      const HeldColour held = press->Hold(linear);
      record.cmyk_percent = held.ink_percent;
      for (double& ink : *record.cmyk_percent) ink = Rounded(ink);
      record.printed_lab = Rounded(held.relative);
      record.shift = Rounded(DeltaE2000(held.wanted, held.relative));
    }
    records.push_back(std::move(record));
  }
  return records;
}

}  // namespace wheatpaste

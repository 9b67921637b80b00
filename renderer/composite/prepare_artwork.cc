#include "composite/prepare_artwork.h"

#include <algorithm>

#include "composite/artwork_drawer.h"
#include "geometry/box.h"

namespace wheatpaste {

PlacedArea AreaOf(const FittedSurface& surface, const Placement& placement) {
  PlacedArea placed;
  if (placement.faces.size() < 2) {
    const size_t face = placement.faces.empty() ? 0 : static_cast<size_t>(placement.faces.front());
    placed.area = surface.faces[face].area;
    placed.faces = {face};
    placed.area_from_face = {Map<SurfaceMm, SurfaceMm>()};
    return placed;
  }
  // The reader has seen to it that the faces join.
  const auto laid_out = LayOut(surface.box_size, placement.faces);
  WHEATPASTE_CHECK(std::holds_alternative<Strip>(laid_out));
  const Strip& strip = std::get<Strip>(laid_out);
  placed.area = {strip.low,
                 strip.high,
                 {(strip.low.x + strip.high.x) / 2, (strip.low.y + strip.high.y) / 2},
                 {}};
  for (size_t i = 0; i < placement.faces.size(); ++i) {
    placed.faces.push_back(static_cast<size_t>(placement.faces[i]));
    placed.area_from_face.emplace_back(strip.strip_from_face[i].matrix());
  }
  return placed;
}

std::vector<std::string> SurfaceNamesOf(const Scene& scene, const Placement& placement) {
  const std::string& surface = scene.surfaces[placement.surface].name.value;
  if (placement.faces.empty()) return {surface};
  std::vector<std::string> names;
  for (const int face : placement.faces) names.push_back(surface + "." + kBoxFaceNames[face]);
  return names;
}

PlacedSize PlacedSizeOf(const SolvedScene& solved, const Placement& placement,
                        const Artwork& artwork) {
  const PlacedArea placed = AreaOf(solved.surfaces[placement.surface], placement);
  return PlaceArtwork(placement, placed.area, artwork.aspect(), 0);
}

Result<std::vector<PreparedArtwork>> PrepareArtworks(const PreparedScene& prepared,
                                                     const ArtworkByName& artworks) {
  return ArtworkDrawer(prepared, artworks).DrawWhole();
}

}  // namespace wheatpaste

// render_scene.h - the whole path from a scene to finished rows, each step named once.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "composite/artwork_drawer.h"
#include "composite/colourway.h"
#include "composite/composite_rows.h"
#include "composite/prepare_artwork.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

// Files for the scene's slots, as the user gave them ("mark" -> "art/mark.svg").
using SlotFiles = std::map<std::string, Placed<std::string>>;

// Reads the artwork of every placement: a slot's file, or the file that the scene names.
// open_slots_allowed  true: a slot without a file is left out (for `check`).
// changes  of the colourway that is wanted; none: artwork as drawn.
// errors  a slot that nothing fills; a file for a slot that the scene does not have; unreadable artwork; a
//         colour of the colourway that no artwork has (not looked for while slots are open); where not every_colour, only
//         a colourway of which they have none.
Result<ArtworkByName> ReadArtworks(const Scene& scene, const SlotFiles& files,
                                   bool open_slots_allowed,
                                   const std::vector<ColourChange>& changes = {},
                                   bool every_colour = true);

// A picture that is ready to be made, row by row: RowMaker (batch/row_maker.h) asks whichever makes it.
struct RenderedScene {
  std::shared_ptr<const PreparedScene> scene;
  std::unique_ptr<const std::vector<PreparedArtwork>> artworks;  // of a large picture not drawn
  std::unique_ptr<const Guides> guides;                          // where asked for
  std::unique_ptr<const Image<SceneLinear>> gain;                // of the colour that prints throw
  std::unique_ptr<const Compositor> compositor;                  // none of a large picture
  std::unique_ptr<const ArtworkDrawer> drawer;  // of a large picture: what StripMaker takes
};

// wanted  kPlaced, or kAllLit where passes are to be made of it.
Result<RenderedScene> RenderScene(Scene scene, const ArtworkByName& artworks,
                                  const PictureWish& wish,
                                  WantedFaces wanted = WantedFaces::kPlaced);
// The same where the geometry is solved already.
Result<RenderedScene> RenderScene(SolvedScene solved, const ArtworkByName& artworks,
                                  const PictureWish& wish,
                                  WantedFaces wanted = WantedFaces::kPlaced,
                                  const SizeLimits& limits = {});

// The same on a scene that is prepared already and may serve many.
Result<RenderedScene> RenderScene(std::shared_ptr<const PreparedScene> prepared,
                                  const ArtworkByName& artworks);

// The photo with the solved geometry drawn over it, without artwork.
Result<RenderedScene> RenderGuides(SolvedScene solved, const PictureWish& wish);

// What the user should know about the picture although it is no mistake, in plain words.
std::vector<std::string> NotesOf(const SolvedScene& solved, const ArtworkByName& artworks);
std::vector<std::string> NotesOf(const RenderedScene& rendered, const ArtworkByName& artworks);
std::vector<std::string> WarningsOf(const SolvedScene& solved);
std::vector<std::string> WarningsOf(const RenderedScene& rendered, const ArtworkByName& artworks);

}  // namespace wheatpaste

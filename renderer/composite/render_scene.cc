#include "composite/render_scene.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "composite/finish_notes.h"
#include "composite/proof_artwork.h"
#include "composite/thrown_colour.h"
#include "ink/printed_colour.h"
#include "light/white_anchor.h"
#include "scene/slots.h"

namespace wheatpaste {
namespace {

// A bitmap shown with fewer of its own pixels than this per output pixel looks soft.
constexpr double kSoftBitmap = 0.9;
// White ink this much above the photo's own maximum (a fifth of a stop) visibly loses; over more than this share
// of the artwork it is worth a warning.
constexpr double kBrightestInk = 1.15;
constexpr double kTooBrightShare = 0.02;
// A photo enlarged beyond this looks soft.
constexpr double kSoftPhoto = 1.05;
// Blur, standard deviation in picture px, or in the photo's where that is enlarged, from which small lettering
// suffers; a sharp edge has 0.3.
constexpr double kOutOfFocusPx = 1.0;
// A highlight is a point of light; where more of a face than this is bare white, the light on it is guessed.
constexpr double kOverexposed = 0.02;

// Share of the artwork's visible part on which the ink's white would be brighter than the photo can hold.
double TooBrightShare(const PreparedSurface& surface, const PreparedArtwork& ready, double white) {
  int64_t shown = 0, bright = 0;
  const auto least = static_cast<float>(kBrightestInk / white);
  for (const ArtworkPiece& piece : ready.pieces) {
    const PreparedChart& chart = surface.charts[piece.chart];
    if (!chart.shading) continue;
    const RectPx& region = chart.picture.region;
    for (int64_t y = 0; y < region.height(); ++y) {
      const Span& span = piece.rows[static_cast<size_t>(y)];
      for (int64_t x = span.x0 - region.x0; x < span.x1 - region.x0; ++x) {
        if (chart.picture.seen.row(0, y)[x] < 0.5f) continue;
        ++shown;
        const auto band = [&](int plane) { return chart.shading->irradiance.row(plane, y)[x]; };
        if (std::max({band(0), band(1), band(2)}) > least) ++bright;
      }
    }
  }
  return shown == 0 ? 0 : static_cast<double>(bright) / static_cast<double>(shown);
}

// The file of a placement's artwork; none where its slot is open.
std::optional<Placed<std::string>> FileOf(const Placement& placement, const SlotFiles& files) {
  Placed<std::string> path = placement.artwork;
  if (!placement.artwork_path.empty()) {
    path.value = placement.artwork_path;
    return path;
  }
  const auto file = files.find(placement.artwork.value);
  if (file == files.end()) return std::nullopt;
  return file->second;
}

// Black where the artwork as drawn, in no colourway, has the finish's colour, else white.
Result<std::shared_ptr<const Artwork>> ReadColourMask(const Placed<std::string>& path,
                                                      const Placed<Srgb8>& colour) {
  auto mask = ReadArtwork(path, {{{colour.value, Srgb8{0, 0, 0}}}, Srgb8{255, 255, 255}, true});
  if (mask.ok()) return mask;
  Errors errors = mask.errors();
  for (Error& error : errors) {
    error.place = colour.place;
    error.subject = fmt::format("{} = \"{}\"", colour.key, HexOf(colour.value));
  }
  return errors;
}

// The masks of finishes, by MaskNameOf; none of an open slot's colours.
void ReadMasks(const Scene& scene, const SlotFiles& files, ArtworkByName& artworks,
               Errors& errors) {
  for (const Placement& placement : scene.placements) {
    const auto file = FileOf(placement, files);
    for (const Finish& finish : placement.finishes) {
      const std::string name = MaskNameOf(placement, finish);
      if (name.empty() || artworks.count(name) != 0 || (finish.colour && !file)) continue;
      auto mask = finish.mask ? ReadArtwork(*finish.mask) : ReadColourMask(*file, *finish.colour);
      if (!mask) errors.insert(errors.end(), mask.errors().begin(), mask.errors().end());
      artworks[name] = mask.ok() ? std::move(*mask) : nullptr;
    }
  }
}

std::string ListOf(const std::set<std::string>& names) {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
  return list.empty() ? "none" : list;
}

}  // namespace

Result<ArtworkByName> ReadArtworks(const Scene& scene, const SlotFiles& files,
                                   bool open_slots_allowed,
                                   const std::vector<ColourChange>& changes, bool every_colour) {
  Errors errors;
  const Recolouring recolouring = RecolouringOf(changes);
  bool all_filled = true;
  const std::set<std::string> slots = SlotsOf(scene);
  for (const auto& [slot, file] : files) {
    if (slots.count(slot) != 0) continue;
    errors.push_back({file.place, "",
                      fmt::format("expected a slot of {}; its slots are: {}",
                                  PrintableText(scene.file), ListOf(slots))});
  }
  std::optional<AssumedInks> inks;
  if (scene.print_condition) {
    // A profile that cannot be used is SolveScene's to report.
    if (auto profile = ReadPressProfile(*scene.print_condition);
        profile && profile->model() == ColourModel::kCmyk) {
      inks = {*std::move(profile), PlainName(*scene.print_condition)};
    }
  }
  ArtworkByName artworks;
  for (const Placement& placement : scene.placements) {
    const std::string& name = placement.artwork.value;
    if (artworks.count(name) != 0) continue;
    const auto path = FileOf(placement, files);
    if (!path) {
      if (!open_slots_allowed) {
        errors.push_back({placement.artwork.place,
                          fmt::format("{} = \"{}\"", placement.artwork.key, name),
                          fmt::format("the slot is empty; fill it with --artwork {}=FILE", name)});
        artworks[name] = nullptr;
      }
      all_filled = false;
      continue;
    }
    auto artwork = ReadArtwork(*path, recolouring, inks ? &*inks : nullptr);
    if (!artwork) {
      errors.insert(errors.end(), artwork.errors().begin(), artwork.errors().end());
      artworks[name] = nullptr;
      continue;
    }
    artworks[name] = std::move(*artwork);
  }
  if (errors.empty() && all_filled) {
    errors = LackingColours(changes, artworks);
    if (!every_colour && errors.size() < changes.size()) errors.clear();
  }
  ReadMasks(scene, files, artworks, errors);
  if (!errors.empty()) return errors;
  return artworks;
}

Result<RenderedScene> RenderScene(Scene scene, const ArtworkByName& artworks,
                                  const PictureWish& wish, WantedFaces wanted) {
  auto solved = SolveScene(std::move(scene));
  if (!solved) return std::move(solved).errors();
  return RenderScene(std::move(*solved), artworks, wish, wanted);
}

Result<RenderedScene> RenderScene(SolvedScene solved, const ArtworkByName& artworks,
                                  const PictureWish& wish, WantedFaces wanted,
                                  const SizeLimits& limits) {
  auto prepared = PrepareScene(std::move(solved), wish, wanted, limits);
  if (!prepared) return std::move(prepared).errors();
  return RenderScene(std::make_shared<const PreparedScene>(*std::move(prepared)), artworks);
}

Result<RenderedScene> RenderScene(std::shared_ptr<const PreparedScene> prepared,
                                  const ArtworkByName& artworks) {
  RenderedScene rendered;
  rendered.scene = std::move(prepared);
  if (rendered.scene->large) {
    rendered.drawer = std::make_unique<const ArtworkDrawer>(*rendered.scene, artworks);
    rendered.artworks =
        std::make_unique<const std::vector<PreparedArtwork>>(rendered.drawer->LaidOut());
    return rendered;
  }
  auto drawn = PrepareArtworks(*rendered.scene, artworks);
  if (!drawn) return std::move(drawn).errors();
  rendered.artworks = std::make_unique<const std::vector<PreparedArtwork>>(std::move(*drawn));
  rendered.gain = ThrownColour(*rendered.scene, *rendered.artworks);
  rendered.compositor = std::make_unique<const Compositor>(*rendered.scene, *rendered.artworks,
                                                           nullptr, rendered.gain.get());
  return rendered;
}

Result<RenderedScene> RenderGuides(SolvedScene solved, const PictureWish& wish) {
  auto prepared = PrepareScene(std::move(solved), wish, WantedFaces::kAll);
  if (!prepared) return std::move(prepared).errors();
  RenderedScene rendered;
  rendered.scene = std::make_shared<const PreparedScene>(std::move(*prepared));
  rendered.artworks = std::make_unique<const std::vector<PreparedArtwork>>();
  rendered.guides = std::make_unique<const Guides>(*rendered.scene);
  rendered.compositor = std::make_unique<const Compositor>(*rendered.scene, *rendered.artworks,
                                                           rendered.guides.get());
  return rendered;
}

std::vector<std::string> NotesOf(const SolvedScene& solved, const ArtworkByName& artworks) {
  const Scene& scene = solved.scene;
  std::vector<std::string> notes;
  notes.push_back(ProofNote(scene));
  if (!solved.photo.profile) {
    notes.push_back("the photo carries no colour profile: taken as sRGB");
  } else if (solved.photo.model != ColourModel::kRgb || !solved.photo.profile->can_encode()) {
    notes.push_back("the photo's profile cannot be written back: the picture is in sRGB");
  }
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    const Surface& surface = scene.surfaces[i];
    const FittedSurface& fitted = solved.surfaces[i];
    if (surface.shape == Shape::kPlane && !fitted.size_known) {
      notes.push_back(fmt::format(
          "{}: no size given; its aspect ratio {:.3f} was solved from the corners and a focal "
          "length "
          "of {:.0f} px ({}), give or take {:.1f} % for corners marked half a pixel off",
          surface.name.value, fitted.aspect.value, solved.camera.focal_px,
          NameOf(solved.camera.source), 100 * fitted.aspect.sd / fitted.aspect.value));
    }
    const bool hides =
        std::any_of(scene.placements.begin(), scene.placements.end(),
                    [&](const Placement& p) { return p.surface == i && p.ink.value.hides(); });
    const Substrate& substrate = surface.substrate.value;
    if (substrate.from_photo && substrate.known) {
      notes.push_back(fmt::format(
          "{}: reflectance read from the photo: {:.2f} {:.2f} {:.2f}, taking the brightest white "
          "in it as {:g}; give the substrate where you know it",
          surface.name.value, substrate.reflectance.r, substrate.reflectance.g,
          substrate.reflectance.b, kWhiteReflectance));
    }
    if (surface.old_print == OldPrint::kRemove) {
      notes.push_back(fmt::format(
          "{}: its old print is removed; the material that fills most of it counts as bare",
          surface.name.value));
    }
    if (hides && !surface.substrate.value.stated) {
      notes.push_back(fmt::format("{}: no substrate given, {} assumed under opaque ink",
                                  surface.name.value, surface.substrate.value.name));
    }
    const bool mirrors =
        std::any_of(scene.placements.begin(), scene.placements.end(),
                    [i](const Placement& p) { return p.surface == i && MirrorsAnew(p); });
    if (mirrors && !hides && !surface.substrate.value.stated) {
      notes.push_back(
          fmt::format("{}: no substrate given, {} assumed, by which the light on foil "
                      "and varnish is read",
                      surface.name.value, surface.substrate.value.name));
    }
  }
  // Plain inks do as the scene's author has always seen; of films it is said.
  std::set<std::string> whites;
  for (const Placement& placement : scene.placements) {
    const Ink& ink = placement.ink.value;
    if (!placement.printed || ink.is_plain()) continue;
    const char* means =
        ink.white_meaning() == White::kInk ? "white ink" : "no ink: the material shows";
    const std::string note = fmt::format("{}: white in it, if any, is {} (ink \"{}\")",
                                         placement.artwork.value, means, ink.name);
    if (whites.insert(note).second) notes.push_back(note);
  }
  for (const auto& [name, artwork] : artworks) {
    if (artwork == nullptr) continue;
    for (const std::string& note : artwork->notes()) notes.push_back(name + ": " + note);
  }
  if (solved.stage) {
    const std::vector<std::string>& of_stage = solved.stage->built().notes;
    notes.insert(notes.end(), of_stage.begin(), of_stage.end());
  }
  return notes;
}

std::vector<std::string> NotesOf(const RenderedScene& rendered, const ArtworkByName& artworks) {
  std::vector<std::string> notes = NotesOf(rendered.scene->solved, artworks);
  for (const PreparedSurface& surface : rendered.scene->surfaces) {
    notes.insert(notes.end(), surface.relief_notes.begin(), surface.relief_notes.end());
  }
  const auto finishes = FinishNotes(*rendered.scene, *rendered.artworks);
  notes.insert(notes.end(), finishes.begin(), finishes.end());
  return notes;
}

std::vector<std::string> WarningsOf(const SolvedScene& solved) {
  std::vector<std::string> warnings;
  if (solved.stage) warnings = solved.stage->built().warnings;
  for (size_t i = 0; i < solved.surfaces.size(); ++i) {
    for (const std::string& warning : solved.surfaces[i].warnings) {
      warnings.push_back(solved.scene.surfaces[i].name.value + ": " + warning);
    }
  }
  return warnings;
}

std::vector<std::string> WarningsOf(const RenderedScene& rendered, const ArtworkByName& artworks) {
  std::vector<std::string> warnings = WarningsOf(rendered.scene->solved);
  const auto& stage = rendered.scene->solved.stage;
  if (stage && rendered.scene->large && !stage->stage().colour_transfer.empty()) {
    warnings.push_back("the colour that prints throw is left out of a picture this large");
  }
  const double scale = rendered.scene->frame.scale();
  if (scale > kSoftPhoto) {
    const auto& surfaces = rendered.scene->surfaces;
    const bool follows = std::any_of(surfaces.begin(), surfaces.end(),
                                     [](const auto& surface) { return surface.focus.has_value(); });
    warnings.push_back(
        fmt::format("the {} is enlarged {:.2f} times and looks soft{}",
                    rendered.scene->solved.stage ? "stage's photograph" : "photo", scale,
                    rendered.scene->solved.stage ? "; a larger stage.size shows it sharp"
                    : follows ? ", and artwork as soft as it; sharp artwork can be asked for"
                              : ""));
  }
  const Scene& scene = rendered.scene->solved.scene;
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    const auto& focus = rendered.scene->surfaces[i].focus;
    if (!focus || focus->sigma_px < kOutOfFocusPx * std::max(1.0, scale)) continue;
    warnings.push_back(
        fmt::format("{}: the photo is out of focus there (blur {:.1f} px), and artwork is shown as "
                    "soft; sharpness = \"artwork\" shows it sharp",
                    scene.surfaces[i].name.value, focus->sigma_px));
  }
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    double lost = 0;
    for (const PreparedChart& chart : rendered.scene->surfaces[i].charts) {
      lost = std::max(lost, chart.clipped);
    }
    if (lost <= kOverexposed) continue;
    warnings.push_back(
        fmt::format("{}: {:.0f} % of it is overexposed in the photo; what the print looks like "
                    "there is a guess",
                    scene.surfaces[i].name.value, 100 * lost));
  }
  for (const PreparedArtwork& ready : *rendered.artworks) {
    const Placement& placement = rendered.scene->solved.scene.placements[ready.placement];
    const std::string& name = placement.artwork.value;
    if (!ready.in_sight()) {
      warnings.push_back(name + " lies outside its surface or outside the picture");
      continue;
    }
    const Edges& bleeds = ready.placed.bleeds;
    if (placement.thickness_mm > 0 && bleeds.repeat_left && bleeds.repeat_top &&
        bleeds.repeat_right && bleeds.repeat_bottom) {
      warnings.push_back(fmt::format(
          "{}: its thickness does not show, as it ends where its surface ends; its shadow "
          "needs a surface larger than the sheet",
          name));
    }
    const Ink& ink = placement.ink.value;
    const PreparedSurface& surface = rendered.scene->surfaces[placement.surface];
    if (ink.hides()) {
      const Substrate& substrate =
          rendered.scene->solved.scene.surfaces[placement.surface].substrate.value;
      const SceneLinear white = PrintedColour(ink, substrate, {1, 1, 1});
      const double brightest =
          ink.is_plain() ? ink.white : double{std::max({white.r, white.g, white.b})};
      const double share = TooBrightShare(surface, ready, brightest);
      if (share > kTooBrightShare) {
        warnings.push_back(fmt::format(
            "{}: white as printed would be brighter than the photo can show on {:.0f} % of "
            "{}; the substrate is "
            "stated darker than it looks, or the photo is overexposed",
            rendered.scene->solved.scene.surfaces[placement.surface].name.value, 100 * share,
            name));
      }
    }
    const Artwork& artwork = *artworks.at(name);
    if (artwork.is_vector()) continue;
    const double own = ready.raster_px_per_output_px * static_cast<double>(artwork.pixels().width) /
                       static_cast<double>(ready.raster.width);
    if (own < kSoftBitmap) {
      warnings.push_back(
          fmt::format("{} has {:.2f} of its own pixels for each pixel of the picture and looks "
                      "soft; expected 1 or "
                      "more",
                      name, own));
    }
  }
  const auto finishes = FinishWarnings(*rendered.scene, *rendered.artworks);
  warnings.insert(warnings.end(), finishes.begin(), finishes.end());
  return warnings;
}

}  // namespace wheatpaste

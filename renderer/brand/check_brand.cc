#include "brand/check_brand.h"

#include <algorithm>

#include <fmt/format.h>

#include "brand/colour_rules.h"
#include "brand/flat_rules.h"
#include "brand/place_rules.h"
#include "brand/size_rules.h"
#include "dieline/carton.h"

namespace wheatpaste {
namespace {

// One placement, drawn and measured as far as its rules share it.
struct Measured {
  size_t placement = 0;
  const Artwork* artwork = nullptr;
  PlacedSize placed;
  FlatDrawing drawing;
  std::vector<SceneLinear> printed;  // reflectance of each part, the clear last
  FlatDrawing joined;                // with colours that hardly differ counted as one
  Shapes shapes;                     // of that
  std::vector<LetterRow> rows;
  std::vector<DrawnBounds> bounds;
  double height_mm = 0;          // of what is drawn
  std::optional<Dieline> blank;  // that it dresses whole
};

Finding NotMeasured(const char* rule, const char* unit, const std::string& words) {
  return {.rule = rule, .unit = unit, .can_be_mended = true, .words = words};
}

// The blank that the placement dresses whole; none: it lies on something else.
// errors  as DielineOf: a dieline that was read once may have changed since.
Result<std::optional<Dieline>> WholeBlankOf(const Scene& scene, const Placement& placement) {
  const auto& face = scene.surfaces[placement.surface].stage_face;
  if (!face || face->face != kFlatFace) return std::optional<Dieline>();
  const StageObject& object = scene.stage->objects[face->object];
  const auto* const carton = std::get_if<CartonSolid>(&object.solid);
  if (carton == nullptr) return std::optional<Dieline>();
  auto dieline = DielineOf(*carton, object.place);
  if (!dieline) return dieline.errors();
  return std::optional<Dieline>(*std::move(dieline));
}

class BrandCheck {
 public:
  BrandCheck(const SolvedScene& solved, const ArtworkByName& artworks)
      : solved_(solved), artworks_(artworks) {}

  Result<Findings> Run() {
    for (size_t i = 0; i < solved_.scene.placements.size(); ++i) {
      const auto found = artworks_.find(solved_.scene.placements[i].artwork.value);
      if (found == artworks_.end() || found->second == nullptr) continue;
      if (auto measured = Measure(i, *found->second); !measured) return measured.errors();
    }
    for (const Measured& measured : measured_) {
      placement_ = measured.placement;
      CheckColours(measured);
      CheckSizes(measured);
      CheckPlace(measured);
    }
    CheckSwatches();
    return std::move(findings_);
  }

 private:
  Status Measure(size_t index, const Artwork& artwork) {
    const Placement& placement = solved_.scene.placements[index];
    Measured measured;
    measured.placement = index;
    measured.artwork = &artwork;
    measured.placed = PlacedSizeOf(solved_, placement, artwork);
    auto blank = WholeBlankOf(solved_.scene, placement);
    if (!blank) return blank.errors();
    measured.blank = *std::move(blank);
    auto colours = MainColours(artwork);
    if (!colours) return colours.errors();
    auto drawing = DrawFlat(artwork, measured.placed.size, std::move(*colours));
    if (!drawing) return drawing.errors();
    measured.drawing = std::move(*drawing);
    // Where only the photo knows the substrate, paper stands in: which colours are alike hardly depends on it.
    Substrate substrate = solved_.scene.surfaces[placement.surface].substrate.value;
    if (!substrate.known) substrate.reflectance = Substrate().reflectance;
    measured.printed = PrintedParts(measured.drawing, placement.ink.value, substrate,
                                    solved_.press ? &*solved_.press : nullptr);
    measured.joined =
        measured.drawing.is_flat()
            ? JoinParts(measured.drawing, JoinedParts(measured.drawing, measured.printed))
            : measured.drawing;
    measured.shapes = FindShapes(measured.joined);
    if (measured.drawing.is_flat())
      measured.rows = FindLetterRows(measured.joined, measured.shapes);
    if (const auto drawn = BoundsOfDrawn(measured.joined)) {
      measured.bounds = BoundsOnFaces(solved_, index, *drawn, measured.placed.surface_from_artwork);
      measured.height_mm = (drawn->high.y - drawn->low.y) * measured.placed.size.y;
      all_bounds_.insert(all_bounds_.end(), measured.bounds.begin(), measured.bounds.end());
    }
    measured_.push_back(std::move(measured));
    return Done{};
  }

  void Add(Finding finding) {
    finding.placement = placement_;
    findings_.push_back(std::move(finding));
  }
  void Add(Findings findings) {
    for (Finding& finding : findings) Add(std::move(finding));
  }

  const Placement& PlacementOf(const Measured& measured) const {
    return solved_.scene.placements[measured.placement];
  }
  bool HasSize(const Measured& measured) const {
    return solved_.surfaces[PlacementOf(measured).surface].size_known;
  }
  std::string WhyNoSize(const Measured& measured) const {
    return fmt::format("no length is known, as surface {} has no size",
                       solved_.scene.surfaces[PlacementOf(measured).surface].name.value);
  }

  void CheckColours(const Measured& measured) {
    const Placement& placement = PlacementOf(measured);
    const Substrate& substrate = solved_.scene.surfaces[placement.surface].substrate.value;
    if (!measured.drawing.is_flat()) {
      return Add(NotMeasured("contrast", "ratio", kNotFlat));
    }
    if (!substrate.known) {
      return Add(NotMeasured("contrast", "ratio",
                             "the substrate is read from the photo, which only a render does"));
    }
    Findings findings =
        CheckContrast(measured.drawing, measured.rows, HasSize(measured), measured.printed);
    if (findings.empty()) {
      findings.push_back(
          NotMeasured("contrast", "ratio", "the artwork is of one colour throughout"));
    }
    Add(std::move(findings));
    if (solved_.scene.swatches.empty()) Add(CheckColourVision(PrintedColours(measured)));
  }

  // Those that are worth telling apart.
  static std::vector<NamedColour> PrintedColours(const Measured& measured) {
    std::vector<NamedColour> colours;
    for (uint8_t part = 0; part < measured.drawing.clear(); ++part) {
      if (measured.drawing.colours[part].share < kLeastMarkShare) continue;
      colours.push_back({NameOfPart(measured.drawing, part), measured.printed[part]});
    }
    return colours;
  }

  // Of the whole scene, as named: swatches are chosen before anything is printed.
  void CheckSwatches() {
    if (solved_.scene.swatches.empty()) return;
    std::vector<NamedColour> colours;
    for (const Swatch& swatch : solved_.scene.swatches) {
      colours.push_back({swatch.name, LinearFromSrgb(swatch.colour)});
    }
    findings_.push_back(CheckColourVision(colours));
  }

  static bool HasTinyLetters(const Measured& measured) {
    return !measured.rows.empty() &&
           measured.rows.front().height_mm < kLeastFollowedLetterPx * measured.drawing.mm_per_px;
  }

  void CheckSizes(const Measured& measured) {
    const Artwork& artwork = *measured.artwork;
    if (!HasSize(measured)) {
      for (const char* rule : {"line", "gap", "lettering"}) {
        Add(NotMeasured(rule, "mm", WhyNoSize(measured)));
      }
      Add(NotMeasured("reading distance", "m", WhyNoSize(measured)));
      if (!artwork.is_vector()) Add(NotMeasured("resolution", "ppi", WhyNoSize(measured)));
      return;
    }
    if (!measured.drawing.is_flat()) {
      for (const char* rule : {"line", "gap", "lettering"}) Add(NotMeasured(rule, "mm", kNotFlat));
      Add(NotMeasured("reading distance", "m", kNotFlat));
    } else {
      const Ink& ink = PlacementOf(measured).ink.value;
      if (HasTinyLetters(measured)) {
        for (const char* rule : {"line", "gap"}) {
          Add(NotMeasured(rule, "mm",
                          "the artwork is too large, and its smallest lettering too small in it, "
                          "for the lines of its letters to be measured; check that part alone"));
        }
      } else {
        Add(CheckLines(measured.joined, ThinnestLines(measured.joined, measured.shapes),
                       measured.printed, measured.placed.size, ink));
      }
      Add(CheckLettering(measured.joined, measured.rows, ink));
    }
    if (!artwork.is_vector()) Add(CheckResolution(artwork, measured.placed.size));
  }

  void CheckPlace(const Measured& measured) {
    if (!HasSize(measured)) {
      for (const char* rule : {"clear space", "edge distance", "bleed"}) {
        Add(NotMeasured(rule, "mm", WhyNoSize(measured)));
      }
      return;
    }
    const Placement& placement = PlacementOf(measured);
    const FlatFace face = measured.blank ? LayFlat(*measured.blank) : LayFlat(solved_, placement);
    std::optional<EdgeDistances> edges;
    if (!measured.bounds.empty() && !face.edges.empty()) {
      edges = MeasureEdges(measured.joined, measured.shapes, measured.placed.surface_from_artwork,
                           face);
    }
    Add(CheckClearSpace(placement, edges, measured.bounds, all_bounds_, measured.height_mm));
    if (edges) {
      Add(CheckEdges(*edges, measured.artwork->is_vector()));
    } else {
      const std::string why =
          measured.bounds.empty() ? "nothing is drawn" : "where a mesh's sheet is cut is not known";
      for (const char* rule : {"edge distance", "bleed"}) Add(NotMeasured(rule, "mm", why));
    }
    if (!measured.blank) return;
    const Dieline& blank = *measured.blank;
    const auto& flat_from_artwork = measured.placed.surface_from_artwork;
    Add(measured.drawing.is_flat() ? CheckCreases(blank, measured.rows, flat_from_artwork)
                                   : NotMeasured("lettering on creases", "mm", kNotFlat));
    if (!blank.glue.empty()) Add(CheckGlue(blank, measured.joined, flat_from_artwork));
  }

  static constexpr char kNotFlat[] =
      "the artwork is not of flat colours (gradients or pictures), so its parts cannot be told "
      "apart";

  const SolvedScene& solved_;
  const ArtworkByName& artworks_;
  std::vector<Measured> measured_;
  std::vector<DrawnBounds> all_bounds_;
  std::optional<size_t> placement_;
  Findings findings_;
};

}  // namespace

Result<Findings> CheckBrand(const SolvedScene& solved, const ArtworkByName& artworks) {
  return BrandCheck(solved, artworks).Run();
}

}  // namespace wheatpaste

#include "composite/prepare_artwork.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <tuple>

#include "composite/proof_artwork.h"
#include "composite/wrinkle.h"
#include "geometry/box.h"
#include "image/elliptical_average.h"
#include "ink/ink_table.h"

namespace wheatpaste {
namespace {

SizePx RasterSize(const Artwork& artwork, const PlacedSize& placed, double px_per_mm) {
  double width = placed.size.x * px_per_mm, height = placed.size.y * px_per_mm;
  if (!artwork.is_vector()) {
    // A bitmap holds no more than its pixels; twice as many let the average follow its own smooth
    // interpolation. One that holds far more than is asked for is reduced once, here.
    const auto w = static_cast<double>(artwork.pixels().width);
    const auto h = static_cast<double>(artwork.pixels().height);
    width = width > w ? std::min(width, 2 * w) : (2 * width < w ? width : w);
    height = height > h ? std::min(height, 2 * h) : (2 * height < h ? height : h);
  }
  const double shrink =
      std::min(1.0, std::sqrt(static_cast<double>(kMostRasterPx) / std::max(1.0, width * height)));
  const auto side = [&](double length) {
    return std::clamp<int64_t>(static_cast<int64_t>(std::ceil(length * shrink)), 1,
                               int64_t{1} << 17);
  };
  return {side(width), side(height)};
}

}  // namespace

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

PlacedSize PlacedSizeOf(const SolvedScene& solved, const Placement& placement,
                        const Artwork& artwork) {
  const PlacedArea placed = AreaOf(solved.surfaces[placement.surface], placement);
  return PlaceArtwork(placement, placed.area, artwork.aspect(), 0);
}

namespace {

// Slopes of the sheet's wrinkles, its own in every placement.
std::shared_ptr<const Pyramid> SlopesOf(const PlacedSize& placed, size_t index) {
  constexpr Edges kGoOn{true, true, true, true};
  return std::make_shared<const Pyramid>(WrinkleSlopes(placed.size, index + 1), kGoOn);
}

struct Printed {
  std::shared_ptr<const Pyramid> filter, cover;
};

// Draws the artwork as it is printed, rows at a time, so that it is held once.
// proof  what the press makes of rows of the artwork.
// film   none: a plain ink.
Result<Printed> Print(const Artwork& artwork, SizePx size,
                      const std::function<void(Image<LinearPremul>&)>& proof, const InkTable* film,
                      const Edges& bleeds) {
  PyramidBase filter(size);
  std::optional<PyramidBase> cover;
  if (film != nullptr && film->covers()) cover.emplace(size);
  auto drawn =
      artwork.RasteriseRows(size, WholeOf(size), [&](int64_t y0, Image<LinearPremul> rows) {
        proof(rows);
        if (film == nullptr) return filter.Put(y0, rows.view());
        const PrintRaster print = film->Print(std::move(rows));
        filter.Put(y0, print.filter.view());
        if (cover) cover->Put(y0, print.cover->view());
      });
  if (!drawn) return drawn.errors();
  Printed printed{std::make_shared<const Pyramid>(std::move(filter), bleeds), nullptr};
  if (cover) printed.cover = std::make_shared<const Pyramid>(*std::move(cover), bleeds);
  return printed;
}

// What is computed of the placement's ink: an absolute proof has measured what its film would make.
Ink ComputedInk(const SolvedScene& solved, const Ink& ink) {
  const bool measured = solved.press && solved.scene.proof_intent == ProofIntent::kAbsolute;
  if (!measured || ink.is_plain()) return ink;
  return Ink{.texture = ink.texture, .gloss = ink.gloss};
}

// The films of a scene, each made once for an ink on a surface.
class Films {
 public:
  explicit Films(const Scene& scene) : scene_(scene) {}

  // Number of a placement's film: 0 where `ink` is plain, the same for the same ink on the same surface.
  size_t NumberOf(size_t placement, const Ink& ink) const {
    if (ink.is_plain()) return 0;
    const auto same = [&](const Placement& other) {
      return other.surface == scene_.placements[placement].surface && other.ink.value == ink;
    };
    const auto first = std::find_if(scene_.placements.begin(), scene_.placements.end(), same);
    return static_cast<size_t>(first - scene_.placements.begin()) + 1;
  }
  // None for number 0.
  const InkTable* TableOf(size_t number) {
    if (number == 0) return nullptr;
    const Placement& placement = scene_.placements[number - 1];
    return &tables_
                .try_emplace(number, placement.ink.value,
                             scene_.surfaces[placement.surface].substrate.value)
                .first->second;
  }

 private:
  const Scene& scene_;
  std::map<size_t, InkTable> tables_;
};

// One placement and where the picture shows it; nothing is drawn yet.
struct Layout {
  PreparedArtwork ready;
  std::vector<Map<ArtworkUv, SurfaceMm>> artwork_from_face;  // one for each piece
  double px_per_mm = 0;  // output px per mm at the place where the artwork is largest
};

Layout LayOutArtwork(const PreparedScene& prepared, size_t index, double aspect) {
  const Placement& placement = prepared.solved.scene.placements[index];
  const FittedSurface& fitted = prepared.solved.surfaces[placement.surface];
  const std::vector<PreparedChart>& charts = prepared.surfaces[placement.surface].charts;
  const PlacedArea placed = AreaOf(fitted, placement);
  // Index into placed.faces of the face that a chart belongs to, if any.
  const auto face_of = [&](const PreparedChart& chart) -> std::optional<size_t> {
    const auto at = std::find(placed.faces.begin(), placed.faces.end(), chart.face);
    if (at == placed.faces.end()) return std::nullopt;
    return static_cast<size_t>(at - placed.faces.begin());
  };
  // mm that one output pixel spans at the least, so that "on the edge" means the same everywhere.
  double largest = 0;
  for (const PreparedChart& chart : charts) {
    if (!face_of(chart)) continue;
    largest = std::max(largest, chart.px_per_mm);
  }
  const auto& focus = prepared.surfaces[placement.surface].focus;
  Layout layout;
  layout.ready.placement = index;
  layout.ready.placed =
      PlaceArtwork(placement, placed.area, aspect, largest > 0 ? 0.5 / largest : 0);
  for (size_t i = 0; i < charts.size(); ++i) {
    const auto face = face_of(charts[i]);
    if (!face) continue;
    const auto face_from_artwork =
        placed.area_from_face[*face].Inverse() * layout.ready.placed.surface_from_artwork;
    const double widening =
        (focus ? focus->MostWidening() : 1) +
        std::max(ShadowReachMm(placement, kDefaultLightFrom), FinishReachMm(placement)) *
            charts[i].px_per_mm;
    ArtworkSpans spans =
        FindArtworkSpans(charts[i].picture, SizeOf(fitted.faces[charts[i].face].area),
                         face_from_artwork, prepared.frame.size, widening);
    if (spans.empty()) continue;
    layout.px_per_mm = std::max(layout.px_per_mm, spans.px_per_mm);
    layout.artwork_from_face.push_back(face_from_artwork.Inverse());
    layout.ready.pieces.push_back({i, {}, std::nullopt, std::move(spans.rows), {}});
  }
  return layout;
}

Result<PreparedFinishes> FinishesOf(const Placement& placement, const ArtworkByName& artworks,
                                    double aspect, const PreparedArtwork& ready) {
  std::vector<std::shared_ptr<const Artwork>> masks;
  for (const Finish& finish : placement.finishes) {
    const std::string name = MaskNameOf(placement, finish);
    masks.push_back(name.empty() ? nullptr : artworks.at(name));
  }
  return PrepareFinishes(placement, *ready.pyramid, aspect, masks, ready.placed.size);
}

}  // namespace

Result<std::vector<PreparedArtwork>> PrepareArtworks(const PreparedScene& prepared,
                                                     const ArtworkByName& artworks) {
  const Scene& scene = prepared.solved.scene;
  std::vector<PreparedArtwork> result;
  std::map<std::tuple<std::string, int64_t, int64_t, int, std::array<float, 3>, size_t>, Printed>
      drawn;
  Films films(scene);
  Errors errors;
  for (size_t i = 0; i < scene.placements.size(); ++i) {
    const Placement& placement = scene.placements[i];
    const auto found = artworks.find(placement.artwork.value);
    WHEATPASTE_CHECK(found != artworks.end());
    const Artwork& artwork = *found->second;
    Layout layout = LayOutArtwork(prepared, i, artwork.aspect());
    PreparedArtwork& ready = layout.ready;
    if (!ready.pieces.empty()) {
      const double px_per_mm = kRasterDensity * layout.px_per_mm;
      const SizePx size = RasterSize(artwork, ready.placed, px_per_mm);
      const Edges& bleeds = ready.placed.bleeds;
      const int sides = bleeds.repeat_left | bleeds.repeat_top << 1 | bleeds.repeat_right << 2 |
                        bleeds.repeat_bottom << 3;
      const auto proof_white = ProofWhite(scene, placement);
      const Ink ink = ComputedInk(prepared.solved, placement.ink.value);
      ready.weights = WeightsOf(ink);
      const size_t film = films.NumberOf(i, ink);
      Printed& printed =
          drawn[{placement.artwork.value, size.width, size.height, sides, proof_white, film}];
      if (printed.filter == nullptr) {
        const auto proof = [&](Image<LinearPremul>& rows) {
          const auto& press = prepared.solved.press;
          if (press) ProofArtwork(*press, scene.proof_intent, proof_white, rows);
        };
        auto made = Print(artwork, size, proof, films.TableOf(film), bleeds);
        if (!made) {
          errors.insert(errors.end(), made.errors().begin(), made.errors().end());
          continue;
        }
        printed = std::move(*made);
      }
      ready.pyramid = printed.filter;
      ready.cover = printed.cover;
      if (placement.wrinkle > 0) ready.slopes = SlopesOf(ready.placed, i);
      if (!placement.finishes.empty()) {
        auto finishes = FinishesOf(placement, artworks, artwork.aspect(), ready);
        if (!finishes) {
          errors.insert(errors.end(), finishes.errors().begin(), finishes.errors().end());
          continue;
        }
        ready.finishes = std::make_shared<const PreparedFinishes>(std::move(*finishes));
      }
      Eigen::Matrix3d scale = Eigen::Matrix3d::Identity();
      scale(0, 0) = static_cast<double>(size.width);
      scale(1, 1) = static_cast<double>(size.height);
      const Map<ArtworkPx, ArtworkUv> raster_from_artwork(scale);
      for (size_t k = 0; k < ready.pieces.size(); ++k) {
        ArtworkPiece& piece = ready.pieces[k];
        piece.artwork_from_surface = raster_from_artwork * layout.artwork_from_face[k];
        const ChartPicture& picture =
            prepared.surfaces[placement.surface].charts[piece.chart].picture;
        if (picture.output_from_surface) {
          piece.artwork_from_output =
              piece.artwork_from_surface * picture.output_from_surface->Inverse();
        }
        piece.contact =
            ContactOf(placement, kDefaultLightFrom, piece.artwork_from_surface, ready.placed.size,
                      size, ready.slopes ? ready.slopes->level(0).size : SizePx{});
      }
      ready.raster_px_per_output_px =
          static_cast<double>(size.width) / (ready.placed.size.x * layout.px_per_mm);
    }
    result.push_back(std::move(ready));
  }
  if (!errors.empty()) return errors;
  return result;
}

}  // namespace wheatpaste

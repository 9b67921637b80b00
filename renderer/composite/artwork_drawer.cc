#include "composite/artwork_drawer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <string>
#include <tuple>

#include "composite/proof_artwork.h"
#include "composite/wrinkle.h"
#include "image/elliptical_average.h"
#include "ink/ink_table.h"

namespace wheatpaste {
namespace {

// Of a picture whose lens is known: how many times wider the pixel filter becomes at most.
double MostWidening(const ChartPicture& picture) {
  float most = 0;
  for (int64_t y = 0; y < picture.blur.height(); ++y) {
    const float* const row = picture.blur.row(0, y);
    most = std::max(most, *std::max_element(row, row + picture.blur.width()));
  }
  return WideningBy(most);
}

// From this size on it is worth looking which part of a raster the picture reads, and to draw that part alone where it is
// no more than this share.
constexpr int64_t kLargeRasterPx = int64_t{2} << 20;
constexpr double kWorthCutting = 0.8;

// most_px  of all of it.
SizePx RasterSize(const Artwork& artwork, const PlacedSize& placed, double px_per_mm,
                  double most_px) {
  double width = placed.size.x * px_per_mm, height = placed.size.y * px_per_mm;
  if (!artwork.is_vector()) {
    // A bitmap holds no more than its pixels; twice as many let the average follow its own smooth
    // interpolation. One that holds far more than is asked for is reduced once, here.
    const auto w = static_cast<double>(artwork.pixels().width);
    const auto h = static_cast<double>(artwork.pixels().height);
    width = width > w ? std::min(width, 2 * w) : (2 * width < w ? width : w);
    height = height > h ? std::min(height, 2 * h) : (2 * height < h ? height : h);
  }
  const double shrink = std::min(1.0, std::sqrt(most_px / std::max(1.0, width * height)));
  const auto side = [&](double length) {
    return std::clamp<int64_t>(static_cast<int64_t>(std::ceil(length * shrink)), 1,
                               kMostRasterSidePx);
  };
  return {side(width), side(height)};
}

// Slopes of the sheet's wrinkles, its own in every placement.
std::shared_ptr<const Pyramid> SlopesOf(const PlacedSize& placed, size_t index) {
  constexpr Edges kGoOn{true, true, true, true};
  return std::make_shared<const Pyramid>(WrinkleSlopes(placed.size, index + 1), kGoOn);
}

// What is computed of the placement's ink: an absolute proof has measured what its film would make.
Ink ComputedInk(const SolvedScene& solved, const Ink& ink) {
  const bool measured = solved.press && solved.scene.proof_intent == ProofIntent::kAbsolute;
  if (!measured || ink.is_plain()) return ink;
  return Ink{.texture = ink.texture, .gloss = ink.gloss};
}

}  // namespace

// The films of a scene, each made once for an ink on a surface.
class Films {
 public:
  explicit Films(const Scene& scene) : scene_(scene) {}

  void Make(size_t number) {
    if (number == 0) return;
    const Placement& placement = scene_.placements[number - 1];
    tables_.try_emplace(number, placement.ink.value,
                        scene_.surfaces[placement.surface].substrate.value);
  }

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
  const InkTable* TableOf(size_t number) const {
    return number == 0 ? nullptr : &tables_.at(number);
  }

 private:
  const Scene& scene_;
  std::map<size_t, InkTable> tables_;
};

// One placement and where a picture shows it; nothing is drawn yet.
struct ArtworkDrawer::Layout {
  PreparedArtwork ready;
  std::vector<Map<ArtworkUv, SurfaceMm>> artwork_from_face;  // one for each piece
  double px_per_mm = 0;  // picture px per mm at the place where the artwork is largest
};

struct ArtworkDrawer::Shared {
  Ink ink;  // that is computed
  std::array<float, 3> proof_white{};
  size_t film = 0;
  std::shared_ptr<const Pyramid> slopes;
  std::vector<PreparedCoat> coats;
};

struct ArtworkDrawer::Printed {
  std::shared_ptr<const Pyramid> filter, cover;
};

ArtworkDrawer::ArtworkDrawer(const PreparedScene& prepared, const ArtworkByName& artworks)
    : prepared_(prepared),
      artworks_(artworks),
      films_(std::make_unique<Films>(prepared.solved.scene)) {
  const Scene& scene = prepared.solved.scene;
  for (size_t i = 0; i < scene.placements.size(); ++i) {
    const Placement& placement = scene.placements[i];
    WHEATPASTE_CHECK(artworks_.count(placement.artwork.value) != 0);
    layouts_.push_back(LayOut(prepared, i));
    Layout& layout = layouts_.back();
    layout.px_per_mm *= prepared.enlarged();
    Shared shared;
    shared.proof_white = ProofWhite(scene, placement);
    shared.ink = ComputedInk(prepared.solved, placement.ink.value);
    if (PreparedArtwork& ready = layout.ready; ready.in_sight()) {
      // Of a large picture no more than a part is drawn at once.
      const auto most =
          static_cast<double>(prepared.large ? std::numeric_limits<int64_t>::max() : kMostRasterPx);
      ready.raster =
          RasterSize(ArtworkOf(i), ready.placed, kRasterDensity * layout.px_per_mm, most);
      ready.weights = WeightsOf(shared.ink);
      ready.raster_px_per_output_px =
          static_cast<double>(ready.raster.width) / (ready.placed.size.x * layout.px_per_mm);
      shared.film = films_->NumberOf(i, shared.ink);
      films_->Make(shared.film);
      if (placement.wrinkle > 0) shared.slopes = SlopesOf(ready.placed, i);
      shared.coats = CoatsOf(placement);
    }
    shared_.push_back(std::move(shared));
  }
}

ArtworkDrawer::~ArtworkDrawer() = default;
ArtworkDrawer::ArtworkDrawer(ArtworkDrawer&&) noexcept = default;

const Artwork& ArtworkDrawer::ArtworkOf(size_t index) const {
  return *artworks_.at(prepared_.solved.scene.placements[index].artwork.value);
}

ArtworkDrawer::Layout ArtworkDrawer::LayOut(const PreparedScene& prepared, size_t index) const {
  const Placement& placement = prepared_.solved.scene.placements[index];
  const FittedSurface& fitted = prepared_.solved.surfaces[placement.surface];
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
  // Of the analysed picture's px.
  const double blur = focus ? std::max(1.0, focus->MostWidening() / prepared.enlarged()) : 1;
  Layout layout;
  layout.ready.placement = index;
  layout.ready.placed = PlaceArtwork(placement, placed.area, ArtworkOf(index).aspect(),
                                     largest > 0 ? 0.5 / largest : 0);
  for (size_t i = 0; i < charts.size(); ++i) {
    const auto face = face_of(charts[i]);
    if (!face) continue;
    const auto face_from_artwork =
        placed.area_from_face[*face].Inverse() * layout.ready.placed.surface_from_artwork;
    const double widening =
        std::max(blur, MostWidening(charts[i].picture)) +
        std::max(ShadowReachMm(placement, kDefaultLightFrom), FinishReachMm(placement)) *
            charts[i].px_per_mm;
    ArtworkSpans spans =
        FindArtworkSpans(charts[i].picture, SizeOf(fitted.faces[charts[i].face].area),
                         face_from_artwork, prepared.analysed.size, widening);
    if (spans.empty()) continue;
    layout.px_per_mm = std::max(layout.px_per_mm, spans.px_per_mm);
    layout.artwork_from_face.push_back(face_from_artwork.Inverse());
    layout.ready.pieces.push_back({i, {}, std::nullopt, std::move(spans.rows), {}});
  }
  return layout;
}

Result<ArtworkDrawer::Printed> ArtworkDrawer::Print(size_t index, const RasterPart& at,
                                                    const Edges& edges) const {
  const SolvedScene& solved = prepared_.solved;
  const InkTable* const film = films_->TableOf(shared_[index].film);
  const SizePx size{at.part.width(), at.part.height()};
  PyramidBase filter(size);
  std::optional<PyramidBase> cover;
  if (film != nullptr && film->covers()) cover.emplace(size);
  // Rows at a time, so that the raster is held once.
  const auto take = [&](int64_t y0, Image<LinearPremul> rows) {
    const int64_t to = y0 - at.part.y0;
    if (solved.press) {
      ProofArtwork(*solved.press, solved.scene.proof_intent, shared_[index].proof_white, rows);
    }
    if (film == nullptr) return filter.Put(to, rows.view());
    const PrintRaster print = film->Print(std::move(rows));
    filter.Put(to, print.filter.view());
    if (cover) cover->Put(to, print.cover->view());
  };
  auto drawn = ArtworkOf(index).RasteriseRows(at.whole, at.part, take);
  if (!drawn) return drawn.errors();
  Printed printed{std::make_shared<const Pyramid>(std::move(filter), edges), nullptr};
  if (cover) printed.cover = std::make_shared<const Pyramid>(*std::move(cover), edges);
  return printed;
}

Status ArtworkDrawer::Finish(size_t index, const RasterPart& at, PreparedArtwork& ready) const {
  const Placement& placement = prepared_.solved.scene.placements[index];
  ready.slopes = shared_[index].slopes;
  if (placement.finishes.empty()) return Done{};
  std::vector<std::shared_ptr<const Artwork>> masks;
  for (const wheatpaste::Finish& finish : placement.finishes) {
    const std::string name = MaskNameOf(placement, finish);
    masks.push_back(name.empty() ? nullptr : artworks_.at(name));
  }
  auto finishes = PrepareFinishes(placement, *ready.pyramid, ArtworkOf(index).aspect(), masks,
                                  ready.placed.size, at, shared_[index].coats);
  if (!finishes) return std::move(finishes).errors();
  ready.finishes = std::make_shared<const PreparedFinishes>(*std::move(finishes));
  return Done{};
}

// raster  of the whole artwork; `part` of it is looked up.
void ArtworkDrawer::Place(const PreparedScene& prepared, SizePx raster, const RectPx& part,
                          Layout& layout) const {
  const Placement& placement = prepared_.solved.scene.placements[layout.ready.placement];
  const Eigen::Vector2d origin(static_cast<double>(part.x0), static_cast<double>(part.y0));
  Eigen::Matrix3d scale = Eigen::Matrix3d::Identity();
  scale(0, 0) = static_cast<double>(raster.width);
  scale(1, 1) = static_cast<double>(raster.height);
  scale.topRightCorner<2, 1>() = -origin;
  const Map<ArtworkPx, ArtworkUv> raster_from_artwork(scale);
  const auto& slopes = shared_[layout.ready.placement].slopes;
  for (size_t k = 0; k < layout.ready.pieces.size(); ++k) {
    ArtworkPiece& piece = layout.ready.pieces[k];
    piece.artwork_from_surface = raster_from_artwork * layout.artwork_from_face[k];
    const ChartPicture& picture = prepared.surfaces[placement.surface].charts[piece.chart].picture;
    if (picture.output_from_surface) {
      piece.artwork_from_output =
          piece.artwork_from_surface * picture.output_from_surface->Inverse();
    }
    piece.contact =
        ContactOf(placement, kDefaultLightFrom, piece.artwork_from_surface,
                  layout.ready.placed.size, raster, slopes ? slopes->level(0).size : SizePx{});
    piece.contact.origin = origin;
  }
}

std::vector<PreparedArtwork> ArtworkDrawer::LaidOut() const {
  std::vector<PreparedArtwork> result;
  for (size_t i = 0; i < layouts_.size(); ++i) {
    result.push_back(layouts_[i].ready);
    if (shared_[i].coats.empty()) continue;
    result.back().finishes = std::make_shared<const PreparedFinishes>(
        PreparedFinishes{false, shared_[i].coats, {}, Eigen::Vector2d::Zero()});
  }
  return result;
}

RasterPart ArtworkDrawer::WorthDrawing(size_t index, Layout& layout) const {
  const Scene& scene = prepared_.solved.scene;
  const Placement& placement = scene.placements[index];
  const SizePx raster = layout.ready.raster;
  const RasterPart whole{raster, WholeOf(raster)};
  // Several placements of one artwork share its raster.
  const bool shared =
      std::count_if(scene.placements.begin(), scene.placements.end(), [&](const Placement& other) {
        return other.artwork.value == placement.artwork.value;
      }) > 1;
  if (shared || !ArtworkOf(index).is_vector() || raster.area() < kLargeRasterPx) return whole;
  Place(prepared_, raster, whole.part, layout);
  const FootprintReach reach = ReachIn(prepared_.surfaces[placement.surface], layout.ready);
  const RasterPart read{
      raster, PartRead(reach, raster, FinishMargin(placement, layout.ready.placed.size, raster))};
  const bool worth = !read.part.empty() && static_cast<double>(read.part.area()) <=
                                               kWorthCutting * static_cast<double>(raster.area());
  return worth ? read : whole;
}

Result<std::vector<PreparedArtwork>> ArtworkDrawer::DrawWhole() const {
  const Scene& scene = prepared_.solved.scene;
  std::vector<PreparedArtwork> result;
  // Of a raster as it is printed, and the part of it that is drawn.
  using Key = std::tuple<std::string, int64_t, int64_t, int, std::array<float, 3>, size_t, int64_t,
                         int64_t, int64_t, int64_t>;
  std::map<Key, Printed> drawn;
  Errors errors;
  for (size_t i = 0; i < layouts_.size(); ++i) {
    Layout layout = layouts_[i];
    PreparedArtwork& ready = layout.ready;
    if (ready.in_sight()) {
      const SizePx size = ready.raster;
      const RasterPart at = WorthDrawing(i, layout);
      const Edges edges = EdgesOf(at, ready.placed.bleeds);
      const int sides = edges.repeat_left | edges.repeat_top << 1 | edges.repeat_right << 2 |
                        edges.repeat_bottom << 3;
      Printed& printed = drawn[{scene.placements[i].artwork.value, size.width, size.height, sides,
                                shared_[i].proof_white, shared_[i].film, at.part.x0, at.part.y0,
                                at.part.x1, at.part.y1}];
      if (printed.filter == nullptr) {
        auto made = Print(i, at, edges);
        if (!made) {
          errors.insert(errors.end(), made.errors().begin(), made.errors().end());
          continue;
        }
        printed = *std::move(made);
      }
      ready.pyramid = printed.filter;
      ready.cover = printed.cover;
      if (auto finished = Finish(i, at, ready); !finished) {
        errors.insert(errors.end(), finished.errors().begin(), finished.errors().end());
        continue;
      }
      Place(prepared_, size, at.part, layout);
    }
    result.push_back(std::move(ready));
  }
  if (!errors.empty()) return errors;
  return result;
}

Result<std::vector<PreparedArtwork>> ArtworkDrawer::DrawFor(const PreparedScene& part) const {
  std::vector<PreparedArtwork> result;
  Errors errors;
  for (size_t i = 0; i < layouts_.size(); ++i) {
    const PreparedArtwork& whole = layouts_[i].ready;
    if (!whole.in_sight()) continue;
    Layout layout = LayOut(part, i);
    PreparedArtwork& ready = layout.ready;
    if (!ready.in_sight()) continue;
    const Placement& placement = prepared_.solved.scene.placements[i];
    const PreparedSurface& surface = part.surfaces[placement.surface];
    ready.weights = whole.weights;
    ready.raster_px_per_output_px = whole.raster_px_per_output_px;
    // Where all of it is seen small, it is drawn as small, by halves.
    RasterPart at{whole.raster, {}};
    for (;;) {
      Place(part, at.whole, {}, layout);
      const FootprintReach reach = ReachIn(surface, ready);
      at.part = PartRead(reach, at.whole, FinishMargin(placement, whole.placed.size, at.whole));
      const bool small = at.part.width() * at.part.height() <= kMostPartPx;
      if (at.part.empty() || (small && reach.least_level == 0)) break;
      if (std::min(at.whole.width, at.whole.height) < 2) break;
      const int halves = small ? reach.least_level : std::max(1, reach.least_level);
      const auto less = [halves](int64_t side) {
        return std::max<int64_t>(1, (side + (int64_t{1} << halves) - 1) >> halves);
      };
      at.whole = {less(at.whole.width), less(at.whole.height)};
    }
    if (at.part.empty()) continue;
    auto printed = Print(i, at, EdgesOf(at, whole.placed.bleeds));
    if (!printed) {
      errors.insert(errors.end(), printed.errors().begin(), printed.errors().end());
      continue;
    }
    ready.raster = at.whole;
    ready.pyramid = printed->filter;
    ready.cover = printed->cover;
    if (auto finished = Finish(i, at, ready); !finished) {
      errors.insert(errors.end(), finished.errors().begin(), finished.errors().end());
      continue;
    }
    Place(part, at.whole, at.part, layout);
    result.push_back(std::move(ready));
  }
  if (!errors.empty()) return errors;
  return result;
}

}  // namespace wheatpaste

#include "composite/prepare_scene.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "composite/bare_surface.h"
#include "composite/bend_surface.h"
#include "composite/join_charts.h"
#include "composite/proof_artwork.h"
#include "composite/stage_light.h"
#include "image/read_bitmap.h"
#include "ink/apply_ink.h"
#include "light/restore_highlights.h"
#include "stage/stage_surfaces.h"
#include "surface/artwork_spans.h"
#include "surface/framed_part.h"
#include "surface/solve_camera.h"

namespace wheatpaste {
namespace {

// Half a window of the shading filter against the surface's side in the picture: wide enough to average
// weave and plaster, narrow against the shadows of things.
constexpr double kShadingRadiusShare = 0.012;
constexpr int kLeastShadingRadius = 2, kMostShadingRadius = 64;

int ShadingRadius(const RectPx& region) {
  const double side = std::sqrt(static_cast<double>(region.width() * region.height()));
  return std::clamp(static_cast<int>(std::lround(kShadingRadiusShare * side)), kLeastShadingRadius,
                    kMostShadingRadius);
}

// Of a face: does anything lie on it, does it need the light on it, has it a finish?
struct FaceUse {
  bool placed = false, hides = false, finished = false;
};
FaceUse UseOf(const Scene& scene, size_t surface, size_t face) {
  FaceUse use;
  for (const Placement& placement : scene.placements) {
    if (!LiesOn(placement, surface, face)) continue;
    use.placed = true;
    use.hides |= placement.ink.value.hides() || MirrorsAnew(placement);
    use.finished |= !placement.finishes.empty();
  }
  return use;
}

// A surface's edges count to this share of its side beyond it, at least so many px.
constexpr double kFocusMarginShare = 0.05;
constexpr int64_t kLeastFocusMargin = 8;
// Below a twentieth of an 8-bit code at a middle level nobody sees grain.
constexpr double kGrainLevel = 0.2, kLeastGrain = 5e-8;
// Any number: the grain of a scene is the same in every run.
constexpr uint64_t kGrainSeed = 1;

std::vector<const ChartPicture*> PlacedCharts(const Scene& scene, size_t index,
                                              const PreparedSurface& surface) {
  std::vector<const ChartPicture*> placed;
  for (const PreparedChart& chart : surface.charts) {
    if (UseOf(scene, index, chart.face).placed) placed.push_back(&chart.picture);
  }
  return placed;
}

// pictures  of the surface's charts that something lies on, at least one.
std::optional<Focus> FocusOf(const BasePicture& base,
                             const std::vector<const ChartPicture*>& pictures) {
  const RectPx bounds = BoundsOf(pictures);
  const auto side = std::sqrt(static_cast<double>(bounds.width() * bounds.height()));
  const int64_t margin =
      std::max(kLeastFocusMargin, static_cast<int64_t>(std::lround(kFocusMarginShare * side)));
  const RectPx wide = Intersect(Grow(bounds, margin), WholeOf(base.size));
  const Image<Coverage> seen = SeenTogether(pictures, wide);
  auto focus = EstimateFocus(base.light.view().Part(wide), seen.view(), static_cast<int>(margin));
  if (focus) {
    focus->x += static_cast<double>(wide.x0);
    focus->y += static_cast<double>(wide.y0);
  }
  return focus;
}

std::shared_ptr<const PreparedGrain> GrainOf(ImageView<SceneLinear> light, int depth,
                                             double px_per_photo_px) {
  const Grain grain = EstimateGrain(light, {depth, px_per_photo_px});
  PreparedGrain prepared{{}, GrainTile(grain, kGrainSeed)};
  bool seen = false;
  for (int band = 0; band < 3; ++band) {
    seen |= grain.Variance(band, kGrainLevel) >= kLeastGrain;
    for (int k = 0; k <= kNoiseSteps + 1; ++k) {
      prepared.variance[static_cast<size_t>(band)].push_back(
          static_cast<float>(grain.Variance(band, static_cast<double>(k) / kNoiseSteps)));
    }
  }
  if (!seen) return nullptr;
  return std::make_shared<const PreparedGrain>(std::move(prepared));
}

// A substrate stated to be no glossier is matt: nothing that it shows is mirrored light.
constexpr double kMattGloss = 0.05;

Image<SceneLinear> CopyOf(ImageView<SceneLinear> light) {
  Image<SceneLinear> copy(light.size());
  copy.Put(0, light);
  return copy;
}

// after - before; none where they are the same.
std::optional<Image<SceneLinear>> Added(Image<SceneLinear> before, ImageView<SceneLinear> after) {
  bool any = false;
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < after.height(); ++y) {
      float* const from = before.row(plane, y);
      const float* const to = after.row(plane, y);
      for (int64_t x = 0; x < after.width(); ++x) {
        from[x] = to[x] - from[x];
        any |= from[x] != 0;
      }
    }
  }
  if (!any) return std::nullopt;
  return before;
}

// What the face mirrors, and the light that falls on it where that is wanted.
void ReadLight(const Substrate& substrate, bool lit, PreparedScene& prepared,
               PreparedChart& chart) {
  const Frame& frame = prepared.analysed;
  BasePicture& base = prepared.base;
  const RectPx& region = chart.picture.region;
  const auto seen = chart.picture.seen.view();
  Image<SceneLinear> before =
      prepared.large ? CopyOf(base.light.view().Part(region)) : Image<SceneLinear>();
  chart.clipped = RestoreHighlights(base.light.mutable_view().Part(region), seen);
  if (prepared.large) chart.restored = Added(std::move(before), base.light.view().Part(region));
  ImageView<SceneLinear> light = base.light.view().Part(region);
  Image<SceneLinear> diffuse;
  if (substrate.gloss.value_or(1) > kMattGloss) {
    const auto normals = chart.chart->Normals(frame, region);
    chart.gloss = SeparateGloss(light, seen, normals ? &*normals : nullptr, substrate.reflectance);
  }
  if (!lit) return;
  if (chart.gloss) {
    diffuse = Image<SceneLinear>(light.size());
    for (int plane = 0; plane < 3; ++plane) {
      for (int64_t y = 0; y < light.height(); ++y) {
        const float *all = light.row(plane, y), *mirrored = chart.gloss->mirrored.row(plane, y);
        std::transform(all, all + light.width(), mirrored, diffuse.row(plane, y), std::minus<>());
      }
    }
    light = diffuse.view();
  }
  chart.shading = SeparateShading(light, seen, substrate.reflectance, ShadingRadius(region));
}

// Of the faces on which some placement has a finish.
void LightFinishes(const SolvedScene& solved, PreparedScene& prepared) {
  std::optional<std::optional<FittedLight>> fitted;  // once, when it is first wanted
  for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
    for (PreparedChart& chart : prepared.surfaces[i].charts) {
      if (!UseOf(solved.scene, i, chart.face).finished) continue;
      if (!fitted) fitted = FitSceneLight(prepared);
      chart.face_light = LightOnFace(chart, prepared.analysed, solved.camera,
                                     solved.scene.surfaces[i].relief.light_from, *fitted);
    }
  }
}

// The analysed picture itself is not needed any more.
void LeaveAnalysed(PreparedScene& prepared) {
  prepared.base.size = prepared.frame.size;
  prepared.base.codes = Bytes();
  prepared.base.light = Image<SceneLinear>();
  for (PreparedSurface& surface : prepared.surfaces) {
    if (surface.focus) {
      surface.focus = FocusIn(*surface.focus, prepared.analysed, prepared.frame);
    }
  }
}

void NoteSubstrates(const Scene& scene, std::vector<PreparedSurface>& surfaces) {
  for (size_t i = 0; i < surfaces.size(); ++i) {
    const Reflectance& blank = scene.surfaces[i].substrate.value.reflectance;
    surfaces[i].substrate_luminance = Luminance(blank.r, blank.g, blank.b);
  }
}

// Camera and surfaces of a stage, and a photo of its size that holds no codes yet. What its surfaces are printed on is known now.
Status SolveStage(const StagePhotoOptions& options, Scene& scene, SolvedScene& solved) {
  auto staged = StagedScene::Build(scene.stage, options);
  if (!staged) return staged.errors();
  solved.stage = *std::move(staged);
  const StagedScene& stage = *solved.stage;
  auto surfaces = StageSurfaces(stage.stage(), stage.built(), scene.surfaces);
  if (!surfaces) return surfaces.errors();
  auto substrates = PrintedSubstrates(stage.stage(), stage.built(), scene.surfaces);
  if (!substrates) return substrates.errors();
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    scene.surfaces[i].substrate = (*substrates)[i];
  }
  solved.surfaces = *std::move(surfaces);
  solved.camera = CameraOf(stage.built());
  solved.photo.size = stage.stage().size;
  solved.photo.depth = 16;
  solved.photo.profile = Profile::Srgb();
  return Done{};
}

}  // namespace

bool LiesOn(const Placement& placement, size_t surface, size_t face) {
  if (placement.surface != surface) return false;
  return placement.faces.empty() || std::find(placement.faces.begin(), placement.faces.end(),
                                              static_cast<int>(face)) != placement.faces.end();
}

Result<SolvedScene> SolveScene(Scene scene, const StagePhotoOptions& stage) {
  SolvedScene solved;
  Errors errors;
  if (scene.print_condition) {
    if (auto press = ReadPress(*scene.print_condition)) {
      solved.press = std::move(*press);
    } else {
      errors = press.errors();
    }
  }
  if (scene.stage) {
    if (auto staged = SolveStage(stage, scene, solved); !staged) {
      errors.insert(errors.end(), staged.errors().begin(), staged.errors().end());
    }
    if (!errors.empty()) return errors;
  } else {
    auto photo = ReadBitmap(scene.photo.file);
    if (!photo) errors.insert(errors.end(), photo.errors().begin(), photo.errors().end());
    if (!errors.empty()) return errors;
    auto found = SolveCamera(scene.photo, photo->size, photo->exif.focal_35mm, scene.surfaces);
    if (!found) return found.errors();
    solved.camera = found->camera;
    solved.surfaces = std::move(found->surfaces);
    solved.photo = std::move(*photo);
  }
  if (scene.frame) {
    const auto part = FindFramedPart(*scene.frame, solved.surfaces, solved.photo.size);
    if (!part) return part.errors();
    solved.must_see = *part;
  }
  solved.scene = std::move(scene);
  return solved;
}

Result<PreparedScene> PrepareScene(SolvedScene solved, const PictureWish& wish, WantedFaces wanted,
                                   const SizeLimits& limits) {
  PreparedScene prepared;
  std::shared_ptr<const StagePhoto> staged;
  if (solved.stage) {
    auto photo = solved.stage->Photo();
    if (!photo) return photo.errors();
    staged = *std::move(photo);
    solved.photo.codes = staged->photo.codes;
  }
  prepared.frame = FramePhoto(solved.photo.size, wish);
  prepared.analysed = prepared.frame;
  const SizePx size = prepared.frame.size;
  if (wanted != WantedFaces::kPlaced && size.area() > kMostInspectedPx) {
    return Error{{},
                 fmt::format("{} x {} px", size.width, size.height),
                 fmt::format("guides and passes are made of pictures of at most {} million px; "
                             "expected a smaller size",
                             kMostInspectedPx >> 20)};
  }
  auto occluders = SceneOccluders::Read(solved.scene, solved.photo.size);
  if (!occluders) return std::move(occluders).errors();
  std::shared_ptr<LargePicture> large;
  if (wanted == WantedFaces::kPlaced && IsLarge(prepared.frame, limits)) {
    prepared.analysed = AnalysedFrame(prepared.frame, limits);
    Bytes codes = std::move(solved.photo.codes);
    solved.photo.codes = Bytes();
    Bitmap photo = solved.photo;
    photo.codes = std::move(codes);
    large = std::make_shared<LargePicture>(
        LargePicture{CodesOfPhoto(std::move(photo)), *std::move(occluders), limits.tile_px});
    prepared.large = large;
  }
  const SceneOccluders& in_front = large ? large->occluders : *occluders;
  for (size_t i = 0; i < solved.surfaces.size(); ++i) {
    PreparedSurface surface;
    const std::vector<Face>& faces = solved.surfaces[i].faces;
    for (size_t face = 0; face < faces.size(); ++face) {
      if (wanted == WantedFaces::kPlaced && !ReadsSurface(solved.scene.surfaces[i]) &&
          !UseOf(solved.scene, i, face).placed) {
        continue;
      }
      for (const auto& chart : faces[face].charts) {
        PreparedChart ready;
        ready.face = face;
        ready.chart = chart;
        ready.picture = chart->Picture(prepared.analysed);
        if (ready.picture.region.empty()) continue;
        ready.px_per_mm = LargestPxPerMm(ready.picture, SizeOf(faces[face].area));
        in_front.Hide(i, prepared.analysed, ready.picture);
        surface.charts.push_back(std::move(ready));
      }
    }
    prepared.surfaces.push_back(std::move(surface));
  }
  const auto encoder = [](const BasePicture& base) {
    return std::make_shared<const CodesFromWorking>(base.profile, base.depth);
  };
  if (large) {
    prepared.encode = encoder(large->photo);
    prepared.base = MakeBasePicture(large->photo, prepared.analysed, *prepared.encode);
  } else {
    prepared.base = MakeBasePicture(solved.photo, prepared.analysed);
    prepared.encode = encoder(prepared.base);
  }
  if (staged && wanted != WantedFaces::kAll) {
    NoteSubstrates(solved.scene, prepared.surfaces);
    for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
      for (PreparedChart& chart : prepared.surfaces[i].charts) {
        LightFromStage(*staged, solved.scene.surfaces[i].substrate.value.reflectance,
                       prepared.analysed, prepared.base, chart);
      }
    }
    MendSharedPixels(prepared.surfaces, prepared.base);
    LightFinishes(solved, prepared);
  } else if (wanted != WantedFaces::kAll) {
    // Noise and blur are those of the photo as it is, before anything in it is restored.
    prepared.grain =
        large ? GrainOf(SampleForGrain(large->photo, prepared.frame).view(), large->photo.depth,
                        std::min(1.0, prepared.frame.scale()))
              : GrainOf(prepared.base.light.view(), prepared.base.depth, prepared.frame.scale());
    for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
      PreparedSurface& surface = prepared.surfaces[i];
      if (wish.sharp_artwork || solved.scene.surfaces[i].sharpness == Sharpness::kArtwork) continue;
      const auto placed = PlacedCharts(solved.scene, i, surface);
      if (!placed.empty()) surface.focus = FocusOf(prepared.base, placed);
    }
    const auto bare = ReadBareSurfaces(prepared.surfaces, solved.scene, prepared.base);
    for (size_t k = 0; large && k < bare.size(); ++k) {
      TakeOver(prepared.base, prepared.analysed, bare[k].region, bare[k].changed, large->photo);
    }
    NoteSubstrates(solved.scene, prepared.surfaces);
    if (Errors errors = BendSurfaces(solved, prepared); !errors.empty()) return errors;
    for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
      for (PreparedChart& chart : prepared.surfaces[i].charts) {
        const bool lit = wanted == WantedFaces::kAllLit || UseOf(solved.scene, i, chart.face).hides;
        ReadLight(solved.scene.surfaces[i].substrate.value, lit, prepared, chart);
      }
    }
    LightFinishes(solved, prepared);
  }
  // What was decoded is in the base picture now.
  solved.photo.codes = Bytes();
  prepared.solved = std::move(solved);
  if (large) LeaveAnalysed(prepared);
  return prepared;
}

}  // namespace wheatpaste

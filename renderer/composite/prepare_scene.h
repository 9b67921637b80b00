// prepare_scene.h - all of a picture that does not depend on the artwork, found once per scene and size.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "colour/profile.h"
#include "composite/face_light.h"
#include "composite/large_picture.h"
#include "image/bitmap.h"
#include "light/base_picture.h"
#include "light/focus.h"
#include "light/gloss.h"
#include "light/grain_field.h"
#include "light/shading.h"
#include "scene/scene.h"
#include "stage/staged_scene.h"
#include "surface/bend_chart.h"
#include "surface/camera.h"
#include "surface/fitted_surface.h"
#include "surface/frame.h"

namespace wheatpaste {

// The photo and the geometry behind it: what `check` needs.
struct SolvedScene {
  Scene scene;
  Bitmap photo;
  Camera camera;
  std::vector<FittedSurface> surfaces;  // one for each surface of the scene
  std::optional<Press> press;           // where the scene names a print condition
  std::shared_ptr<const StagedScene>
      stage;                             // where the scene has one: `photo` then has no codes yet
  std::optional<SourceWindow> must_see;  // of the photo, where the scene has a frame
};

// face  index into FittedSurface::faces.
bool LiesOn(const Placement& placement, size_t surface, size_t face);

// stage   how a stage's photograph is taken or found, when it is first wanted; by default where the user's are kept.
// errors  the photo cannot be read, the stage not be built; a surface's marks make no possible view of it; the print condition's profile cannot
//         be used.
Result<SolvedScene> SolveScene(Scene scene, const StagePhotoOptions& stage = {KeptStagesFolder()});

// One chart of a surface in the analysed picture.
struct PreparedChart {
  size_t face = 0;                         // index into FittedSurface::faces
  std::shared_ptr<const Chart> chart;      // that the picture is of
  ChartPicture picture;                    // `seen` less what stands in front
  std::shared_ptr<const FaceBend> bend;    // of its relief, where it has one
  std::optional<Image<Coverage>> heights;  // of its relief, mm above the face
  // Light that clipped highlights were given back; of a large picture, whose base light is made again.
  std::optional<Image<SceneLinear>> restored;
  std::optional<Gloss> gloss;           // where the surface is seen to mirror light
  std::optional<Shading> shading;       // where some placement hides the substrate
  std::optional<FaceLight> face_light;  // where some placement has a finish
  // Of a stage: what the face is of. Its own light is E blank + S also where it shares a pixel with others.
  std::optional<Reflectance> blank;
  double clipped = 0;    // share of the seen face that the photo shows as bare white
  double px_per_mm = 0;  // px of the analysed picture per surface mm where the face is seen largest
};

struct PreparedSurface {
  std::vector<PreparedChart> charts;  // those that the picture shows and that are wanted
  // Blur of the photo there, in px of the whole picture, where its edges tell and prints are to share it.
  std::optional<Focus> focus;
  double substrate_luminance = 1;         // Y of its reflectance
  std::vector<std::string> relief_notes;  // what was read of its folds, in plain words
};

// The photo's noise at the picture's size, as ink/apply_ink.h takes it, and a square of noise like it.
struct PreparedGrain {
  std::array<std::vector<float>, 3> variance;  // of each band, at levels k / kNoiseSteps
  GrainTile tile;
};

struct PreparedScene {
  SolvedScene solved;
  Frame frame;                                     // of the picture
  BasePicture base;                                // of a large picture without codes and light
  std::shared_ptr<const CodesFromWorking> encode;  // to the base's codes
  std::shared_ptr<const PreparedGrain> grain;      // none: the photo shows no noise
  // Of each pixel; none: the grain's tile laid out from the picture's corner on.
  std::optional<Image<SceneLinear>> noise;
  Frame
      analysed;  // of the picture that `surfaces` speak of: the picture itself, or another one of a large picture
  std::vector<PreparedSurface> surfaces;
  std::shared_ptr<const LargePicture> large;  // none: the picture is held whole

  // Px of the picture per px of the analysed one.
  double enlarged() const { return frame.scale() / analysed.scale(); }
};

// Which faces are prepared: those that placements lie on, all of them without light (for guides), or all of
// them with their light, whatever is printed (for passes; the picture stays the same).
enum class WantedFaces { kPlaced, kAll, kAllLit };

// Guides and passes are made of whole pictures: theirs are not larger than this.
inline constexpr int64_t kMostInspectedPx = int64_t{48} << 20;

// errors  a stage's photograph cannot be taken; a matte cannot be used; all faces of a picture larger than kMostInspectedPx.
Result<PreparedScene> PrepareScene(SolvedScene solved, const PictureWish& wish, WantedFaces wanted,
                                   const SizeLimits& limits = {});

}  // namespace wheatpaste

// stage.h - the table [stage] of a scene: things, light and camera of a photograph that the program takes itself.
//
// Axes    world mm: right-handed, x right, y up, z towards the viewer; the floor is y = 0. Angles in degrees.
// Light   in units of the picture: a perfect white diffuser that faces light of strength 1 is encoded as white at exposure 0.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include <Eigen/Core>

#include "base/error.h"
#include "base/rect.h"
#include "base/units.h"
#include "scene/scene.h"

namespace wheatpaste {

// An object in place of a point: its middle, at half its height. Such a name is one of the stage's objects.
using StageObjectName = Placed<std::string>;

// Depth of field of a thin lens.
struct StageLens {
  double f_number = 0;  // 0: everything is sharp
  // Along the view; neither: at what the camera aims at.
  std::optional<double> focus_mm = std::nullopt;
  std::optional<StageObjectName> focus_object = std::nullopt;
};

// Where a camera stands, as seen from what it aims at.
struct StageStand {
  double distance = 0;           // in plan, mm
  double around = 0;             // 0 in front (+z), 90 to the right (+x)
  std::optional<double> height;  // of the camera above the floor; none: as high as its aim
};

inline Eigen::Vector3d PlaceOf(const StageStand& stand, const Eigen::Vector3d& aim) {
  const double turn = RadFromDegrees(stand.around).value;
  return {aim.x() + stand.distance * std::sin(turn), stand.height.value_or(aim.y()),
          aim.z() + stand.distance * std::cos(turn)};
}

struct StageCamera {
  double focal_35mm = 50;  // focal length in mm on 36 x 24 mm, by diagonals (surface/camera.h)
  Eigen::Vector3d at{0, 500, 2000};  // world mm, where there is no `stand`
  std::optional<StageStand> stand;
  Eigen::Vector3d aim{0, 500, 0};  // what lies in the picture's middle, where there is no object
  std::optional<StageObjectName> aim_object;
  double roll = 0;  // clockwise turn of the camera about its view
  StageLens lens;
  double exposure = 0;  // stops: light times 2^exposure
  Place place;
};

// Light from all around, from an equirectangular picture: its middle column lies at -z, up is up.
struct StageLightMap {
  Placed<std::string> file;  // resolved
  double turn = 0;           // about the vertical, counter-clockwise as seen from above
  double scale = 1;
  bool shown = true;  // false: behind everything lies `background`
  double blur = 0;    // of what is shown behind, degrees: radius of the disc that is averaged
};

// Colour of a light: of a black body, or given.
struct StageLightColour {
  std::optional<double> kelvin;
  Reflectance colour{1, 1, 1};  // linear, luminance counts towards `strength`
};

// A rectangle that shines to its front, evenly (Lambert).
struct StageSoftLight {
  Eigen::Vector3d at{0, 0, 0}, aim{0, 0, 0};  // its middle, and what it faces; world mm
  std::optional<StageObjectName> aim_object;  // in place of `aim`
  std::array<double, 2> size{};               // width, height, mm
  double strength = 1;                        // its own radiance
  StageLightColour colour;
  bool shown = false;  // to the camera; it is always mirrored
  Place place;
};

struct StageSun {
  double around = 0;    // where it stands: 0 behind the viewer (+z), 90 to the right (+x)
  double height = 45;   // above the horizon
  double size = 0.53;   // diameter
  double strength = 1;  // light on a surface that faces it
  StageLightColour colour;
};

// A picture laid over a material, repeating.
struct StageTexture {
  std::optional<Placed<std::string>> colour, normal, roughness, displacement;  // resolved
  std::array<double, 2> tile_mm{1000, 1000};  // what one copy covers
  double turn = 0;
  double displacement_mm = 0;  // height of white above black
  double normal_strength = 1;  // slopes times this
};

// Of one part of an object.
struct StageMaterial {
  std::string
      part;  // "" of all parts that have none of their own: the first material, always there
  std::optional<Placed<Substrate>> substrate;
  std::optional<Metal> metal;       // ink/conductor.h
  bool glass = false;               // exactly one of the three
  std::optional<double> roughness;  // GGX alpha; none: from the substrate's gloss
  std::optional<StageTexture> texture;
  Place place;
};

// Solids. Lengths in mm.
struct SheetSolid {
  std::array<double, 2> size{};
  double thickness = 0.3;
  double curl = 0;             // how far its lower corners stand off the plane it hangs on
  std::optional<double> hole;  // diameter of a punched hole near its top: a swing tag; with a cord
};
struct WallSolid {
  std::array<double, 2> size{6000, 3000};
};
struct FloorSolid {
  std::array<double, 2> size{6000, 6000};
};                                               // width, depth
struct SweepSolid {                              // floor and wall joined by a curve
  std::array<double, 3> size{4000, 2500, 3000};  // width, height, depth
  double radius = 600;
};
struct BlockSolid {              // boards, steps, shelves
  std::array<double, 3> size{};  // width, height, depth
  double edge = 1;               // radius of its edges
};
struct TubeSolid {
  double diameter = 0, height = 0;
};                 // with caps
struct CupSolid {  // paper cup: rolled rim, recessed bottom
  double diameter_top = 0, diameter_bottom = 0, height = 0;
  bool lid = false;
};
struct CanSolid {
  double diameter = 0, height = 0;
};  // necked, metal ends
struct ToteSolid {
  std::array<double, 2> size{380, 420};  // of the front, width and height
  double gusset = 0;                     // depth of its bottom
  double handle = 280;                   // drop of the handles above the rim
  double fill = 0.3;                     // 0 empty and flat, 1 bulging
  bool hangs = true;                     // by its handles, or stands and sags
  int seed = 1;                          // of its creases
};
struct PaperBagSolid {
  std::array<double, 3> size{260, 320, 120};  // width, height, depth
  std::string handles = "cord";               // "cord", "flat", "none"
  double crease = 0.5;                        // 0 crisp, 1 carried around
  int seed = 1;
};
inline constexpr std::array<const char*, 5> kCartonStyles{"0201", "0427", "tuck", "reverse tuck",
                                                          "sleeve"};
struct CartonSolid {
  std::optional<Placed<std::string>> dieline;  // resolved SVG; else a published style
  std::string style;                           // of kCartonStyles
  std::array<double, 3> inner{};               // L, B, H, mm
  double board = 0;                            // thickness, mm
  // How lines of a dieline are told apart (dieline/read_dieline.h); each a class, #rrggbb or layer.
  std::optional<Placed<std::string>> cut, crease;
  double closed =
      1;  // 1 closed, 0 flat, between: all creases folded by that share of their angles in fold order
  std::optional<double> lid;  // of the lid's creases alone, degrees folded
};
struct MeshSolid {
  Placed<std::string> file;  // resolved OBJ
  double mm_per_unit = 1;
};
using StageSolid =
    std::variant<SheetSolid, WallSolid, FloorSolid, SweepSolid, BlockSolid, TubeSolid, CupSolid,
                 CanSolid, ToteSolid, PaperBagSolid, CartonSolid, MeshSolid>;

struct StageObject {
  Placed<std::string> name;
  StageSolid solid;
  // Turned about its own origin: first leaned (clockwise as its front is seen), then tilted (its top away from the viewer), then
  // turned (counter-clockwise as seen from above), then moved.
  Eigen::Vector3d at{0, 0, 0};
  double turn = 0, tilt = 0, lean = 0;
  std::vector<StageMaterial> materials;
  Place place;
};

// A face whose prints colour the light that it returns to its neighbours.
struct StageTransfer {
  Placed<std::string> name;  // as written: "carton.front", or "poster" alone
  size_t object = 0;         // index into Stage::objects
  std::string face;          // "" where the object alone is named
};

struct Stage {
  SizePx size{1600, 1200};  // of the photograph
  int samples = 128;        // paths a pixel
  bool denoise = true;
  uint64_t seed = 1;
  std::optional<Placed<std::string>>
      base;  // resolved: where the finished photograph is kept beside the scene
  StageCamera camera;
  std::optional<StageLightMap> light_map;
  std::vector<StageSoftLight> soft_lights;
  std::optional<StageSun> sun;
  Reflectance background{0, 0,
                         0};  // seen behind everything where no light map is shown; lights nothing
  std::vector<StageObject> objects;
  std::vector<StageTransfer> colour_transfer;
  // The table as written, keys sorted, without what does not change the picture that many samples come to: base, samples.
  std::string text;
  Place place;
};

// Every file that the stage names: light map, textures, dielines, meshes, base.
std::vector<std::string> FilesOf(const Stage& stage);

}  // namespace wheatpaste

// scene.h - a scene file as the program understands it: checked, presets merged, paths resolved.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "colour/colour.h"
#include "colour/press.h"
#include "colour/spectrum.h"
#include "colour/srgb.h"
#include "geometry/coords.h"
#include "scene/finish.h"

namespace wheatpaste {

// A printed material before it is printed. Reflectance in the working primaries.
struct Substrate {
  std::string name;  // of the preset, or "inline"
  Reflectance reflectance{0.80, 0.80, 0.78};
  std::optional<Spectrum> spectrum = std::nullopt;  // measured; none: a smooth one of that colour
  std::optional<double> gloss = std::nullopt;       // 0 matt to 1 mirror; none: the photo tells
  double hiding = 1;        // as label stock: share of what is under it that it hides
  bool stated = false;      // false: the scene left it out and the default stands in
  bool from_photo = false;  // to be read from the photo (light/white_anchor.h)
  bool known = true;        // false: not read from it yet; `reflectance` means nothing
};

// What the artwork's white is.
enum class White {
  kPaper,  // no ink: the material shows
  kInk     // white ink
};
// "paper", "ink".
const char* NameOf(White white);

// How a later print meets an earlier one on the same surface.
enum class Meeting {
  kOverprint,  // lies on it
  kKnockOut    // the earlier is left out under it
};

// The finest that a way of printing holds, mm: a line of ink, a gap between inks, the height of small letters.
struct FinestDetail {
  double line_mm = 0.1, gap_mm = 0.2, letter_mm = 1.2;  // on paper: 0.25 pt, 0.5 pt, 6 pt type
  bool operator==(const FinestDetail&) const = default;
};

// How artwork lies on a substrate: either a plain mix of filtering and hiding (`opacity`), or a film (`hiding`, ink/film.h).
struct Ink {
  std::string name = "transparent";  // of the preset, or "inline"
  double opacity = 0;                // 0 filters what is under it, 1 hides it, linear in between
  std::optional<double> hiding =
      std::nullopt;  // contrast ratio of its white film; none: the plain mix
  double white =
      0.85;  // reflectance that the artwork's #ffffff stands for where nothing shows through
  // One ink for the whole artwork, darker parts denser: its look on white paper, linear, paper = 1.
  std::optional<SceneLinear> colour = std::nullopt;
  bool solid = false;  // of such an ink: everything that the artwork paints is solid ink
  double texture = 0;  // share of the substrate's fine texture that shows where the ink hides it
  double gloss = 1;    // what it makes of the substrate's mirrored light: 1 leaves it, 0 is matt
  std::optional<White> white_is = std::nullopt;    // none: paper where nothing is hidden, else ink
  std::shared_ptr<const Ink> underbase = nullptr;  // printed first, solid, under all of the artwork
  std::shared_ptr<const Substrate> stock =
      nullptr;  // label stock under the artwork's whole rectangle
  Meeting meeting = Meeting::kOverprint;
  FinestDetail finest = {};

  // Inks with an underbase or stock of their own are never the same.
  bool operator==(const Ink&) const = default;
  bool is_plain() const { return !hiding && !underbase && !stock && !white_is; }
  // Does it hide any of the substrate, so that the light on it must be known?
  bool hides() const { return opacity > 0 || hiding.value_or(0) > 0 || underbase || stock; }
  White white_meaning() const {
    const bool filters = colour || (opacity == 0 && hiding.value_or(0) == 0);
    return white_is.value_or(filters && !underbase ? White::kPaper : White::kInk);
  }
};

// A photo point whose place on the surface is known.
struct Mark {
  PhotoPx photo;
  SurfaceMm surface;
};

// Closed outline in photo px; inside is decided by the nonzero rule.
using Polygon = std::vector<PhotoPx>;

// Lines drawn over a photo from which a matte is grown (surface/grow_matte.h), photo px.
struct MatteStrokes {
  std::vector<std::vector<PhotoPx>> in_front;  // over what stands in front
  std::vector<std::vector<PhotoPx>> surface;   // over what is seen of the surface and behind it
  double width_px = 0;
  Place place;
};

// What hides surfaces, besides themselves.
struct Occlusion {
  std::optional<Placed<std::string>> matte;  // resolved path; white where the surface is seen
  std::vector<Polygon> in_front;             // outlines of things that stand in front
  std::optional<MatteStrokes> strokes;       // from which `matte` is grown
};

// kStage: a face of an object on the scene's stage; the others are shapes that a photo's surface is said to have.
enum class Shape { kPlane, kCylinder, kCone, kBox, kPatch, kMesh, kStage };
// As the scene file writes it: "plane", ...; "stage".
const char* NameOf(Shape shape);

// A rim as pictured: its leftmost point, the extreme of its near arc, its rightmost point, then any others.
struct MarkedRim {
  std::vector<PhotoPx> points;  // at least three
  Place place;
  std::string key;  // "surface.rim_top"
};

// Cylinder and cone: two circles one above the other.
struct RimMarks {
  double diameter_top = 0, diameter_bottom = 0, height = 0;  // mm; height along the axis
  Place diameter_place, height_place;  // of diameter or diameter_top; of height
  std::string diameter_key;            // "surface.diameter" or "surface.diameter_top"
  MarkedRim top, bottom;
  double turn_degrees =
      0;  // of the wrap's centre line, from the line that faces the camera, positive right
};

// A seen corner of a box: index bits 1 right, 2 bottom, 4 back.
struct BoxVertex {
  int index = 0;
  PhotoPx photo;
  Place place;
};
inline constexpr const char* kBoxVertexNames[8] = {
    "front_top_left", "front_top_right", "front_bottom_left", "front_bottom_right",
    "back_top_left",  "back_top_right",  "back_bottom_left",  "back_bottom_right"};
// In this order everywhere. Laid flat as seen from outside: side faces upright; top and bottom upright as
// they unfold from the front.
inline constexpr const char* kBoxFaceNames[6] = {"front", "right", "back", "left", "top", "bottom"};

struct BoxMarks {
  // Width, height, depth in mm; none: solved. All none: the width counts as 1000 and mm are proportions.
  std::array<std::optional<double>, 3> size;
  std::vector<BoxVertex> vertices;  // at least five, each once
  Place vertices_place;
};

// A grid of photo points at equal steps of flat mm, row by row from the top left.
struct PatchMarks {
  int columns = 0, rows = 0;  // 2 to 16 each
  std::vector<PhotoPx> points;
  Place place;  // of the grid; `point_places` of each point
  std::vector<Place> point_places;
};

// A point of the mesh (OBJ units and axes, as its file has them) and where the photo shows it.
struct MeshPin {
  std::string name;
  PhotoPx photo;
  Eigen::Vector3d object;
  Place place;
};

struct MeshMarks {
  Placed<std::string> file;  // resolved path of the OBJ
  double mm_per_unit = 1;
  std::vector<MeshPin> pins;  // at least four, or none where `pose` is given
  Place pins_place;
  // Given instead of pins: angle times axis in degrees, and the origin in camera mm (x right, y down, z away),
  // of the mesh with its axes turned to the camera's: OBJ (x, y, z) stands at (x, -y, -z).
  std::optional<std::array<double, 6>> pose;
};

// How sharp artwork is where the photo is out of focus.
enum class Sharpness {
  kPhoto,   // as the photo is there
  kArtwork  // as sharp as the picture allows
};

// The print that the photo shows on a surface.
enum class OldPrint { kKeep, kRemove };

// What bends artwork on a surface beyond its shape.
enum class ReliefKind {
  kNone,
  kPhoto,    // folds read from the photo's shading
  kHeights,  // a gray picture over the flat face
  kNormals   // a picture of normals over it
};

struct ReliefMarks {
  ReliefKind kind = ReliefKind::kNone;
  Placed<std::string> file;  // resolved; of heights or normals
  double white_mm = 0;       // height of white above black
  double amount = 1;         // heights times this, 0 to 3
  // Unit vector to the light, camera axes (x right, y down, z away); none: estimated from the shading.
  std::optional<Eigen::Vector3d> light_from;
  Place place;
};

// A face of an object of the stage, as named: "carton.front", or "poster" alone. Which faces there are is known once
// the object is built.
struct StageFace {
  size_t object = 0;  // index into Stage::objects
  std::string face;   // "" where the object alone is named
  Place place;
};

struct Surface {
  Placed<std::string> name;
  Shape shape = Shape::kPlane;
  std::optional<SurfaceMm> size;  // width and height in mm; none: aspect ratio is solved
  Place size_place;
  std::vector<PhotoPx> corners;  // four, clockwise from the surface's own top left, or empty
  Place corners_place;
  std::vector<Mark> marks;  // further points, or instead of corners (then at least four);
                            // only where `size` is known
  Place marks_place;
  // Of the other shapes, each where `shape` says so. A mesh's `size` is that of its uv square; none: from its
  // own scale.
  RimMarks rims;
  BoxMarks box;
  PatchMarks patch;
  MeshMarks mesh;
  std::optional<StageFace> stage_face;
  Placed<Substrate> substrate;
  OldPrint old_print = OldPrint::kKeep;
  Sharpness sharpness = Sharpness::kPhoto;
  ReliefMarks relief;
  Occlusion occlusion;
};

enum class Fit { kContain, kCover, kStretch };

struct Placement {
  size_t surface = 0;  // index into Scene::surfaces
  // Of a box: the faces that it is printed across, each joined to one before it along a shared edge; indices
  // into kBoxFaceNames. Else empty.
  std::vector<int> faces;
  Placed<std::string> artwork;     // a slot's name or a file as written
  std::string artwork_path;        // resolved when it is a file; empty for a slot
  std::optional<double> width_mm;  // at most one of width and height; neither where size is unknown
  std::optional<double> height_mm;
  Fit fit = Fit::kContain;      // where neither is given
  std::optional<SurfaceMm> at;  // artwork's centre; none: the surface's (always, without size)
  double rotate_degrees = 0;    // clockwise
  Placed<Ink> ink;
  double thickness_mm =
      0;                // of the sheet that is pasted on, 0 to 20; 0: the print lies in the surface
  double wrinkle = 0;   // of that sheet, 0 to 1
  bool printed = true;  // false (ink = "none"): the artwork only says where its finishes lie
  std::vector<Finish> finishes;  // in the order in which they are done
  // Room to be left around what is drawn: a share of its height, or mm; at most one of the two.
  std::optional<double> clear_space, clear_space_mm;
  Place place;
};

// True where a finish sends light of its own to the camera: foil, and varnish by what it mirrors.
inline bool MirrorsAnew(const Placement& placement) {
  for (const Finish& finish : placement.finishes) {
    if (!finish.has_relief()) return true;
  }
  return false;
}

// A brand colour, named once and used by name.
struct Swatch {
  std::string name;
  Srgb8 colour;
  Place place;
};

// A line of a colourway as written: each a colour (#rrggbb) or a swatch's name.
struct NamedChange {
  Placed<std::string> from, to;
};

// Artwork in other colours (scene/read_colourways.h).
struct Colourway {
  Placed<std::string> name;
  std::vector<NamedChange> changes;
};

// What is `from` in the artwork is shown as `to`.
struct ColourChange {
  Placed<Srgb8> from;
  Srgb8 to;
};

// A press and its paper (print_condition.h).
struct PrintCondition {
  std::string name;                         // of the preset, or the profile's file as written
  std::string data;                         // what it was made from: "FOGRA39"; empty for a file
  Placed<std::string> profile;              // resolved path
  std::optional<double> total_ink_percent;  // most that the press takes; none: not known
};

// What of the photo must be seen, whatever the picture's shape: a rectangle, or a surface with room around it.
struct FramedPart {
  std::optional<std::array<double, 4>> rectangle;  // left, top, right, bottom, photo px
  size_t surface = 0;                              // else: index into Scene::surfaces
  double margin = 0;  // on each side of the surface's bounds, of their larger side
  Place place;
  std::string subject;  // "frame.surface = ..."
};

struct Photo {
  Placed<std::string> file;        // resolved path
  std::optional<double> focal_px;  // at most one of the two
  std::optional<double> focal_35mm;
  std::array<double, 2> distortion{};  // k1, k2 of lens.h; only beside a given focal length
  Occlusion occlusion;                 // of every surface
};

struct Stage;  // scene/stage.h

struct Scene {
  std::string file;
  std::string title;
  Photo photo;                         // says nothing where there is a stage
  std::shared_ptr<const Stage> stage;  // null: there is a photo
  // With a stage: each of its faces that a placement or the frame names, once.
  std::vector<Surface> surfaces;
  std::optional<FramedPart> frame;  // none: nothing in particular must be seen
  std::vector<Placement> placements;
  std::vector<Swatch> swatches;
  std::vector<Colourway> colourways;
  std::optional<PrintCondition> print_condition;  // none: colours as on screen
  ProofIntent proof_intent = ProofIntent::kRelative;
};

}  // namespace wheatpaste

// read_scene.h - a scene file (TOML 1.0) to a Scene; all of it is checked, every mistake reported.
//
// Form    the scene file contract is in DEVELOPERS.md; keys are those of scene.h. Beyond it:
//           print_condition   a press by its name in shared/print-conditions.toml, or its profile's file, .icc
//           surface.marks     rows [photo_x, photo_y, mm_x, mm_y]: further points whose place is
//                             known; wants `size`; four or more may stand in for `corners`
//           surface.in_front  outlines [[x, y], [x, y], [x, y], ...] in photo px of what stands
//                             before the surface
//           [stage]           in place of [photo]: a photograph that the program takes itself (read_stage.h); its objects
//                             are then the surfaces
//           photo.focal_35mm  the focal length on 36 x 24 mm film; not beside focal_px
//           photo.distortion  [k1, k2] of lens.h, beside a given focal length
//           photo.matte, photo.in_front, matte_strokes: as of a surface, for all of them (read_occlusion.h)
//           surface.relief    besides "none" and "photo": { heights = "folds.png", mm = 8 }, a gray picture over the flat
//                             face, or { normals = "folds-n.png" }, RGB, x right, y up, z out
//           surface.relief_amount  0 to 3: heights times this; beside `relief`
//           surface.light_from     [right, up, towards the camera]: beside relief = "photo"; else estimated
//           box size          "unknown" in place of a length that is to be solved
//           placement.surface an array of a box's faces that join, laid flat side by side
//         A plane without `size` counts as 1000 mm wide. Its millimetres mean nothing in the world,
//         so width, height and at are refused there; fit remains.
//           [frame]           what must be seen whatever the picture's shape (surface/frame.h): rectangle = [left, top,
//                             right, bottom] in photo px; or surface = "poster", its bounds as solved, with margin = 0.15
//                             on each side, a share of their larger side, 0 to 2 (default 0.15)
//           [swatch], [[colourway]]  colours by name, artwork in other colours (read_colour.h, read_colourways.h)
// Limits  a file of at most kMaxSceneBytes; at most kMaxSurfaces surfaces and kMaxPlacements
//         placements; kMaxMarks marks, kMaxOutlines outlines of kMaxOutlinePoints points a surface;
//         coordinates and lengths of at most a million; those of toml_guard.h and toml_document.h.
// Paths   a file named in a scene must lie (links followed) in the scene's folder, the program's
//         data folder, or a folder that the user allowed on the command line. A photograph or matte
//         that does not exist is no error here; who reads it reports it.
// Errors  unknown key (with the nearest known one), wrong type, out of range, not finite, missing,
//         unknown preset (the nearest named), a name that is used twice, a placement on no surface;
//         sorted by line. A breach of TOML itself is reported alone: nothing behind it can be read.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"

namespace wheatpaste {

inline constexpr int64_t kMaxSceneBytes = int64_t{4} << 20;
inline constexpr size_t kMaxSurfaces = 256;
inline constexpr size_t kMaxPlacements = 1024;
inline constexpr size_t kMaxMarks = 256;
inline constexpr size_t kMaxOutlines = 256;
inline constexpr size_t kMaxOutlinePoints = 10'000;

struct ReadSceneOptions {
  std::string data_folder;                   // holds shared/ and assets-open/
  std::vector<std::string> allowed_folders;  // beside the scene's own and the data folder
};

Result<Scene> ReadScene(const std::string& path, const ReadSceneOptions& options);

// The same from text; `path` serves for messages and as the base of relative paths.
Result<Scene> ParseScene(std::string_view text, const std::string& path,
                         const ReadSceneOptions& options);

}  // namespace wheatpaste

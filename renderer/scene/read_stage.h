// read_stage.h - the table [stage] of a scene file, and the faces of its objects as surfaces.
//
// Form    keys are those of stage.h. [stage] size, samples, denoise, seed, base, background; [stage.camera]; at least one
//         light: [stage.light_map], [[stage.soft_light]], [stage.sun] or background; at least one [[stage.object]].
//         [stage.camera]      focal_35mm; at = [x, y, z], or distance, around, height; aim = a point or an object's name;
//                             roll; f_number, beside it focus in mm or an object's name; exposure
//         [stage.light_map]   file, turn, scale, shown, blur
//         [[stage.soft_light]] at, aim, size, strength, kelvin or colour, shown
//         [stage.sun]         around, height, size, strength, kelvin or colour
//         [[stage.object]]    name, solid and that solid's own keys, at, turn, tilt, lean, and its material:
//                             substrate, metal or glass = true; roughness; texture = { colour, normal, roughness,
//                             displacement (each a file), tile = mm or [width, height], turn, normal_strength,
//                             displacement_mm }; [[stage.object.part]] name and a material of its own
//         Light is a swatch's name or #rrggbb (brought to linear), or [r, g, b], linear.
// Faces   placement.surface and frame.surface name "carton.front", or "poster" of an object that has one face.
// Limits  below; numbers each by their rule.
#pragma once

#include <memory>
#include <vector>

#include "scene/scene_parts.h"
#include "scene/stage.h"

namespace wheatpaste {

inline constexpr size_t kMaxStageObjects = 256;
inline constexpr size_t kMaxSoftLights = 32;
inline constexpr size_t kMaxStageParts = 32;         // with a material of their own, of one object
inline constexpr int64_t kMaxStageSidePx = 16'000;   // of the photograph
inline constexpr int64_t kMaxStagePx = 40'000'000;   // of it: what is summed takes 80 bytes each
inline constexpr size_t kMaxStageTransfers = 8;      // faces that throw colour: each a picture more
inline constexpr int64_t kMaxStageSamples = 65'536;  // of a pixel

// The table [stage] of `root`; null where there is none.
std::shared_ptr<const Stage> ReadStage(TableReader& root, const SceneContext& context);

// A surface for each face that a placement or the frame names; what names no object, or one that nothing can be printed
// on, is noted here and gives a surface that is not `readable`.
std::vector<SurfaceDraft> ReadStageSurfaces(const Stage& stage, TableReader& root);

}  // namespace wheatpaste

// stage_surfaces.h - the faces of a stage's objects as surfaces that artwork is placed on: known exactly, nothing is fitted.
//
// Model   all triangles of the stage are one mesh, whose islands are the charts of the faces that are asked for; all else hides. A face's mm are
//         its sheet's, turned and moved. Blur is that of the stage's lens (mesh_tracer.h).
#pragma once

#include <memory>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "scene/stage.h"
#include "stage/build_stage.h"
#include "surface/camera.h"
#include "surface/fitted_surface.h"
#include "surface/mesh_tracer.h"

namespace wheatpaste {

// Asks rays of the whole stage. Its islands are numbered as the world's charts.
// is_asked  of each chart; the others only hide, as what cannot be printed on does.
std::shared_ptr<const MeshTracer> TracerOf(const BuiltStage& built,
                                           const std::vector<bool>& is_asked);

// The stage's camera as one behind a photo.
Camera CameraOf(const BuiltStage& built);

// One for each of `surfaces`, which name faces of the stage's objects.
// errors  a face that its object does not have, at the place where it is named.
Result<std::vector<FittedSurface>> StageSurfaces(const Stage& stage, const BuiltStage& built,
                                                 const std::vector<Surface>& surfaces);

// What each of `surfaces` is printed on: the substrate of the part that takes up most of the face.
// errors  a part of metal or glass, at the place where its face is named. Expects faces that StageSurfaces found.
Result<std::vector<Placed<Substrate>>> PrintedSubstrates(const Stage& stage,
                                                         const BuiltStage& built,
                                                         const std::vector<Surface>& surfaces);

}  // namespace wheatpaste

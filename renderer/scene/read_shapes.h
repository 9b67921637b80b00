// read_shapes.h - the keys of each shape of surface; used by read_surface.cc only.
//
// Each reads its own keys, notes every mistake, and says in `draft` whether placements may speak of mm.
#pragma once

#include "scene/scene_parts.h"

namespace wheatpaste {

void ReadPlane(TableReader& table, SurfaceDraft& draft);
void ReadCylinder(TableReader& table, SurfaceDraft& draft);
void ReadCone(TableReader& table, SurfaceDraft& draft);
void ReadBox(TableReader& table, SurfaceDraft& draft);
void ReadPatch(TableReader& table, SurfaceDraft& draft);
void ReadMesh(TableReader& table, const ScenePaths& paths, SurfaceDraft& draft);

// `size = [width, height]`, which may be left out.
void ReadFlatSize(TableReader& table, SurfaceDraft& draft);

}  // namespace wheatpaste

// read_finish.h - the finishes of a placement, [[placement.finish]], and the numbers of a finish's preset.
#pragma once

#include <vector>

#include "scene/finish.h"
#include "scene/scene_parts.h"
#include "scene/table_reader.h"

namespace wheatpaste {

inline constexpr size_t kMaxFinishes = 16;  // of one placement

// `kind`, and the numbers that this kind has: those of a preset, or of an inline table.
void ReadFinishNumbers(TableReader& table, Finish& finish);

// Every metal's name, in the order of Metal.
std::vector<std::string> MetalNames();

// The placement's finishes, in the file's order.
// draft  the placement's surface, where it is known: emboss and deboss need its size in mm.
std::vector<Finish> ReadFinishes(TableReader& placement, const SceneContext& context,
                                 const SurfaceDraft* draft);

}  // namespace wheatpaste

// read_obj.h - a mesh with its flat pattern from a Wavefront OBJ file.
//
// Read    lines v, vt and f; all others (normals, groups, materials, lines) are passed over. Polygons become
//         triangles. Indices count from 1, or back from the last line before when negative.
// Checks  every number and index is checked here first, and counted before memory is taken for it; the library
//         sees only lines written anew from what was checked. Triangles without area, in space or flat, are left
//         out with a warning, and are an error where they are more than kMostFlatShare of all.
// Source  Wavefront, Advanced Visualizer manual, appendix B1 (from memory); triangles by tinyobjloader 2.0.
#pragma once

#include <cstdint>
#include <string_view>

#include "base/error.h"
#include "geometry/mesh.h"

namespace wheatpaste {

inline constexpr int64_t kMaxObjBytes = int64_t{512} << 20;
inline constexpr int64_t kMaxObjTriangles = 2'000'000;
inline constexpr int64_t kMaxObjVertices = 4'000'000;  // and as many uv
inline constexpr int64_t kMaxFaceCorners = 256;
inline constexpr double kMaxObjCoordinate = 1e9;  // file units
inline constexpr double kMostFlatShare = 0.01;    // of the triangles

// path         with its place and key; errors stand there and name the file's own line in words.
// mm_per_unit  above 0.
// errors       the file cannot be read, is larger than the limits above, has a number or an index that is none,
//              has no face, a face without uv, uv outside the square 0 to 1, too many triangles without area.
Result<Mesh> ReadObj(const Placed<std::string>& path, double mm_per_unit);

// The same of a text already in memory.
Result<Mesh> ParseObj(std::string_view text, const Placed<std::string>& path, double mm_per_unit);

}  // namespace wheatpaste

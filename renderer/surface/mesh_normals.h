// mesh_normals.h - the normals of a mesh as of the smooth thing that it stands for.
//
// Model   at each corner of a triangle the mean, weighted by the angle there, of the normals of all triangles that meet in
//         that point and lean by no more than kSmoothDegrees from this one: curves shade smoothly, edges stay sharp.
//         Between the corners linear, made one long again. Vertices at the same place are one, however often the file
//         lists them (a seam of the flat pattern).
// Source  weights by angle: Thuermer, Wuethrich 1998, Journal of Graphics Tools 3(1), 43-46 (from memory); the limit is
//         a choice: a hexagonal column keeps its edges, an octagonal one counts as round.
#pragma once

#include <array>
#include <vector>

#include <Eigen/Core>

#include "geometry/mesh.h"

namespace wheatpaste {

inline constexpr double kSmoothDegrees = 50;

// Outward unit normals, object axes, of the corners of each triangle.
std::vector<std::array<Eigen::Vector3d, 3>> CornerNormals(const Mesh& mesh);

}  // namespace wheatpaste

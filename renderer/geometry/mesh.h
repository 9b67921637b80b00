// mesh.h - a triangle mesh with a flat pattern (uv): its islands and how long a mm is on it.
//
// Axes    object mm, the file's axes turned to the camera's: OBJ (x, y, z) stands at (x, -y, -z) mm_per_unit.
// Flat    u right, v up, as the file has them; surface mm x = u size.x, y = (1 - v) size.y.
// Front   the side from which a triangle's corners run counter-clockwise.
// Source  derived here; mesh_chart_test.cc and read_obj_test.cc check it against closed forms.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

struct Mesh {
  std::vector<Eigen::Vector3d> vertices;             // object mm
  std::vector<Eigen::Vector2d> uvs;                  // in the square 0 to 1
  std::vector<std::array<int32_t, 3>> triangles;     // indices into vertices
  std::vector<std::array<int32_t, 3>> uv_triangles;  // indices into uvs, corner by corner
  std::vector<int32_t> islands;                      // of each triangle, from 0
  int32_t island_count = 0;
  std::vector<std::string> warnings;  // plain words: what was left out
};

// Numbers the parts of the flat pattern that hang together by edges, in the order of their first triangle.
// Corners at the same vertex with the same uv are one, however often the file lists it.
void FindIslands(Mesh& mesh);

// Width and height in mm of the uv square by the mesh itself: how far it goes per u and per v, means over its
// area.
SurfaceMm SizeOfSquare(const Mesh& mesh);

// Root mean square, over the mesh's area, of how far lengths along u and along v differ from those of a uv
// square of `size`, as a share of it.
double StretchOf(const Mesh& mesh, const SurfaceMm& size);

// Islands whose flat pattern is mirrored: artwork on them would be, too.
int32_t CountMirrored(const Mesh& mesh);

}  // namespace wheatpaste

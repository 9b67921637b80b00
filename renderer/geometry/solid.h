// solid.h - a thing built of triangles, with what can be printed on it laid flat.
//
// Axes    object mm: right-handed, x right, y up, z towards whoever looks at its front. It stands on y = 0, its middle
//         at x = z = 0, where its maker does not say otherwise.
// Front   the side from which a triangle's corners run counter-clockwise; normals point there.
// Flat    charts are parts of the printed sheet that never overlap on it; a triangle's flat mm lie on that sheet (x right,
//         y down). A face is what people name and place artwork on: some charts, and its own upright mm.
//         A carton's sheet is its whole blank: "front" is one panel of it, turned upright; "flat" is all panels at once.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

struct SolidTriangle {
  std::array<int32_t, 3> vertices{};  // indices into Solid::vertices
  std::array<Eigen::Vector3d, 3>
      normals{};  // of each corner, unit: of the smooth thing that is meant
  std::array<Eigen::Vector2d, 3>
      texture_mm{};    // place on the material, mm, x right, y up: textures repeat over it
  int32_t chart = -1;  // -1: not to be printed on
  std::array<SurfaceMm, 3> sheet{};  // where it has a chart
  int32_t part = 0;                  // index into Solid::parts
};

struct SolidFace {
  std::string name;             // "front"; "" where the solid has only one
  std::vector<int32_t> charts;  // at least one
  // Face mm = sheet mm turned and moved; no mirror, no scale.
  Map<SurfaceMm, SurfaceMm> face_from_sheet;
  SurfaceMm low, high;  // bounds, face mm
  SurfaceMm centre;
  std::vector<SurfaceMm> outline;  // closed, face mm; empty: the rectangle of the bounds
};

struct Solid {
  std::vector<Eigen::Vector3d> vertices;
  std::vector<SolidTriangle> triangles;
  std::vector<SolidFace> faces;
  int32_t chart_count = 0;
  std::vector<std::string>
      parts;  // "body", "handle", ...: each may be of another material; at least one
  std::vector<std::string> warnings;  // plain words
};

}  // namespace wheatpaste

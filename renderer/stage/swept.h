// swept.h - round cords and threads along a path.
//
// Frames  carried along the path without turning about it (parallel transport; the rotation that takes one tangent to the next).
// Ends    are closed by half balls, so that every cord is closed.
#pragma once

#include <vector>

#include <Eigen/Core>

#include "stage/solid_builder.h"

namespace wheatpaste {

using Path = std::vector<Eigen::Vector3d>;

// path    at least two points, none twice in a row.
// sides   of its cross-section.
void AddCord(SolidBuilder& builder, const Path& path, double radius, int sides, int32_t part);

// A twisted cord: `strands` that wind about the path, together as thick as `radius`; `pitch` mm a turn.
void AddTwistedCord(SolidBuilder& builder, const Path& path, double radius, double pitch,
                    int strands, int32_t part);

// The path with points at equal steps of about `step` mm, smooth (uniform Catmull-Rom) between those given.
Path SmoothPath(const Path& given, double step);

// A frame for each point: columns are sideways, upwards, along; it begins with `sideways`.
std::vector<Eigen::Matrix3d> FramesAlong(const Path& path, const Eigen::Vector3d& sideways);

}  // namespace wheatpaste

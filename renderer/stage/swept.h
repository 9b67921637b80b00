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

// One stitch of thread: a spindle from a to b that stands off along `out` in its middle.
void AddStitch(SolidBuilder& builder, const Eigen::Vector3d& a, const Eigen::Vector3d& b,
               const Eigen::Vector3d& out, double radius, int32_t part);

// A seam of stitches along points on a surface with its unit normals.
struct SeamPoint {
  Eigen::Vector3d at, out;
};
void AddSeam(SolidBuilder& builder, const std::vector<SeamPoint>& line, double stitch, double gap,
             double radius, int32_t part);

// A band along a path: flat, its edges round. `across` unit, along its width; its front is across x along.
struct BandPoint {
  Eigen::Vector3d at, across, along;
  Eigen::Vector3d front() const { return across.cross(along); }
};
void AddBand(SolidBuilder& builder, const std::vector<BandPoint>& path, double width,
             double thickness, int32_t part);

// The path with points at equal steps of about `step` mm, smooth (uniform Catmull-Rom) between those given.
Path SmoothPath(const Path& given, double step);

// A frame for each point: columns are sideways, upwards, along; it begins with `sideways`.
std::vector<Eigen::Matrix3d> FramesAlong(const Path& path, const Eigen::Vector3d& sideways);

}  // namespace wheatpaste

// fitted_surface.h - a surface of the scene with its geometry solved: its faces, and how well they are known.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/pose.h"
#include "geometry/quad.h"
#include "surface/chart.h"

namespace wheatpaste {

// One standard deviation of a solved pose, from marks that are off by kMarkingErrorPx.
struct PoseUncertainty {
  Eigen::Vector3d rotation_rad = Eigen::Vector3d::Zero();    // about the camera's x, y, z
  Eigen::Vector3d translation_mm = Eigen::Vector3d::Zero();  // of the object's origin
};

// A length that was solved rather than given, such as "depth".
struct SolvedLength {
  std::string name;
  Estimate mm;
};

struct FittedSurface {
  std::vector<Face> faces;
  SurfaceMm size;                    // of the flat face; of a box: width and height
  std::array<double, 3> box_size{};  // of a box: width, height, depth, mm
  bool size_known = true;            // false: mm are proportions only
  Estimate aspect;                   // width / height of the flat face; sd 0 where known
  std::optional<Pose> pose;          // none where the marks fix none (a patch)
  std::optional<PoseUncertainty> pose_sd;
  std::vector<SolvedLength> solved_lengths;
  double residual_px = 0;  // root mean square distance of the marks
  std::vector<PhotoPx>
      corners;  // named points of the face as fitted, for the report: a plane's corners
  std::vector<std::string> warnings;  // plain words, without the surface's name
};

}  // namespace wheatpaste

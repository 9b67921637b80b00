// flat_face.h - the edges and creases of the flat area that a placement lies on.
//
// Units   mm of that area (composite/prepare_artwork.h, AreaOf).
// Kinds   trim: the sheet ends, or what was marked of a wall; crease: the edge of a box's face, towards whichever face;
//         seam: where a wrap meets itself. A mesh's flat square is no sheet: it has no edges here.
//         Faces of a strip share a crease; all other creases have nothing printed beyond them.
#pragma once

#include <vector>

#include <Eigen/Core>

#include "composite/prepare_artwork.h"

namespace wheatpaste {

enum class EdgeKind { kTrim, kCrease, kSeam };

struct FaceEdge {
  Eigen::Vector2d from, to;
  Eigen::Vector2d outward;  // of length 1, away from its own face
  EdgeKind kind = EdgeKind::kTrim;
  bool shared = false;  // the placement goes on beyond it
};

struct FlatFace {
  std::vector<std::vector<Eigen::Vector2d>> outlines;  // of each face in turn
  std::vector<FaceEdge> edges;                         // a shared one once

  bool Holds(const Eigen::Vector2d& point) const;
};

FlatFace LayFlat(const SolvedScene& solved, const Placement& placement);

// mm from `point` to the nearest point of the edge.
double DistanceTo(const FaceEdge& edge, const Eigen::Vector2d& point);

}  // namespace wheatpaste

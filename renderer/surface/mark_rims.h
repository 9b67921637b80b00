// mark_rims.h - what MarkRims (marked_shape.h) makes of a fit, for tests and tools.
//
// Fit     the six numbers of the pose hold a turn about the axis that no mark tells. It is fixed at the end by
//         definition: azimuth 0 faces the camera, that is, the object's z axis lies in the plane of the axis and
//         the camera, away from it.
#pragma once

#include "geometry/frustum.h"
#include "geometry/pose.h"
#include "scene/scene.h"
#include "surface/fitted_surface.h"
#include "surface/marked_shape.h"

namespace wheatpaste {

// Marks that miss the rims by more than this share of the object's pictured size contradict its dimensions:
// no hand marks so badly, and a height wrong by some tenth does as much. (Less is a warning, kPoorFitPx.)
inline constexpr double kContradictionShare = 0.03;

FrustumSize FrustumSizeOf(const RimMarks& rims);

// The pose turned about the object's y axis so that the camera stands at azimuth 0.
Pose FacingCamera(const Pose& pose);

// Of the pose, without the free turn about its axis.
PoseUncertainty RimPoseUncertainty(const ShapeFit& fit);

// The flat pattern with its origin where the shape's surface mm have it: the top left of a cylinder's wrap, the
// middle of a cone's sector.
FlatPattern PatternOf(const FrustumSize& size, Shape shape);

}  // namespace wheatpaste

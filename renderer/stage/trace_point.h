// trace_point.h - what a ray finds where it meets a triangle: place, normals, material, and where rays go on from.
//
// Normals blended between the corners (Phong 1975), leaned by bumps, on the side that the ray comes from. Where the ray's mirror image
//         would run into the triangle the normal is bent towards the ray until it just does not (idea: Keller et al. 2017, The Iray Light
//         Transport Simulation and Rendering System; formula derived here): no black seams, no light gained.
// Start   rays leave from the smooth surface that the corners' normals tell of, not from the flat triangle beneath it, else facets would
//         throw shadows on themselves where light grazes (Hanika 2021, Ray Tracing Gems II, 4), and a margin off it that covers the
//         rounding of single precision: kMargin times the size of the corners' coordinates (bound after Waechter, Binder 2019, Ray
//         Tracing Gems, 6; tests/stage/trace_rays_test.cc).
// Threads any.
#pragma once

#include <Eigen/Core>

#include "stage/material_look.h"
#include "stage/trace_rays.h"

namespace wheatpaste {

inline constexpr float kMargin = 1e-6f;

struct TracePoint {
  Eigen::Vector3f at;
  Eigen::Vector3f normal;        // unit
  Eigen::Vector3f above, below;  // starts of rays on the near side and on the far side
  MaterialPoint material;
};

// direction  unit, of the ray that met the triangle.
// soft       the material as MaterialLook::At has it, without bumps.
// printed    the material with its print, else the blank.
TracePoint FindPoint(const World& world, const TraceRays& rays, const MaterialLook& look,
                     const TraceHit& hit, const Eigen::Vector3f& direction, bool soft,
                     bool printed);

}  // namespace wheatpaste

// contact.h - a print as a sheet that lies on its surface: the shadow beside its edge, the edge itself, its wrinkles.
//
// Model   light comes from the unit vector l in surface axes (x right, y down, z out of the surface); s = l_xy / |l_xy|,
//         tan = |l_xy| / l_z, at most kMostTan. Of the light a share k = kDirectShare comes from around l, the rest from
//         everywhere. alpha is the artwork's, averaged under the pixel, c the share of the pixel that is the surface.
//           shadow  an extended light whose tangents are spread evenly from 0 to 2 tan is hidden from a point by what
//                   stands within 2 t tan of it towards the light (t the thickness):
//                       O(p) = mean of alpha(p + r s), 0 < r < 2 t tan
//                   So ground at distance d from a straight edge that faces away from the light loses k (1 - d / 2 t tan)
//                   of its light, and over all distances k t tan, whatever the size of the picture.
//                   The mean is taken by one ellipse of the same second moments: the pixel filter's, stretched along s.
//           edge    rounded over b = min(t, kMostEdgeMm) and leaning by 45 degrees, the edge that faces the light gets
//                   (1 + tan) / sqrt(2) of what the flat sheet gets; it is paper, so as bright as the ground:
//                       B(p) = max(0, alpha(p) - alpha(p + b s)),   gain g = k ((1 + tan) / sqrt(2) - 1)
//           wrinkle light on the sheet times 1 + f, f = -a slope . l_xy / l_z with |f| <= kMostWrinkle (wrinkle.h)
//         With L the light before the print and L' after it, G = (1 - c alpha) L the part of L' that went past it:
//             L'' = G - k O c (1 - alpha) L + (L' - G) (1 + f) + g B c L
//         All of it multiplies light of the photo, whose grain comes along.
// Source  derived here; tests/composite/contact_test.cc checks widths, sides and sums. kDirectShare is a choice: between
//         an overcast sky (none) and the sun (about 0.8).
// Threads pure functions.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "base/rect.h"
#include "geometry/coords.h"
#include "image/pyramid.h"
#include "ink/apply_ink.h"
#include "scene/scene.h"
#include "surface/map_row.h"

namespace wheatpaste {

inline constexpr double kDirectShare = 0.45;
inline constexpr double kMostTan = 4;
inline constexpr double kMostEdgeMm = 0.5;

// Where light comes from when nothing tells: from the upper left, 45 degrees from the surface's normal.
inline const Eigen::Vector3d kDefaultLightFrom{-0.5, -0.5, 0.70710678118654752};

// One placement on one chart, ready for its rows.
struct Contact {
  bool thick = false, wrinkled = false;
  // 2 t tan s and b s, in artwork px; towards the light.
  Eigen::Vector2d shadow = Eigen::Vector2d::Zero(), edge = Eigen::Vector2d::Zero();
  double gain = 0;  // g
  // f is `shading` . (slopes along the artwork's u and v); slopes px from artwork px.
  Eigen::Vector2d shading = Eigen::Vector2d::Zero();
  Eigen::Vector2d slopes_from_artwork = Eigen::Vector2d::Ones();
  // Of the raster that is looked up, in px of the whole artwork's.
  Eigen::Vector2d origin = Eigen::Vector2d::Zero();
  bool any() const { return thick || wrinkled; }
};

// How far from the artwork's edge its shadow falls, mm.
double ShadowReachMm(const Placement& placement, const Eigen::Vector3d& light_from);

// light_from   l; its z above 0.
// printed      the artwork's size, mm; `raster` and `slopes` the same in px of its raster and of its map of slopes.
Contact ContactOf(const Placement& placement, const Eigen::Vector3d& light_from,
                  const Map<ArtworkPx, SurfaceMm>& artwork_from_surface, const SurfaceMm& printed,
                  SizePx raster, SizePx slopes);

// A worker's room for one piece of a row.
struct ContactScratch {
  FootprintBuffer footprints;
  std::vector<float> shadow, edge, slope_u, slope_v;
  std::array<std::vector<float>, 3> before, unused;
};

struct ContactRow {
  int64_t count = 0;
  const float* alpha = nullptr;
  const float* seen = nullptr;  // c
  const float* before[3] = {};  // L
  float* light[3] = {};         // L' in, L'' out
  // O and alpha(p + b s) where thick; slopes where wrinkled.
  const float* shadow = nullptr;
  const float* edge = nullptr;
  const float* slope_u = nullptr;
  const float* slope_v = nullptr;
};

// Looks up what the row needs besides alpha and light: fills shadow to slope_v from `scratch`.
// footprints  of the artwork, as AverageEllipses takes them.
// slopes      read where wrinkled.
void LookUpContact(const Contact& contact, const Pyramid& artwork, const Pyramid* slopes,
                   const FootprintBuffer& footprints, ContactScratch& scratch, ContactRow& row);

// Keeps the light before the print, and takes from `print` what both share.
void KeepLight(const InkRow& print, ContactScratch& scratch, ContactRow& row);

void ApplyContact(const Contact& contact, const ContactRow& row);

// The share of light that pixel i's ground loses to the shadow, where the row is thick.
inline float ShadowAt(const ContactRow& row, int64_t i) {
  return static_cast<float>(kDirectShare) * row.shadow[i] * (1 - row.alpha[i]);
}
// Smaller ones are not worth encoding a pixel again.
inline constexpr float kLeastShadow = 1e-4f;

}  // namespace wheatpaste

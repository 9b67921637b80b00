// material_look.h - what material a world shows at a point of a triangle: textures, prints, bumps.
//
// Model   textures repeat, bilinear between pixels at their full size: samples of a pixel fall all over it, and so average what lies under it
//         (no halvings, no blur of their own). Colour times the material's albedo, roughness times its alpha. A normal picture's x and y,
//         times its strength, lean the normal along the texture's own x and y.
//         A print: albedo (1 - alpha) + artwork, on its front alone, bilinear, its edge pixels run to the rectangle's edge.
// Threads const objects; any thread. `world` outlives it.
#pragma once

#include <memory>
#include <vector>

#include <Eigen/Core>

#include "stage/material_lobes.h"
#include "stage/material_tables.h"
#include "stage/world.h"

namespace wheatpaste {

inline constexpr float kSoftAlpha = 0.2f;

class MaterialLook {
 public:
  explicit MaterialLook(const World& world);

  // Of a point of `triangle` with the shares of its corners.
  // soft     alpha no less than kSoftAlpha.
  // printed  with the print, else the blank.
  MaterialPoint At(const WorldTriangle& triangle, const Eigen::Vector3f& shares, bool front,
                   bool soft, bool printed) const;
  bool bumpy(const WorldTriangle& triangle) const {
    const auto& texture = world_.materials[static_cast<size_t>(triangle.material)].texture;
    return texture && texture->normal;
  }
  // edge1, edge2  from the triangle's first corner to the others.
  // normal        unit, of the triangle's front.
  // returns       the normal of the bumps, unit.
  Eigen::Vector3f Bump(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                       const Eigen::Vector3f& edge1, const Eigen::Vector3f& edge2,
                       const Eigen::Vector3f& normal) const;

 private:
  const World& world_;
  std::vector<Eigen::Matrix2f> periods_from_mm_;               // of each material's texture
  std::vector<std::shared_ptr<const MaterialTables>> tables_;  // of each material
  std::vector<std::shared_ptr<const MaterialTables>> soft_tables_;
};

}  // namespace wheatpaste

// material_look.h - what material a world shows at a point of a triangle: textures, prints, bumps.
//
// Model   textures repeat, bilinear between pixels at their full size: samples of a pixel fall all over it, and so average what lies under it
//         (no halvings, no blur of their own). Colour times the material's albedo, roughness times its alpha. A normal picture's x and y,
//         times its strength, lean the normal along the texture's own x and y.
//         A print: albedo (1 - alpha) + artwork, on its front alone, bilinear, its edge pixels run to the rectangle's edge.
// Threads const objects; any thread.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "stage/material_lobes.h"
#include "stage/material_tables.h"
#include "stage/texels.h"
#include "stage/world.h"

namespace wheatpaste {

inline constexpr float kSoftAlpha = 0.2f;
inline constexpr int kSoftSide = 128;  // px of a texture's shorter side, the least

class MaterialLook {
 public:
  explicit MaterialLook(const World& world);

  // Of a point of `triangle` with the shares of its corners.
  // soft     as light sees it that has scattered widely: alpha no less than kSoftAlpha, textures in means over blocks.
  //          (Who asks so leaves Bump out.)
  // printed  with the print, else the blank.
  MaterialPoint At(const WorldTriangle& triangle, const Eigen::Vector3f& shares, bool front,
                   bool soft, bool printed) const;
  // Asks memory for the textures that At and Bump read there.
  void Fetch(const WorldTriangle& triangle, const Eigen::Vector3f& shares, bool soft) const;
  bool bumpy(const WorldTriangle& triangle) const { return look_of(triangle).normal != nullptr; }
  // edge1, edge2  from the triangle's first corner to the others.
  // normal        unit, of the triangle's front.
  // returns       the normal of the bumps, unit.
  Eigen::Vector3f Bump(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                       const Eigen::Vector3f& edge1, const Eigen::Vector3f& edge2,
                       const Eigen::Vector3f& normal) const;

 private:
  struct Detail {
    std::shared_ptr<const Texels<4>> colour;
    std::shared_ptr<const Texels<1>> roughness;
    std::shared_ptr<const MaterialTables> tables;
  };
  // What is asked of a material, side by side.
  struct Look {
    WorldMaterialKind kind;
    Eigen::Array3f albedo;
    float coat, alpha, normal_strength = 1;
    Eigen::Matrix2f periods_from_mm;
    std::shared_ptr<const Texels<4>> normal;
    Detail sharp, soft;
  };
  struct Print {
    Texels<4> artwork;
    Eigen::Vector2f size_px, low_mm, whole_mm;
  };
  const Look& look_of(const WorldTriangle& triangle) const {
    return looks_[static_cast<size_t>(triangle.material)];
  }
  static const Detail& DetailOf(const Look& look, bool soft) {
    return soft ? look.soft : look.sharp;
  }

  std::vector<Look> looks_;                   // of each material
  std::vector<std::optional<Print>> prints_;  // of each chart; empty: none
};

}  // namespace wheatpaste

#include "stage/material_look.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

template <typename Vector>
Vector Blend(const std::array<Vector, 3>& corners, const Eigen::Vector3f& shares) {
  return shares[0] * corners[0] + shares[1] * corners[1] + shares[2] * corners[2];
}

Eigen::Matrix2f PeriodsFromMm(const std::optional<WorldTexture>& texture) {
  if (!texture) return Eigen::Matrix2f::Identity();
  const double c = std::cos(texture->turn_rad), s = std::sin(texture->turn_rad);
  Eigen::Matrix2d turn;
  turn << c, s, -s, c;
  return (texture->tile_mm.cwiseInverse().asDiagonal() * turn).cast<float>();
}

// Texels of pictures, of each picture once.
template <typename OfTexels>
class Kept {
 public:
  using Shared = std::shared_ptr<const OfTexels>;
  template <typename Picture>
  Shared Of(const std::shared_ptr<const Picture>& picture) {
    if (!picture) return nullptr;
    Shared& kept = of_[picture.get()];
    if (!kept) kept = std::make_shared<const OfTexels>(*picture);
    return kept;
  }
  template <typename Picture>
  void Take(const std::shared_ptr<const Picture>& picture, Shared& sharp, Shared& soft) {
    sharp = Of(picture);
    if (!sharp) return;
    Shared& kept = reduced_[picture.get()];
    if (!kept) kept = std::make_shared<const OfTexels>(sharp->Reduced(kSoftSide));
    soft = kept;
  }

 private:
  std::map<const void*, Shared> of_, reduced_;
};

}  // namespace

MaterialLook::MaterialLook(const World& world) {
  std::map<double, std::shared_ptr<const MaterialTables>> of_one;
  std::shared_ptr<const MaterialTables> of_many;
  const auto of = [&](double alpha) {
    auto& one = of_one[alpha];
    if (!one) one = std::make_shared<const MaterialTables>(alpha);
    return one;
  };
  Kept<Texels<4>> colours;
  Kept<Texels<1>> greys;
  for (const WorldMaterial& material : world.materials) {
    Look look;
    look.kind = material.kind;
    look.albedo =
        Eigen::Array3d(material.albedo.r, material.albedo.g, material.albedo.b).cast<float>();
    look.coat = static_cast<float>(material.coat);
    look.alpha = static_cast<float>(material.roughness);
    look.periods_from_mm = PeriodsFromMm(material.texture);
    if (material.texture) {
      colours.Take(material.texture->colour, look.sharp.colour, look.soft.colour);
      look.normal = colours.Of(material.texture->normal);
      greys.Take(material.texture->roughness, look.sharp.roughness, look.soft.roughness);
      look.normal_strength = static_cast<float>(material.texture->normal_strength);
    }
    const bool asks = material.kind == WorldMaterialKind::kMetal ||
                      (material.kind == WorldMaterialKind::kPaper && material.coat > 0);
    if (asks && look.sharp.roughness) {
      if (!of_many) of_many = std::make_shared<const MaterialTables>();
      look.sharp.tables = look.soft.tables = of_many;
    } else if (asks) {
      look.sharp.tables = of(material.roughness);
      look.soft.tables = of(std::max(material.roughness, double{kSoftAlpha}));
    }
    looks_.push_back(std::move(look));
  }
  for (const auto& print : world.prints) {
    prints_.emplace_back();
    if (!print) continue;
    const SizePx size = print->artwork->size();
    const Eigen::Vector2f low = print->low_mm.cast<float>(), high = print->high_mm.cast<float>();
    prints_.back() = {Texels<4>(*print->artwork),
                      {static_cast<float>(size.width), static_cast<float>(size.height)},
                      low,
                      high - low};
  }
}

void MaterialLook::Fetch(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                         bool soft) const {
  const Look& look = look_of(triangle);
  const Detail& detail = DetailOf(look, soft);
  const bool bump = look.normal && !soft;
  if (!detail.colour && !bump) return;
  const Eigen::Vector2f at = look.periods_from_mm * Blend(triangle.texture_mm, shares);
  if (detail.colour) detail.colour->Fetch(at);
  if (bump) look.normal->Fetch(at);
}

MaterialPoint MaterialLook::At(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                               bool front, bool soft, bool printed) const {
  const Look& look = look_of(triangle);
  MaterialPoint point;
  point.kind = look.kind;
  point.albedo = look.albedo;
  point.coat = look.coat;
  point.alpha = look.alpha;
  point.inside = !front;
  const Detail& detail = DetailOf(look, soft);
  point.tables = detail.tables.get();
  if (detail.colour || detail.roughness) {
    const Eigen::Vector2f at = look.periods_from_mm * Blend(triangle.texture_mm, shares);
    if (detail.colour) point.albedo *= detail.colour->Repeating(at).head<3>();
    if (detail.roughness) point.alpha *= detail.roughness->Repeating(at)[0];
  }
  if (soft) point.alpha = std::max(point.alpha, kSoftAlpha);
  if (printed && front && triangle.chart >= 0 &&
      static_cast<size_t>(triangle.chart) < prints_.size()) {
    if (const auto& print = prints_[static_cast<size_t>(triangle.chart)]) {
      const Eigen::Vector2f at = Blend(triangle.sheet_mm, shares) - print->low_mm;
      if ((at.array() >= 0).all() && (at.array() <= print->whole_mm.array()).all()) {
        const Eigen::Array4f ink =
            print->artwork.Clamped(at.cwiseQuotient(print->whole_mm).cwiseProduct(print->size_px));
        point.albedo = point.albedo * (1 - ink[3]) + ink.head<3>();
      }
    }
  }
  return point;
}

Eigen::Vector3f MaterialLook::Bump(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                                   const Eigen::Vector3f& edge1, const Eigen::Vector3f& edge2,
                                   const Eigen::Vector3f& normal) const {
  const Look& look = look_of(triangle);
  const Eigen::Matrix2f& periods_from_mm = look.periods_from_mm;
  const Eigen::Array4f bump =
      look.normal->Repeating(periods_from_mm * Blend(triangle.texture_mm, shares));
  // Directions on the surface along which the texture's own x and y grow.
  const auto& mm = triangle.texture_mm;
  const Eigen::Vector2f a = periods_from_mm * (mm[1] - mm[0]);
  const Eigen::Vector2f b = periods_from_mm * (mm[2] - mm[0]);
  const float area = a.x() * b.y() - a.y() * b.x();
  if (area == 0) return normal;
  Eigen::Vector3f x = (b.y() * edge1 - a.y() * edge2) / area;
  Eigen::Vector3f y = (a.x() * edge2 - b.x() * edge1) / area;
  x = (x - normal.dot(x) * normal).normalized();
  y = (y - normal.dot(y) * normal).normalized();
  return (look.normal_strength * (bump[0] * x + bump[1] * y) + std::max(bump[2], 0.01f) * normal)
      .normalized();
}

}  // namespace wheatpaste

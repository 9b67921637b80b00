#include "stage/material_look.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

// Pixels around a place and their shares.
struct Around {
  int64_t x0, x1, y0, y1;
  float tx, ty;
  float Of(const float* above, const float* below) const {
    return (1 - ty) * ((1 - tx) * above[x0] + tx * above[x1]) +
           ty * ((1 - tx) * below[x0] + tx * below[x1]);
  }
  template <typename Colour>
  Eigen::Array<float, Colour::kPlanes, 1> In(const Image<Colour>& picture) const {
    Eigen::Array<float, Colour::kPlanes, 1> value;
    for (int c = 0; c < Colour::kPlanes; ++c) value[c] = Of(picture.row(c, y0), picture.row(c, y1));
    return value;
  }
};

// Part of a period, [0, 1).
float Part(float x) {
  const float part = x - std::floor(x);
  return part < 1 ? part : 0;
}

// at  in periods, y up.
Around Repeating(SizePx size, const Eigen::Vector2f& at) {
  const float x = Part(at.x()) * static_cast<float>(size.width) - 0.5f;
  const float y = (1 - Part(at.y())) * static_cast<float>(size.height) - 0.5f;
  const float fx = std::floor(x), fy = std::floor(y);
  const auto wrap = [](int64_t i, int64_t n) { return i < 0 ? i + n : i >= n ? i - n : i; };
  const auto i = static_cast<int64_t>(fx), j = static_cast<int64_t>(fy);
  return {wrap(i, size.width),
          wrap(i + 1, size.width),
          wrap(j, size.height),
          wrap(j + 1, size.height),
          x - fx,
          y - fy};
}

// at  in px.
Around Clamped(SizePx size, const Eigen::Vector2f& at) {
  const float x = at.x() - 0.5f, y = at.y() - 0.5f, fx = std::floor(x), fy = std::floor(y);
  const auto within = [](float i, int64_t n) {
    return std::clamp<int64_t>(static_cast<int64_t>(i), 0, n - 1);
  };
  return {within(fx, size.width),
          within(fx + 1, size.width),
          within(fy, size.height),
          within(fy + 1, size.height),
          x - fx,
          y - fy};
}

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

}  // namespace

MaterialLook::MaterialLook(const World& world) : world_(world) {
  std::map<double, std::shared_ptr<const MaterialTables>> of_one;
  std::shared_ptr<const MaterialTables> of_many;
  const auto of = [&](double alpha) {
    auto& one = of_one[alpha];
    if (!one) one = std::make_shared<const MaterialTables>(alpha);
    return one;
  };
  for (const WorldMaterial& material : world.materials) {
    std::shared_ptr<const MaterialTables> tables, soft;
    const bool asks = material.kind == WorldMaterialKind::kMetal ||
                      (material.kind == WorldMaterialKind::kPaper && material.coat > 0);
    if (asks && material.texture && material.texture->roughness) {
      if (!of_many) of_many = std::make_shared<const MaterialTables>();
      tables = soft = of_many;
    } else if (asks) {
      tables = of(material.roughness);
      soft = of(std::max(material.roughness, double{kSoftAlpha}));
    }
    periods_from_mm_.push_back(PeriodsFromMm(material.texture));
    tables_.push_back(std::move(tables));
    soft_tables_.push_back(std::move(soft));
  }
}

MaterialPoint MaterialLook::At(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                               bool front, bool soft, bool printed) const {
  const auto index = static_cast<size_t>(triangle.material);
  const WorldMaterial& material = world_.materials[index];
  MaterialPoint point;
  point.kind = material.kind;
  point.albedo =
      Eigen::Array3d(material.albedo.r, material.albedo.g, material.albedo.b).cast<float>();
  point.coat = static_cast<float>(material.coat);
  point.alpha = static_cast<float>(material.roughness);
  point.inside = !front;
  point.tables = (soft ? soft_tables_ : tables_)[index].get();
  if (material.texture && (material.texture->colour || material.texture->roughness)) {
    const Eigen::Vector2f at = periods_from_mm_[index] * Blend(triangle.texture_mm, shares);
    if (const auto& colour = material.texture->colour) {
      point.albedo *= Repeating(colour->size(), at).In(*colour);
    }
    if (const auto& roughness = material.texture->roughness) {
      point.alpha *= Repeating(roughness->size(), at).In(*roughness)[0];
    }
  }
  if (soft) point.alpha = std::max(point.alpha, kSoftAlpha);
  if (printed && front && triangle.chart >= 0 &&
      static_cast<size_t>(triangle.chart) < world_.prints.size()) {
    const auto& print = world_.prints[static_cast<size_t>(triangle.chart)];
    if (print) {
      const Eigen::Vector2f low = print->low_mm.cast<float>(), high = print->high_mm.cast<float>();
      const Eigen::Vector2f at = Blend(triangle.sheet_mm, shares) - low, whole = high - low;
      if ((at.array() >= 0).all() && (at.array() <= whole.array()).all()) {
        const SizePx size = print->artwork->size();
        const Eigen::Vector2f px(at.x() / whole.x() * static_cast<float>(size.width),
                                 at.y() / whole.y() * static_cast<float>(size.height));
        const Eigen::Array4f ink = Clamped(size, px).In(*print->artwork);
        point.albedo = point.albedo * (1 - ink[3]) + ink.head<3>();
      }
    }
  }
  return point;
}

Eigen::Vector3f MaterialLook::Bump(const WorldTriangle& triangle, const Eigen::Vector3f& shares,
                                   const Eigen::Vector3f& edge1, const Eigen::Vector3f& edge2,
                                   const Eigen::Vector3f& normal) const {
  const auto index = static_cast<size_t>(triangle.material);
  const WorldTexture& texture = *world_.materials[index].texture;
  const Eigen::Matrix2f& periods_from_mm = periods_from_mm_[index];
  const Eigen::Vector2f at = periods_from_mm * Blend(triangle.texture_mm, shares);
  const Eigen::Array3f bump = Repeating(texture.normal->size(), at).In(*texture.normal);
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
  const auto strength = static_cast<float>(texture.normal_strength);
  return (strength * (bump[0] * x + bump[1] * y) + std::max(bump[2], 0.01f) * normal).normalized();
}

}  // namespace wheatpaste

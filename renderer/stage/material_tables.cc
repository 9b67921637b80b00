#include "stage/material_tables.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "ink/ggx.h"

namespace wheatpaste {
namespace {

constexpr size_t kCosines = 64;
// Alphas of many: square of even steps, as facets change most among the smooth.
constexpr size_t kAlphas = 24;

double AlphaOf(size_t row) {
  const double t = static_cast<double>(row) / (kAlphas - 1);
  return std::max(double{kLeastAlpha}, t * t);
}

}  // namespace

MaterialTables::MaterialTables(double alpha) {
  Resize(1);
  Fill(0, std::clamp(alpha, double{kLeastAlpha}, 1.0));
}

MaterialTables::MaterialTables() {
  Resize(kAlphas);
  ParallelFor(kAlphas,
              [&](int64_t i) { Fill(static_cast<size_t>(i), AlphaOf(static_cast<size_t>(i))); });
}

void MaterialTables::Resize(size_t rows) {
  rows_ = rows;
  one_.resize(rows * kCosines);
  coat_.resize(rows * kCosines);
  one_mean_.resize(rows);
  coat_mean_.resize(rows);
}

void MaterialTables::Fill(size_t row, double alpha) {
  const FacetAlbedoTable table(alpha);
  double one = 0, coat = 0;
  for (size_t k = 0; k < kCosines; ++k) {
    const double cosine = (static_cast<double>(k) + 0.5) / kCosines;
    const FacetAlbedo of = table.At(cosine);
    const double whole = std::min(1.0, of.one);
    const double share = kCoatF0 * whole + (1 - kCoatF0) * of.schlick;
    one_[row * kCosines + k] = static_cast<float>(whole);
    coat_[row * kCosines + k] = static_cast<float>(share);
    one += 2 * cosine * whole / kCosines;
    coat += 2 * cosine * share / kCosines;
  }
  one_mean_[row] = static_cast<float>(one);
  coat_mean_[row] = static_cast<float>(coat);
}

float MaterialTables::At(const std::vector<float>& values, float cosine, float alpha) const {
  const float at = std::clamp(cosine * kCosines - 0.5f, 0.0f, static_cast<float>(kCosines - 1));
  const size_t k = std::min(static_cast<size_t>(at), kCosines - 2);
  const float t = at - static_cast<float>(k);
  const auto of = [&](size_t row) {
    const float* v = &values[row * kCosines + k];
    return v[0] + t * (v[1] - v[0]);
  };
  if (rows_ == 1) return of(0);
  const float line = std::sqrt(std::clamp(alpha, 0.0f, 1.0f)) * static_cast<float>(kAlphas - 1);
  const size_t row = std::min(static_cast<size_t>(line), kAlphas - 2);
  const float s = line - static_cast<float>(row);
  return (1 - s) * of(row) + s * of(row + 1);
}

float MaterialTables::At(const std::vector<float>& means, float alpha) const {
  if (rows_ == 1) return means[0];
  const float line = std::sqrt(std::clamp(alpha, 0.0f, 1.0f)) * static_cast<float>(kAlphas - 1);
  const size_t row = std::min(static_cast<size_t>(line), kAlphas - 2);
  const float s = line - static_cast<float>(row);
  return (1 - s) * means[row] + s * means[row + 1];
}

}  // namespace wheatpaste

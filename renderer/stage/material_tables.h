// material_tables.h - what share of even light facets send straight back, for one roughness or for all.
//
// Model   ink/ggx.h: `one` of a perfect mirror's facets, `coat` of a dielectric's, F0 one + (1 - F0) schlick with F0 = 0.04 (refractive
//         index 1.5); straight between 64 cosines, and between alphas where there are many. `mean` = 2 integral value mu.
// Threads const objects; any thread.
#pragma once

#include <vector>

namespace wheatpaste {

// Facets count as no smoother.
inline constexpr float kLeastAlpha = 0.002f;
inline constexpr float kCoatF0 = 0.04f;

class MaterialTables {
 public:
  // Of one alpha.
  explicit MaterialTables(double alpha);
  // Of alphas from kLeastAlpha to 1.
  MaterialTables();

  float One(float cosine, float alpha) const { return At(one_, cosine, alpha); }
  float Coat(float cosine, float alpha) const { return At(coat_, cosine, alpha); }
  float MeanOne(float alpha) const { return At(one_mean_, alpha); }
  float MeanCoat(float alpha) const { return At(coat_mean_, alpha); }

 private:
  void Fill(size_t row, double alpha);
  void Resize(size_t rows);
  float At(const std::vector<float>& values, float cosine, float alpha) const;
  float At(const std::vector<float>& means, float alpha) const;
  size_t rows_ = 1;
  std::vector<float> one_, coat_, one_mean_, coat_mean_;
};

}  // namespace wheatpaste

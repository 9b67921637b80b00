// ggx.h - a rough mirror: how its facets lie, hide each other and lose light.
//
// Model   facets of slope variance alpha^2: with h the half vector's normal, o and i the ways out and in,
//           D(h) = alpha^2 / (pi (h_z^2 (alpha^2 - 1) + 1)^2)
//           Lambda(o) = (sqrt(1 + alpha^2 tan^2 o) - 1) / 2,  G1 = 1 / (1 + Lambda),  G2 = 1 / (1 + Lambda(o) + Lambda(i))
//           f = F(o . h) D(h) G2 / (4 o_z i_z)
//         What of even light comes back straight from one facet, where every facet returns F = F0 + (1 - F0) (1 - o . h)^5:
//           A(o) = F0 (one - schlick) + schlick
//         The rest, 1 - one, is mirrored again between facets and leaves nearly evenly, coloured by
//           F_again = F_mean^2 mean / (1 - F_mean (1 - mean)),   F_mean = F0 + (1 - F0) / 21,  mean = 2 integral one(o) o_z
// Range   alpha above 0 to 1; all cosines above 0 to 1.
// Source  Walter, Marschner, Li, Torrance 2007, EGSR, 195-206 (D, G1); Heitz 2014, JCGT 3(2), 48-107 (G2); Kulla, Conty 2017,
//         SIGGRAPH course Physically Based Shading (light mirrored again; its share that depends on the way in is taken at its
//         mean). Integrals: derived here; tests/ink/ggx_test.cc.
#pragma once

#include <vector>

namespace wheatpaste {

double FacetDensity(double h_z, double alpha);             // D
double FacetShadow(double o_z, double alpha);              // G1
double FacetShadow(double o_z, double i_z, double alpha);  // G2

struct FacetAlbedo {
  double one = 1;      // with F = 1
  double schlick = 0;  // with F = (1 - o . h)^5
};

// By quadrature, about 1e-4.
FacetAlbedo FacetAlbedoOf(double o_z, double alpha);

// The same from a table of one alpha; straight between its entries.
class FacetAlbedoTable {
 public:
  explicit FacetAlbedoTable(double alpha);
  FacetAlbedo At(double o_z) const;
  double mean() const { return mean_; }

 private:
  std::vector<FacetAlbedo> entries_;
  double mean_ = 1;
};

// F_again.
double MirroredAgain(double f0, double mean);

}  // namespace wheatpaste

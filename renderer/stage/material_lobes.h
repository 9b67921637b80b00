// material_lobes.h - how a point of a material scatters light, and directions drawn accordingly.
//
// Model   local axes: z the shading normal, on the side of o, the way to where the light goes; i the way to where it comes from. D, G1, G2: ink/ggx.h.
//         paper   diffuse  A / pi T,  T = (1 - E(o)) (1 - E(i)) / (1 - E_mean): linear in A; coat  c F D G2 / (4 o_z i_z) with
//                 F = F0 + (1 - F0) (1 - o . h)^5, F0 = 0.04; E = c times the coat's own share of even light. A = 1 returns all light.
//         metal   F D G2 / (4 o_z i_z), F from F0 = A likewise, and what is mirrored again between facets
//                 F_again (1 - one(o)) (1 - one(i)) / (pi (1 - one_mean)),  F_again of ink/ggx.h in each band. F0 = 1 returns all light.
//         glass   refractive index 1.5, exact Fresnel F; mirrored F D G2 / (4 o_z i_z), through
//                 n^2 |o . h| |i . h| (1 - F) D G1(o) G1(i) / (o_z |i_z| (o . h + n i . h)^2),  n = index on i's side over that on o's. Below
//                 kSmoothAlpha a plain pane: one way mirrored, one way through. Light is carried as radiance over index squared, which
//                 narrowing leaves as it is.
// Drawn   facets by what o sees of them (visible normals), diffuse by cosine; one lobe by chance, whose shares never hang on A, the
//         density is that of all lobes together.
// Source  Walter, Marschner, Li, Torrance 2007, EGSR (glass); Kulla, Conty 2017 (both couplings); Heitz 2018, JCGT 7(4), 1-13, and Dupuy,
//         Benyoub 2023, EGSR (visible normals as a cap of the sphere).
// Threads const objects; any thread.
#pragma once

#include <Eigen/Core>

#include "stage/material_tables.h"
#include "stage/sampler.h"
#include "stage/world.h"

namespace wheatpaste {

inline constexpr float kSmoothAlpha = 0.01f;  // of glass
inline constexpr float kGlassIndex = 1.5f;

// What goes from i to o, times the cosine |i_z|.
struct Scatter {
  float diffuse = 0;  // over A
  Eigen::Array3f mirrored = Eigen::Array3f::Zero();
  float density = 0;  // per solid angle, of drawing i; 0: nothing goes that way
};

struct ScatterDraw {
  Eigen::Vector3f in;
  Scatter scatter;
  bool certain =
      false;  // one direction alone: scatter is over density already, no light is drawn that way
};

// At one point.
struct MaterialPoint {
  WorldMaterialKind kind = WorldMaterialKind::kPaper;
  Eigen::Array3f albedo;
  float coat = 0;
  float alpha = 0.5f;
  bool inside = false;  // of glass: o lies in it
  const MaterialTables* tables = nullptr;
};

class Lobes {
 public:
  // out  unit, z above 0.
  Lobes(const MaterialPoint& point, const Eigen::Vector3f& out);

  Scatter At(const Eigen::Vector3f& in) const;
  // choice, numbers  in [0, 1).  density 0: light ends there.
  ScatterDraw Draw(float choice, Pair numbers) const;
  // Lights may be drawn: no plain pane.
  bool rough() const {
    return point_.kind != WorldMaterialKind::kGlass || point_.alpha >= kSmoothAlpha;
  }

 private:
  Scatter PaperAt(const Eigen::Vector3f& in) const;
  Scatter MetalAt(const Eigen::Vector3f& in) const;
  Scatter GlassAt(const Eigen::Vector3f& in) const;
  ScatterDraw DrawGlass(float choice, Pair numbers) const;
  Eigen::Vector3f DrawFacet(Pair numbers) const;

  MaterialPoint point_;
  Eigen::Vector3f out_;
  float facets_ = 0;      // share of draws that go by facets
  float kept_ = 1;        // paper: (1 - E(o)) / (1 - E_mean)
  Eigen::Array3f again_;  // metal: F_again (1 - one(o)) / (1 - one_mean)
  float ratio_ = 1;       // glass: n
};

}  // namespace wheatpaste

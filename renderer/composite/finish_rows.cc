#include "composite/finish_rows.h"

#include <algorithm>
#include <cmath>

#include "image/elliptical_average.h"

namespace wheatpaste {
namespace {

void LookUpPlanes(const PreparedFinishes& finishes, const FootprintBuffer& footprints,
                  FinishScratch& scratch) {
  const FootprintBuffer* at = &footprints;
  if (finishes.margin_px != Eigen::Vector2d::Zero()) {
    scratch.footprints = footprints;
    for (float& u : scratch.footprints.u) u += static_cast<float>(finishes.margin_px.x());
    for (float& v : scratch.footprints.v) v += static_cast<float>(finishes.margin_px.y());
    at = &scratch.footprints;
  }
  scratch.planes.resize(finishes.planes.size());
  for (size_t k = 0; k < finishes.planes.size(); ++k) {
    auto& planes = scratch.planes[k];
    for (auto& plane : planes) plane.resize(footprints.u.size());
    AverageEllipses(*finishes.planes[k], at->row(),
                    {planes[0].data(), planes[1].data(), planes[2].data(), planes[3].data()});
  }
}

// One pixel's light, and what it is made from.
struct Pixel {
  double seen = 0;
  std::array<double, 3> light{}, mirrored{}, level{};
  bool gloss_known = false;
};

class RowFinisher {
 public:
  RowFinisher(const PreparedFinishes& finishes, const FaceLight& face,
              const FootprintBuffer& footprints, const FinishRow& row, const FinishScratch& scratch)
      : finishes_(finishes), face_(face), at_(footprints), row_(row), scratch_(scratch) {}

  // True where light changed. ray  as RayOf.
  bool Finish(size_t i, const Eigen::Vector3d& ray) const {
    const InkRow& print = *row_.print;
    const double seen = double{print.seen[i]};
    if (!(seen > 0) || !Covers(i)) return false;
    const Eigen::Vector3d flat(row_.normals[0][i], row_.normals[1][i], row_.normals[2][i]);
    const double diffuse = face_.surroundings.Diffuse(flat);
    if (!(diffuse > 0)) return false;
    MirrorView view = face_.ViewOf(flat, ray);
    double change = 0;
    const double slope_u = Slope(0, i), slope_v = Slope(1, i);
    std::array<double, 3> light{}, before{};
    for (size_t k = 0; k < 3; ++k) before[k] = light[k] = double{print.light[k][i]};
    if (slope_u != 0 || slope_v != 0) {
      Eigen::Matrix2d step;
      step << double{at_.du_dx[i]}, double{at_.du_dy[i]}, double{at_.dv_dx[i]},
          double{at_.dv_dy[i]};
      const FaceTangents along = TangentsOf(flat, ray, step);
      view.normal = (flat - slope_u * along.a - slope_v * along.b).normalized();
      const double brighter = seen * (face_.surroundings.Diffuse(view.normal) / diffuse - 1);
      for (size_t k = 0; k < 3; ++k) light[k] += brighter * (light[k] - MirroredAt(k, i, light[k]));
    }
    for (const PreparedCoat& coat : finishes_.coats) {
      const double m = seen * Coverage(coat, i);
      if (m > 0) Lay(coat, m, view, diffuse, i, light);
    }
    for (size_t k = 0; k < 3; ++k) {
      change = std::max(change, std::abs(light[k] - before[k]));
      print.light[k][i] = static_cast<float>(light[k]);
    }
    return change > kLeastFinish;
  }

 private:
  double Slope(size_t plane, size_t i) const {
    return finishes_.slopes ? double{scratch_.planes[0][plane][i]} : 0.0;
  }
  double Coverage(const PreparedCoat& coat, size_t i) const {
    if (!coat.plane) return double{row_.print->alpha[i]};
    return double{scratch_.planes[*coat.plane / 4][*coat.plane % 4][i]};
  }
  bool Covers(size_t i) const {
    if (Slope(0, i) != 0 || Slope(1, i) != 0) return true;
    return std::any_of(finishes_.coats.begin(), finishes_.coats.end(),
                       [&](const PreparedCoat& coat) { return Coverage(coat, i) > 0; });
  }
  double MirroredAt(size_t k, size_t i, double light) const {
    const float* gloss = row_.print->gloss[k];
    return gloss != nullptr ? std::min(light, double{gloss[i]}) : 0.0;
  }

  // Light of one coat over what is there.
  void Lay(const PreparedCoat& coat, double m, const MirrorView& view, double diffuse, size_t i,
           std::array<double, 3>& light) const {
    const InkRow& print = *row_.print;
    std::array<double, 3> mirrored{};
    if (coat.foil) {
      mirrored = coat.foil->Mirrored(face_.surroundings, view);
    } else if (print.gloss[0] == nullptr && coat.finish.gloss > 1) {
      mirrored.fill(VarnishGlint(coat.finish.roughness, face_.surroundings, view));
    }
    for (size_t k = 0; k < 3; ++k) {
      const double own = mirrored[k] * double{print.irradiance[k][i]} / diffuse;
      if (!coat.foil) {
        light[k] += m * ((coat.finish.gloss - 1) * MirroredAt(k, i, light[k]) + own);
        continue;
      }
      const double under = light[k];
      light[k] = (1 - m) * under + m * own;
      if (const float* table = print.noise_variance[k]) {
        light[k] +=
            MissingNoise(NoiseVariance(table, light[k]), NoiseVariance(table, under), 1 - m) *
            double{print.noise[k][i]};
      }
    }
  }

  const PreparedFinishes& finishes_;
  const FaceLight& face_;
  const FootprintBuffer& at_;
  const FinishRow& row_;
  const FinishScratch& scratch_;
};

}  // namespace

void ApplyFinishes(const PreparedFinishes& finishes, const FaceLight& face, const Frame& frame,
                   const Camera& camera, const FootprintBuffer& footprints, const FinishRow& row,
                   FinishScratch& scratch, uint8_t* touched) {
  LookUpPlanes(finishes, footprints, scratch);
  const RowFinisher finisher(finishes, face, footprints, row, scratch);
  for (int64_t i = 0; i < row.print->count; ++i) {
    const Eigen::Vector3d ray =
        RayOf(frame, camera, {row.first.x + static_cast<double>(i), row.first.y});
    if (finisher.Finish(static_cast<size_t>(i), ray)) touched[i] = 1;
  }
}

}  // namespace wheatpaste

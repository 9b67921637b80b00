#include "surface/map_row.h"

namespace wheatpaste {

void FootprintBuffer::Resize(int64_t count) {
  for (auto* values : {&u, &v, &du_dx, &du_dy, &dv_dx, &dv_dy}) {
    values->resize(static_cast<size_t>(count));
  }
}

FootprintRow FootprintBuffer::row() const {
  return {static_cast<int64_t>(u.size()),
          u.data(),
          v.data(),
          du_dx.data(),
          du_dy.data(),
          dv_dx.data(),
          dv_dy.data()};
}

void MapPlaneRow(const Map<ArtworkPx, OutputPx>& artwork_from_output, int64_t y, int64_t x0,
                 int64_t x1, FootprintBuffer& buffer) {
  buffer.Resize(x1 - x0);
  const Eigen::Matrix3d& h = artwork_from_output.matrix();
  const double h00 = h(0, 0), h10 = h(1, 0), h20 = h(2, 0);
  const double h01 = h(0, 1), h11 = h(1, 1), h21 = h(2, 1);
  const double yc = static_cast<double>(y) + 0.5, xc = static_cast<double>(x0) + 0.5;
  // Positions in double precision; what is stored afterwards are differences small enough for floats.
  const double a = h00 * xc + h01 * yc + h(0, 2);
  const double b = h10 * xc + h11 * yc + h(1, 2);
  const double c = h20 * xc + h21 * yc + h(2, 2);
  float* const u = buffer.u.data();
  float* const v = buffer.v.data();
  float* const ux = buffer.du_dx.data();
  float* const uy = buffer.du_dy.data();
  float* const vx = buffer.dv_dx.data();
  float* const vy = buffer.dv_dy.data();
  const auto count = static_cast<int32_t>(x1 - x0);
  for (int32_t i = 0; i < count; ++i) {
    const double w = 1 / (c + i * h20);
    const double pu = (a + i * h00) * w, pv = (b + i * h10) * w;
    u[i] = static_cast<float>(pu);
    v[i] = static_cast<float>(pv);
    ux[i] = static_cast<float>((h00 - pu * h20) * w);
    uy[i] = static_cast<float>((h01 - pu * h21) * w);
    vx[i] = static_cast<float>((h10 - pv * h20) * w);
    vy[i] = static_cast<float>((h11 - pv * h21) * w);
  }
}

}  // namespace wheatpaste

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

void WidenFootprints(const std::vector<float>& factor, FootprintBuffer& buffer) {
  for (auto* change : {&buffer.du_dx, &buffer.du_dy, &buffer.dv_dx, &buffer.dv_dy}) {
    for (size_t i = 0; i < change->size(); ++i) (*change)[i] *= factor[i];
  }
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

void MapStoredRow(const ChartPicture& picture,
                  const Map<ArtworkPx, SurfaceMm>& artwork_from_surface, int64_t y, int64_t x0,
                  int64_t x1, FootprintBuffer& buffer) {
  buffer.Resize(x1 - x0);
  const Eigen::Matrix3d h = artwork_from_surface.matrix() / artwork_from_surface.matrix()(2, 2);
  const double xx = h(0, 0), xy = h(0, 1), x = h(0, 2), yx = h(1, 0), yy = h(1, 1), v0 = h(1, 2);
  const auto fxx = static_cast<float>(xx), fxy = static_cast<float>(xy);
  const auto fyx = static_cast<float>(yx), fyy = static_cast<float>(yy);
  const auto plane = [&](int k) {
    return picture.mm.row(k, y - picture.region.y0) + (x0 - picture.region.x0);
  };
  const float *mx = plane(0), *my = plane(1);
  const float *xx_mm = plane(2), *xy_mm = plane(3), *yx_mm = plane(4), *yy_mm = plane(5);
  const auto count = static_cast<int32_t>(x1 - x0);
  float* const u = buffer.u.data();
  float* const v = buffer.v.data();
  float* const ux = buffer.du_dx.data();
  float* const uy = buffer.du_dy.data();
  float* const vx = buffer.dv_dx.data();
  float* const vy = buffer.dv_dy.data();
  for (int32_t i = 0; i < count; ++i) {
    const double px = mx[i], py = my[i];
    u[i] = static_cast<float>(xx * px + xy * py + x);
    v[i] = static_cast<float>(yx * px + yy * py + v0);
    ux[i] = fxx * xx_mm[i] + fxy * yx_mm[i];
    uy[i] = fxx * xy_mm[i] + fxy * yy_mm[i];
    vx[i] = fyx * xx_mm[i] + fyy * yx_mm[i];
    vy[i] = fyx * xy_mm[i] + fyy * yy_mm[i];
  }
}

}  // namespace wheatpaste

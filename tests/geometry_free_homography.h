// geometry_free_homography.h - the plane-to-plane map of four point pairs by plain elimination, so that
// tests of layers below geometry/ need not link it, and geometry/ has something to be compared with.
#pragma once

#include <array>

#include <Eigen/Dense>

namespace wheatpaste::test {

using Quad = std::array<std::array<double, 2>, 4>;

// Maps from[i] to to[i]; the last element is 1.
inline Eigen::Matrix3d HomographyFromQuad(const Quad& from, const Quad& to) {
  Eigen::Matrix<double, 8, 8> a = Eigen::Matrix<double, 8, 8>::Zero();
  Eigen::Matrix<double, 8, 1> b;
  for (int i = 0; i < 4; ++i) {
    const auto [x, y] = from[static_cast<size_t>(i)];
    const auto [u, v] = to[static_cast<size_t>(i)];
    a.row(2 * i) << x, y, 1, 0, 0, 0, -u * x, -u * y;
    a.row(2 * i + 1) << 0, 0, 0, x, y, 1, -v * x, -v * y;
    b(2 * i) = u;
    b(2 * i + 1) = v;
  }
  const Eigen::Matrix<double, 8, 1> h = a.fullPivLu().solve(b);
  Eigen::Matrix3d result;
  result << h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), 1;
  return result;
}

}  // namespace wheatpaste::test

#include "colour/matrix.h"

#include <cmath>
#include <cstddef>

namespace wheatpaste {

Matrix3 Multiply(const Matrix3& a, const Matrix3& b) {
  Matrix3 product{};
  for (size_t i = 0; i < 3; ++i) {
    for (size_t j = 0; j < 3; ++j) {
      for (size_t k = 0; k < 3; ++k) product[i][j] += a[i][k] * b[k][j];
    }
  }
  return product;
}

bool Invert(const Matrix3& m, Matrix3* inverse) {
  const auto minor = [&m](size_t r, size_t c) {
    const size_t r1 = (r + 1) % 3, r2 = (r + 2) % 3, c1 = (c + 1) % 3, c2 = (c + 2) % 3;
    return m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1];
  };
  const double det = m[0][0] * minor(0, 0) + m[0][1] * minor(0, 1) + m[0][2] * minor(0, 2);
  if (!(std::abs(det) > 1e-6)) return false;
  for (size_t i = 0; i < 3; ++i) {
    for (size_t j = 0; j < 3; ++j) (*inverse)[j][i] = minor(i, j) / det;
  }
  return true;
}

}  // namespace wheatpaste

#include "geometry/conic.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>

#include <Eigen/Eigenvalues>
#include <Eigen/LU>

#include "geometry/decompose.h"

namespace wheatpaste {
namespace {

using Complex = std::complex<double>;

// Coefficients by rising powers.
template <size_t N>
using Polynomial = std::array<double, N>;

template <size_t N, size_t M>
Polynomial<N + M - 1> operator*(const Polynomial<N>& a, const Polynomial<M>& b) {
  Polynomial<N + M - 1> product{};
  for (size_t i = 0; i < N; ++i) {
    for (size_t j = 0; j < M; ++j) product[i + j] += a[i] * b[j];
  }
  return product;
}

// a p - b q
template <size_t N>
Polynomial<N> Mixed(double a, const Polynomial<N>& p, double b, const Polynomial<N>& q) {
  Polynomial<N> mixed;
  for (size_t i = 0; i < N; ++i) mixed[i] = a * p[i] - b * q[i];
  return mixed;
}

template <size_t N>
Polynomial<N> Difference(const Polynomial<N>& p, const Polynomial<N>& q) {
  return Mixed(1, p, 1, q);
}

template <size_t N>
Complex ValueAt(const Polynomial<N>& p, Complex x) {
  Complex value = 0;
  for (size_t i = N; i-- > 0;) value = value * x + p[i];
  return value;
}

// Eigenvalues of the companion matrix.
std::vector<Complex> RootsOf(const Polynomial<5>& p) {
  double largest = 0;
  for (const double c : p) largest = std::max(largest, std::abs(c));
  if (!(std::abs(p[4]) > 1e-14 * largest)) return {};
  Eigen::Matrix4d companion = Eigen::Matrix4d::Zero();
  for (int i = 0; i < 4; ++i) {
    companion(i, 3) = -p[static_cast<size_t>(i)] / p[4];
    if (i > 0) companion(i, i - 1) = 1;
  }
  const Eigen::EigenSolver<Eigen::Matrix4d> solver(companion, false);
  if (solver.info() != Eigen::Success) return {};
  std::vector<Complex> roots;
  for (int i = 0; i < 4; ++i) roots.push_back(solver.eigenvalues()[i]);
  return roots;
}

// A conic as a y^2 + p(x) y + q(x).
struct InY {
  double a;
  Polynomial<2> p;
  Polynomial<3> q;
  explicit InY(const Eigen::Matrix3d& c)
      : a(c(1, 1)), p{2 * c(1, 2), 2 * c(0, 1)}, q{c(2, 2), 2 * c(0, 2), c(0, 0)} {}
};

}  // namespace

bool Conic::is_ellipse() const {
  const double minor = matrix.topLeftCorner<2, 2>().determinant();
  // A real ellipse: definite, and of the other sign at its centre.
  return minor > 0 && matrix.determinant() * matrix(0, 0) < 0;
}

Conic ConicOf(const PicturedCircle<double>& circle, PhotoPx principal) {
  Eigen::Matrix2d adjugate;
  adjugate << circle.yy, -circle.xy, -circle.xy, circle.xx;
  const Eigen::Vector2d centre(circle.x + principal.x, circle.y + principal.y);
  Conic conic;
  conic.matrix.topLeftCorner<2, 2>() = adjugate;
  conic.matrix.topRightCorner<2, 1>() = -adjugate * centre;
  conic.matrix.bottomLeftCorner<1, 2>() = (-adjugate * centre).transpose();
  conic.matrix(2, 2) =
      centre.dot(adjugate * centre) - (circle.xx * circle.yy - circle.xy * circle.xy);
  return conic;
}

std::optional<Conic> ConicFromRim(std::span<const PhotoPx> points) {
  // Round coordinates: the rim's box becomes [-1, 1] x [-1, 1] as far as its three extremes tell.
  const Eigen::Vector2d left = points[0].vector(), right = points[2].vector();
  const Eigen::Vector2d centre = (left + right) / 2;
  const double half_width = (right.x() - left.x()) / 2;
  const double half_height = std::abs(points[1].y - centre.y());
  if (!(half_width > 0) || !(half_height > 0)) return std::nullopt;
  Eigen::Matrix<double, Eigen::Dynamic, 6> rows(static_cast<int64_t>(points.size()) + 3, 6);
  const auto round = [&](const PhotoPx& p) {
    return Eigen::Vector2d((p.x - centre.x()) / half_width, (p.y - centre.y()) / half_height);
  };
  for (size_t i = 0; i < points.size(); ++i) {
    const Eigen::Vector2d p = round(points[i]);
    const double x = p.x(), y = p.y();
    rows.row(static_cast<int64_t>(i)) << x * x, 2 * x * y, y * y, 2 * x, 2 * y, 1;
  }
  for (int i = 0; i < 3; ++i) {
    const Eigen::Vector2d p = round(points[static_cast<size_t>(i)]);
    auto row = rows.row(static_cast<int64_t>(points.size()) + i);
    if (i == 1) {
      row << p.x(), p.y(), 0, 1, 0, 0;  // d/dx = 0
    } else {
      row << 0, p.x(), p.y(), 0, 1, 0;  // d/dy = 0
    }
  }
  const Eigen::Matrix<double, 6, 1> c = DecomposeSingular(rows).right.col(5);
  Eigen::Matrix3d round_conic;
  round_conic << c[0], c[1], c[3], c[1], c[2], c[4], c[3], c[4], c[5];
  Eigen::Matrix3d round_from_photo;
  round_from_photo << 1 / half_width, 0, -centre.x() / half_width, 0, 1 / half_height,
      -centre.y() / half_height, 0, 0, 1;
  const Conic conic{round_from_photo.transpose() * round_conic * round_from_photo};
  if (!conic.is_ellipse()) return std::nullopt;
  return conic;
}

std::vector<FocalGuess> FocalsFromParallelCircles(const Conic& first, const Conic& second,
                                                  PhotoPx principal) {
  // From the principal point, in lengths of the order of the farthest centre, for balanced coefficients.
  double length = 1;
  for (const Conic* conic : {&first, &second}) {
    const Eigen::Matrix3d& c = conic->matrix;
    const Eigen::Vector2d centre = -c.topLeftCorner<2, 2>().inverse() * c.topRightCorner<2, 1>();
    length = std::max(length, (centre - principal.vector()).cwiseAbs().maxCoeff());
  }
  Eigen::Matrix3d photo_from_even;
  photo_from_even << length, 0, principal.x, 0, length, principal.y, 0, 0, 1;
  const auto even = [&](const Conic& conic) {
    const Eigen::Matrix3d c = photo_from_even.transpose() * conic.matrix * photo_from_even;
    return InY(c / c.cwiseAbs().maxCoeff());
  };
  const InY f = even(first), g = even(second);
  // Without y^2: r y + s = 0; put back, a quartic in x (the resultant).
  const Polynomial<2> r = Mixed(f.a, g.p, g.a, f.p);
  const Polynomial<3> s = Mixed(f.a, g.q, g.a, f.q);
  const Polynomial<4> t = Difference(f.p * g.q, g.p * f.q);
  std::vector<FocalGuess> guesses;
  for (const Complex& x : RootsOf(Difference(s * s, r * t))) {
    if (!(x.imag() > 0)) continue;  // one of each conjugate pair
    const Complex denominator = ValueAt(r, x);
    if (std::abs(denominator) == 0) continue;
    const Complex y = -ValueAt(s, x) / denominator;
    const Complex square = -(x * x + y * y) * length * length;
    if (!(square.real() > 0) || !std::isfinite(square.real())) continue;
    guesses.push_back({std::sqrt(square.real()), std::abs(square.imag()) / square.real()});
  }
  std::sort(guesses.begin(), guesses.end(), [](const FocalGuess& a, const FocalGuess& b) {
    return a.imaginary_share < b.imaginary_share;
  });
  return guesses;
}

}  // namespace wheatpaste

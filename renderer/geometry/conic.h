// conic.h - circles in space as a camera pictures them, and what two of them tell of the camera.
//
// Model   a circle of centre C, unit normal n and radius a before a camera of focal length f pictures as the
//         conic whose tangent lines l fulfil l^T M l = 0, M = K (C C^T - a^2 (I - n n^T)) K^T, K = diag(f, f, 1),
//         px from the principal point. As an ellipse of centre c, M ~ [c c^T - S, c; c^T, 1]: extremes lie at
//         c +- (S_xx, S_xy) / sqrt(S_xx) in x and at c +- (S_xy, S_yy) / sqrt(S_yy) in y, and with
//         N = C_z^2 - a^2 (1 - n_z^2), w = C x n
//             S_xx = (f a / N)^2 (n_y^2 (C_x^2 + C_z^2 - a^2) + (C_x n_x + C_z n_z)^2), S_yy likewise
//             S_xy = (f a / N)^2 (a^2 n_x n_y + C_x C_y + w_x w_y)
//         which stay exact where the circle is seen on edge and the ellipse is a line.
// Source  derived here from M; conic_test.cc holds it against points of circles.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

// Centre and shape S above, px from the principal point: (p - c)^T S^-1 (p - c) = 1.
template <typename T>
struct PicturedCircle {
  T x, y;
  T xx, xy, yy;
};

// False where a part of the circle lies beside or behind the camera.
template <typename T>
bool PictureCircle(const Eigen::Matrix<T, 3, 1>& centre, const Eigen::Matrix<T, 3, 1>& normal,
                   const T& radius, const T& focal_px, PicturedCircle<T>& picture) {
  const T &cx = centre[0], &cy = centre[1], &cz = centre[2];
  const T &nx = normal[0], &ny = normal[1], &nz = normal[2];
  const T square = radius * radius;
  const T depth = cz * cz - square * (nx * nx + ny * ny);
  if (!(cz > 0.0) || !(depth > 1e-9 * cz * cz)) return false;
  const T scale = focal_px / depth;
  const T spread = scale * scale * square;
  const T across = cx * nx + cz * nz, down = cy * ny + cz * nz;
  const T wx = cy * nz - cz * ny, wy = cz * nx - cx * nz;
  const T plane = nx * ny * square;
  picture.x = scale * (cx * cz + square * nx * nz);
  picture.y = scale * (cy * cz + square * ny * nz);
  picture.xx = spread * (ny * ny * (cx * cx + cz * cz - square) + across * across);
  picture.yy = spread * (nx * nx * (cy * cy + cz * cz - square) + down * down);
  picture.xy = spread * (plane + cx * cy + wx * wy);
  return true;
}

// Symmetric C, up to scale: x^T C x = 0 for homogeneous photo px x.
struct Conic {
  Eigen::Matrix3d matrix = Eigen::Matrix3d::Zero();
  bool is_ellipse() const;
};

Conic ConicOf(const PicturedCircle<double>& circle, PhotoPx principal);

// From a rim's marks: the leftmost point and the rightmost, where the conic runs upright, between them in the
// list an extreme in y, where it runs level, then any other points: all linear in C, by least squares.
// points   at least three: left, extreme, right, others.
// returns  nothing where the points do not make an ellipse.
std::optional<Conic> ConicFromRim(std::span<const PhotoPx> points);

struct FocalGuess {
  double focal_px = 0;
  // |Im| / |Re| of the square: 0 for the right one, from exact conics.
  double imaginary_share = 0;
};

// The focal length from two circles that lie in parallel planes, such as a cup's rims: their pictures meet in the
// pictures (x, y) of the circular points, for which x^2 + y^2 + f^2 = 0, px from the principal point.
// returns  a guess for each conjugate pair of meeting points that gives a positive square, likeliest first.
// Source   Wu, Zhu, Hu, Wu 2004, ECCV, 521-533; Colombo, Del Bimbo, Pernici 2005, PAMI 27(1), 99-114 (titles);
//          the derivation is ours.
std::vector<FocalGuess> FocalsFromParallelCircles(const Conic& first, const Conic& second,
                                                  PhotoPx principal);

}  // namespace wheatpaste

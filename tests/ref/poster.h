// poster.h - artwork made by rule: flat areas of brand colour, fine lines, rows of strokes as small as
// lettering, a gradient. Nothing in it is anybody's mark.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include <Eigen/Core>
#include <fmt/format.h>

#include "base/rect.h"
#include "colour/profile.h"
#include "colour/srgb.h"
#include "geometry/coords.h"
#include "output/write_picture.h"
#include "support.h"

namespace wheatpaste::test {

using Rgb8 = std::array<uint8_t, 3>;

struct Poster {
  SizePx size;
  std::vector<uint8_t> codes;  // height x width x 3, sRGB

  void Fill(int64_t x0, int64_t y0, int64_t x1, int64_t y1, const Rgb8& colour) {
    for (int64_t y = std::max<int64_t>(0, y0); y < std::min(size.height, y1); ++y) {
      for (int64_t x = std::max<int64_t>(0, x0); x < std::min(size.width, x1); ++x) {
        std::copy(colour.begin(), colour.end(), codes.begin() + 3 * (y * size.width + x));
      }
    }
  }

  // A round-ended stroke, hard-edged.
  void Stroke(Eigen::Vector2d a, Eigen::Vector2d b, double width, const Rgb8& colour) {
    const double r = width / 2;
    const auto x0 = static_cast<int64_t>(std::min(a.x(), b.x()) - r - 1);
    const auto x1 = static_cast<int64_t>(std::max(a.x(), b.x()) + r + 2);
    const auto y0 = static_cast<int64_t>(std::min(a.y(), b.y()) - r - 1);
    const auto y1 = static_cast<int64_t>(std::max(a.y(), b.y()) + r + 2);
    const double length2 = std::max(1e-9, (b - a).squaredNorm());
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = x0; x < x1; ++x) {
        const Eigen::Vector2d p(static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5);
        const double t = std::clamp((p - a).dot(b - a) / length2, 0.0, 1.0);
        if ((p - a - t * (b - a)).norm() <= r) Fill(x, y, x + 1, y + 1, colour);
      }
    }
  }
};

// texel  side of one texel over one photo px: lines and strokes keep their px size.
inline Poster MakePoster(uint32_t seed, SizePx size, double texels_per_px) {
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
  };
  Poster poster{size, std::vector<uint8_t>(static_cast<size_t>(3 * size.area()))};
  const Rgb8 cream{247, 240, 222}, green{28, 84, 58}, ochre{222, 160, 44}, brick{170, 58, 40},
      ink{24, 26, 33}, sky{96, 158, 190};
  const auto w = static_cast<double>(size.width), h = static_cast<double>(size.height);
  const auto px = [&](double share, double of) { return static_cast<int64_t>(share * of); };
  poster.Fill(0, 0, size.width, size.height, cream);
  poster.Fill(0, 0, size.width, px(0.30, h), green);
  poster.Fill(px(0.06, w), px(0.36, h), px(0.34, w), px(0.58, h), ochre);
  poster.Fill(px(0.38, w), px(0.36, h), px(0.66, w), px(0.58, h), brick);
  // A disc and two leaves.
  poster.Stroke({0.22 * w, 0.15 * h}, {0.22 * w, 0.15 * h}, 0.22 * h, sky);
  poster.Stroke({0.45 * w, 0.24 * h}, {0.52 * w, 0.06 * h}, 0.05 * h, ochre);
  poster.Stroke({0.60 * w, 0.24 * h}, {0.54 * w, 0.08 * h}, 0.04 * h, cream);
  // Gradient, green to cream.
  for (int64_t x = px(0.70, w); x < px(0.94, w); ++x) {
    const double t = (static_cast<double>(x) / w - 0.70) / 0.24;
    Rgb8 c;
    for (size_t k = 0; k < 3; ++k) {
      c[k] = static_cast<uint8_t>(std::lround((1 - t) * green[k] + t * cream[k]));
    }
    poster.Fill(x, px(0.36, h), x + 1, px(0.58, h), c);
  }
  // Lines of 1, 1.5, 2 and 3 px, straight and sloping.
  double y = 0.62 * h;
  for (const double width_px : {1.0, 1.5, 2.0, 3.0}) {
    const double width = width_px * texels_per_px;
    poster.Stroke({0.06 * w, y}, {0.48 * w, y}, width, ink);
    poster.Stroke({0.52 * w, y - 6}, {0.94 * w, y + 0.012 * h}, width, brick);
    y += width + 4 * texels_per_px;
  }
  // Rows of strokes, each "letter" three strokes in a box of its own.
  for (const double tall_px : {22.0, 14.0, 10.0}) {
    const double tall = tall_px * texels_per_px, wide = 0.6 * tall, stroke = 0.13 * tall;
    y += 0.5 * tall;
    for (double x = 0.06 * w; x + wide < 0.94 * w; x += wide + 0.3 * tall) {
      if (between(0, 1) < 0.15) continue;
      for (int k = 0; k < 3; ++k) {
        const Eigen::Vector2d a(x + wide * std::floor(between(0, 3)) / 2,
                                y + tall * std::floor(between(0, 3)) / 2);
        const Eigen::Vector2d b(x + wide * std::floor(between(0, 3)) / 2,
                                y + tall * std::floor(between(0, 3)) / 2);
        poster.Stroke(a, b, stroke, ink);
      }
    }
    y += tall;
  }
  return poster;
}

inline void WritePoster(const Poster& poster, const std::string& png) {
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = poster.size;
  facts.profile = &srgb;
  const auto written = WritePicture(png, PictureFormat::kPng, facts, [&](int64_t y0, int64_t) {
    return poster.codes.data() + 3 * poster.size.width * y0;
  });
  if (!written) throw std::runtime_error(FormatErrors(written.errors()));
}

// Linear values times `by`, as a 16-bit PPM (big-endian, by its definition).
inline void WriteLinearPpm(const Poster& poster, const Eigen::Vector3d& by,
                           const std::string& ppm) {
  std::array<std::array<uint16_t, 256>, 3> table;
  for (size_t k = 0; k < 3; ++k) {
    for (size_t code = 0; code < 256; ++code) {
      table[k][code] =
          static_cast<uint16_t>(std::lround(65535 * by[static_cast<Eigen::Index>(k)] *
                                            LinearFromSrgb(static_cast<double>(code) / 255)));
    }
  }
  std::string bytes = fmt::format("P6\n{} {}\n65535\n", poster.size.width, poster.size.height);
  bytes.reserve(bytes.size() + 2 * poster.codes.size());
  for (size_t i = 0; i < poster.codes.size(); ++i) {
    const uint16_t value = table[i % 3][poster.codes[i]];
    bytes += static_cast<char>(value >> 8);
    bytes += static_cast<char>(value & 255);
  }
  WriteText(ppm, bytes);
}

// As large as what it is printed on, `size` mm, which the picture shows with about `px_per_mm`.
inline Poster PosterOn(uint32_t seed, const SurfaceMm& size, double texels_per_mm,
                       double px_per_mm) {
  return MakePoster(
      seed,
      {static_cast<int64_t>(size.x * texels_per_mm), static_cast<int64_t>(size.y * texels_per_mm)},
      texels_per_mm / px_per_mm);
}

}  // namespace wheatpaste::test

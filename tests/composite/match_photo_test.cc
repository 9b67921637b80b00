// match_photo_test.cc - prints share the photo's blur and noise: checked on a made photo whose blur and noise are known.
//
// Photo   a pale board before a dark wall, its outline seen through a Gaussian of known sigma (closed form, point
//         samples), light falling off across it; noise of variance a y + b in linear light; 16-bit PNG.
// Limits  noise: variance 0.8 to 1.25 times the photo's at the print's own level; edges: sigma within 10 % or 0.1 px of
//         the photo's (the project's methods, matching the photograph).
#include "composite/render_text.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>
#include <random>

#include <fmt/format.h>

#include "colour/srgb.h"

namespace wheatpaste {
namespace {

using test::TempFolder;

constexpr SizePx kSize{560, 420};
constexpr double kTilt = 0.06;  // of the board, radians
constexpr double kHalfWidth = 200, kHalfHeight = 140;

struct Made {
  double sigma_px = 1.4;
  double a = 2e-4, b = 4e-6;
};

double Phi(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

// Board axes, px from its middle.
Eigen::Vector2d OnBoard(double x, double y) {
  const double dx = x - static_cast<double>(kSize.width) / 2,
               dy = y - static_cast<double>(kSize.height) / 2;
  return {dx * std::cos(kTilt) + dy * std::sin(kTilt), dy * std::cos(kTilt) - dx * std::sin(kTilt)};
}
PhotoPx FromBoard(double u, double v) {
  return {static_cast<double>(kSize.width) / 2 + u * std::cos(kTilt) - v * std::sin(kTilt),
          static_cast<double>(kSize.height) / 2 + u * std::sin(kTilt) + v * std::cos(kTilt)};
}

void WritePhoto(const std::string& path, const Made& made) {
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  std::vector<uint16_t> codes(static_cast<size_t>(kSize.area() * 3));
  for (int64_t i = 0; i < kSize.area(); ++i) {
    const double x = static_cast<double>(i % kSize.width) + 0.5,
                 y = static_cast<double>(i / kSize.width) + 0.5;
    const Eigen::Vector2d p = OnBoard(x, y);
    const double board =
        (Phi((p.x() + kHalfWidth) / made.sigma_px) - Phi((p.x() - kHalfWidth) / made.sigma_px)) *
        (Phi((p.y() + kHalfHeight) / made.sigma_px) - Phi((p.y() - kHalfHeight) / made.sigma_px));
    const double level = 0.06 + board * (0.55 + 0.0004 * p.x());
    for (size_t c = 0; c < 3; ++c) {
      const double noisy = level + std::sqrt(made.a * level + made.b) * normal(random);
      codes[static_cast<size_t>(i) * 3 + c] = static_cast<uint16_t>(
          std::lround(65535 * std::clamp(SrgbFromLinear(std::max(0.0, noisy)), 0.0, 1.0)));
    }
  }
  test::WriteSrgbPng(path, kSize, 16, codes.data());
}

// The green band of the finished picture, linear.
std::vector<double> Print(const Made& made, const std::string& ink, const std::string& sharpness) {
  const TempFolder folder;
  WritePhoto(folder / "photo.png", made);
  // Two fields with an upright edge between them, 300 mm of the board's 400.
  test::WriteText(folder / "fields.svg",
                  R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 200">
<rect width="150" height="200" fill="#ddd"/><rect x="150" width="150" height="200" fill="#666"/></svg>)");
  const auto corner = [](double u, double v) {
    const PhotoPx p = FromBoard(u, v);
    return fmt::format("[{:.6f}, {:.6f}]", p.x, p.y);
  };
  const std::string text = fmt::format(
      R"(title = "t"
[photo]
file = "photo.png"
[[surface]]
name = "board"
shape = "plane"
size = [400, 280]
corners = [{}, {}, {}, {}]
substrate = {{ reflectance = [0.8, 0.8, 0.8] }}
sharpness = "{}"
[[placement]]
surface = "board"
artwork = "fields.svg"
width = 300
ink = "{}"
)",
      corner(-kHalfWidth, -kHalfHeight), corner(kHalfWidth, -kHalfHeight),
      corner(kHalfWidth, kHalfHeight), corner(-kHalfWidth, kHalfHeight), sharpness, ink);
  const Bytes codes = test::WholePicture(test::RenderText(folder, text, std::nullopt));
  std::vector<double> light;
  for (int64_t i = 0; i < kSize.area(); ++i) {
    uint16_t code = 0;
    std::memcpy(&code, codes.data() + (3 * i + 1) * 2, 2);
    light.push_back(LinearFromSrgb(code / 65535.0));
  }
  return light;
}

// Mean, and the variance about the least-squares plane, of the pixels whose board place lies in the rectangle.
struct Field {
  double mean = 0, variance = 0;
};
Field FieldOf(const std::vector<double>& light, double u0, double u1) {
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  double squares = 0;
  for (int64_t i = 0; i < kSize.area(); ++i) {
    const Eigen::Vector2d p = OnBoard(static_cast<double>(i % kSize.width) + 0.5,
                                      static_cast<double>(i / kSize.width) + 0.5);
    if (p.x() < u0 || p.x() > u1 || std::abs(p.y()) > 80) continue;
    const Eigen::Vector3d row(1, p.x() / 100, p.y() / 100);
    const double value = light[static_cast<size_t>(i)];
    normal += row * row.transpose();
    right += row * value;
    squares += value * value;
  }
  const Eigen::Vector3d fit = normal.inverse() * right;
  return {right[0] / normal(0, 0), (squares - fit.dot(right)) / (normal(0, 0) - 3)};
}

// Sigma of the edge at u = 0: the Gaussian-blurred step nearest to the pixels, by trying.
double EdgeSigma(const std::vector<double>& light) {
  std::vector<std::pair<double, double>> samples;  // distance, value
  for (int64_t i = 0; i < kSize.area(); ++i) {
    const Eigen::Vector2d p = OnBoard(static_cast<double>(i % kSize.width) + 0.5,
                                      static_cast<double>(i / kSize.width) + 0.5);
    if (std::abs(p.x()) < 8 && std::abs(p.y()) < 80) {
      samples.emplace_back(p.x(), light[static_cast<size_t>(i)]);
    }
  }
  double best = 0, least = 1e30;
  for (double sigma = 0.2; sigma < 4; sigma += 0.01) {
    Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    double squares = 0;
    for (const auto& [d, value] : samples) {
      const Eigen::Vector2d row(1, Phi(d / sigma));
      normal += row * row.transpose();
      right += row * value;
      squares += value * value;
    }
    const double rest = squares - right.dot(normal.inverse() * right);
    if (rest < least) least = rest, best = sigma;
  }
  return best;
}

TEST_CASE("Prints have the photo's noise at their own level", "[composite][closed-form]") {
  for (const char* ink : {"transparent", "opaque", "screen ink"}) {
    const Made made;
    const auto light = Print(made, ink, "photo");
    for (const auto& [u0, u1] : {std::pair{-140.0, -15.0}, {15.0, 140.0}}) {
      const Field field = FieldOf(light, u0, u1);
      INFO(ink << " field from " << u0 << " mean " << field.mean);
      const double wanted = made.a * field.mean + made.b;
      CHECK(field.variance / wanted > 0.8);
      CHECK(field.variance / wanted < 1.25);
    }
  }
}

TEST_CASE("Prints are as soft as the photo, or sharp where the scene asks for it",
          "[composite][closed-form][numbers]") {
  for (const double sigma : {0.35, 0.5, 0.7, 1.0, 1.4, 2.0, 2.5}) {
    const Made made{sigma, 2e-5, 4e-7};
    const double found = EdgeSigma(Print(made, "transparent", "photo"));
    INFO("photo " << sigma << " print " << found);
    CHECK(std::abs(found - sigma) <= std::max(0.1, 0.1 * sigma));
  }
  const Made made{2.0, 2e-5, 4e-7};
  CHECK(EdgeSigma(Print(made, "transparent", "artwork")) < 0.4);
}

}  // namespace
}  // namespace wheatpaste

#include "image/elliptical_average.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>
#include <vector>

#include <Eigen/Dense>
#include <hwy/targets.h>

#include "geometry_free_homography.h"

namespace wheatpaste {
namespace {

using test::HomographyFromQuad;

constexpr double kRadius2 = double{kFilterRadiusPx} * double{kFilterRadiusPx};
// Squared smaller radius at which the level changes.
constexpr double kLeastMoment = double{kMinRadius} * double{kMinRadius} + double{kBoxShare};

struct Scan {
  std::vector<float> u, v, ux, uy, vx, vy, r, g, b, a;
  explicit Scan(size_t n) : u(n), v(n), ux(n), uy(n), vx(n), vy(n), r(n), g(n), b(n), a(n) {}
  void Set(size_t i, const Footprint& f) {
    u[i] = static_cast<float>(f.u);
    v[i] = static_cast<float>(f.v);
    ux[i] = static_cast<float>(f.du_dx);
    uy[i] = static_cast<float>(f.du_dy);
    vx[i] = static_cast<float>(f.dv_dx);
    vy[i] = static_cast<float>(f.dv_dy);
  }
  void Average(const Pyramid& artwork) {
    AverageEllipses(artwork,
                    {static_cast<int64_t>(u.size()), u.data(), v.data(), ux.data(), uy.data(),
                     vx.data(), vy.data()},
                    {r.data(), g.data(), b.data(), a.data()});
  }
};

// Runs `work` once for each instruction set that this machine offers.
template <typename Work>
void ForEachTarget(const Work& work) {
  for (const int64_t target : hwy::SupportedAndGeneratedTargets()) {
    hwy::SetSupportedTargetsForTest(target);
    INFO("instruction set " << hwy::TargetName(target));
    work();
    hwy::SetSupportedTargetsForTest(0);
  }
}

// Source  methods.md section 4 / checks.csv R07, R08: 1024 x 1024 checks of 16 px, 0.1 and 0.9, seen
//         through the quad (100,40) (156,40) (250,250) (6,250) of a 256 x 256 picture; rows 50 to 240,
//         positions at least 40 px inside the artwork.
class PerspectiveChecker {
 public:
  static constexpr int kArt = 1024, kOut = 256;

  PerspectiveChecker()
      : artwork_from_output_(HomographyFromQuad({{{100, 40}, {156, 40}, {250, 250}, {6, 250}}},
                                                {{{0, 0}, {kArt, 0}, {kArt, kArt}, {0, kArt}}})) {}

  static double Check(double u, double v) {
    const auto i = static_cast<int64_t>(std::floor(u / 16));
    const auto j = static_cast<int64_t>(std::floor(v / 16));
    return (i + j) % 2 == 0 ? 0.9 : 0.1;
  }

  // The artwork between its pixel centres, interpolated bilinearly.
  static double Between(double u, double v) {
    const double x = std::floor(u - 0.5), y = std::floor(v - 0.5);
    const double s = u - 0.5 - x, t = v - 0.5 - y;
    return (1 - t) * ((1 - s) * Check(x, y) + s * Check(x + 1, y)) +
           t * ((1 - s) * Check(x, y + 1) + s * Check(x + 1, y + 1));
  }

  static Image<LinearPremul> Artwork() {
    Image<LinearPremul> art({kArt, kArt});
    for (int64_t y = 0; y < kArt; ++y) {
      for (int64_t x = 0; x < kArt; ++x) {
        const auto c = static_cast<float>(Check(double(x), double(y)));
        for (int plane = 0; plane < 3; ++plane) art.row(plane, y)[x] = c;
        art.row(3, y)[x] = 1;
      }
    }
    return art;
  }

  Footprint At(double x, double y) const {
    const Eigen::Vector3d p = artwork_from_output_ * Eigen::Vector3d(x, y, 1);
    const Eigen::Vector2d t = p.head<2>() / p.z();
    const Eigen::Matrix2d j =
        (artwork_from_output_.topLeftCorner<2, 2>() - t * artwork_from_output_.row(2).head<2>()) /
        p.z();
    return {t.x(), t.y(), j(0, 0), j(0, 1), j(1, 0), j(1, 1)};
  }

  bool Judged(const Footprint& f) const {
    return f.u >= 40 && f.v >= 40 && f.u <= kArt - 40 && f.v <= kArt - 40;
  }

  // n x n samples a pixel, box filter.
  double BoxTruth(int x, int y, int n) const {
    double sum = 0;
    for (int j = 0; j < n; ++j) {
      for (int i = 0; i < n; ++i) {
        const Footprint f = At(x + (i + 0.5) / n, y + (j + 0.5) / n);
        sum += Between(f.u, f.v);
      }
    }
    return sum / (n * n);
  }

  // 16 x 16 samples over a disc of radius 1 px about the pixel's centre, weighted exp(-2 r^2).
  double GaussianTruth(int x, int y) const {
    constexpr int n = 16;
    double sum = 0, weight = 0;
    for (int j = 0; j < n; ++j) {
      for (int i = 0; i < n; ++i) {
        const double dx = 2 * (i + 0.5) / n - 1, dy = 2 * (j + 0.5) / n - 1;
        const double r2 = dx * dx + dy * dy;
        if (r2 >= 1) continue;
        const Footprint f = At(x + 0.5 + dx, y + 0.5 + dy);
        sum += std::exp(-2 * r2) * Between(f.u, f.v);
        weight += std::exp(-2 * r2);
      }
    }
    return sum / weight;
  }

  template <typename Candidate, typename Truth>
  double Psnr(const Candidate& candidate, const Truth& truth) const {
    double squares = 0;
    int64_t count = 0;
    for (int y = 50; y < 240; ++y) {
      for (int x = 0; x < kOut; ++x) {
        const Footprint f = At(x + 0.5, y + 0.5);
        if (!Judged(f)) continue;
        const double e = candidate(x, y, f) - truth(x, y);
        squares += e * e;
        ++count;
      }
    }
    return -10 * std::log10(squares / static_cast<double>(count));
  }

 private:
  Eigen::Matrix3d artwork_from_output_;
};

TEST_CASE("AverageGaussianEllipse: perspective checker reaches the published figure",
          "[image][published]") {
  const PerspectiveChecker checker;
  const Pyramid artwork(PerspectiveChecker::Artwork(), {});
  // R07: 47.40 dB, to 0.3 dB, for the ellipse on the artwork itself.
  const double decibels = checker.Psnr(
      [&](int, int, const Footprint& f) { return double{AverageGaussianEllipse(artwork, f).r}; },
      [&](int x, int y) { return checker.GaussianTruth(x, y); });
  CHECK(decibels == Approx(47.40).margin(0.3));
  // R08: 8 x 8 against 16 x 16 box samples, 51.98 dB to 0.3 dB: the yardstick itself.
  const double box =
      checker.Psnr([&](int x, int y, const Footprint&) { return checker.BoxTruth(x, y, 8); },
                   [&](int x, int y) { return checker.BoxTruth(x, y, 16); });
  CHECK(box == Approx(51.98).margin(0.3));
}

// Vector checks seen through a hand-made quad, rasterised exactly (area coverage in closed form) at
// the density that pictures use, against 16 x 16 samples a pixel weighted by the pixel filter.
// Limit   45 dB, the budget of design.md section 6. Two views: nearly frontal, and a receding wall.
TEST_CASE("AverageEllipses: 45 dB or more from samples weighted by the pixel filter",
          "[image][closed-form]") {
  struct View {
    const char* name;
    test::Quad quad;
  };
  const View views[] = {{"nearly frontal", {{{60, 80}, {520, 20}, {600, 560}, {20, 470}}}},
                        {"receding wall", {{{40, 30}, {560, 190}, {560, 330}, {40, 570}}}}};
  constexpr double kCells = 23;
  for (const View& view : views) {
    const Eigen::Matrix3d h = HomographyFromQuad(view.quad, {{{0, 0}, {1, 0}, {1, 1}, {0, 1}}});
    const auto at = [&h](double x, double y) {
      const Eigen::Vector3d p = h * Eigen::Vector3d(x, y, 1);
      return Eigen::Vector2d(p.head<2>() / p.z());
    };
    const auto jacobian = [&](double x, double y) {
      const Eigen::Vector3d p = h * Eigen::Vector3d(x, y, 1);
      const Eigen::Vector2d t = p.head<2>() / p.z();
      return Eigen::Matrix2d((h.topLeftCorner<2, 2>() - t * h.row(2).head<2>()) / p.z());
    };
    std::vector<Eigen::Vector2d> pixels;
    double smallest = 1e9;
    for (int y = 0; y < 600; y += 3) {
      for (int x = 0; x < 620; x += 3) {
        const Eigen::Vector2d t = at(x + 0.5, y + 0.5);
        if (t.minCoeff() < 0.02 || t.maxCoeff() > 0.98) continue;
        pixels.emplace_back(x + 0.5, y + 0.5);
        const Eigen::Matrix2d j = jacobian(x + 0.5, y + 0.5);
        smallest = std::min(smallest, j.jacobiSvd().singularValues()(1));
      }
    }
    const auto side = static_cast<int64_t>(std::ceil(kRasterDensity / smallest));
    // Integral of the square wave that is 1 on even cells and -1 on odd ones.
    const auto integral = [](double t) {
      const double whole = std::floor(t), part = t - whole;
      return std::fmod(whole, 2) == 0 ? part : 1 - part;
    };
    std::vector<double> wave(static_cast<size_t>(side));
    for (int64_t i = 0; i < side; ++i) {
      const double step = kCells / static_cast<double>(side);
      wave[static_cast<size_t>(i)] =
          (integral(step * static_cast<double>(i + 1)) - integral(step * static_cast<double>(i))) /
          step;
    }
    Image<LinearPremul> art({side, side});
    for (int64_t y = 0; y < side; ++y) {
      for (int64_t x = 0; x < side; ++x) {
        art.row(0, y)[x] = static_cast<float>(0.5 + 0.4 * wave[static_cast<size_t>(x)] *
                                                        wave[static_cast<size_t>(y)]);
      }
    }
    const Pyramid artwork(std::move(art), {true, true, true, true});
    Scan scan(pixels.size());
    for (size_t i = 0; i < pixels.size(); ++i) {
      const auto size = static_cast<double>(side);
      const Eigen::Vector2d t = at(pixels[i].x(), pixels[i].y()) * size;
      const Eigen::Matrix2d j = jacobian(pixels[i].x(), pixels[i].y()) * size;
      scan.Set(i, {t.x(), t.y(), j(0, 0), j(0, 1), j(1, 0), j(1, 1)});
    }
    scan.Average(artwork);
    double squares = 0;
    constexpr int kSamples = 16;
    for (size_t i = 0; i < pixels.size(); ++i) {
      double sum = 0, weight = 0;
      for (int b = -kSamples; b < kSamples; ++b) {
        for (int a = -kSamples; a < kSamples; ++a) {
          const double dx = (a + 0.5) / kSamples, dy = (b + 0.5) / kSamples;
          const double r2 = (dx * dx + dy * dy) / kRadius2;
          if (r2 >= 1) continue;
          const Eigen::Vector2d t = at(pixels[i].x() + dx, pixels[i].y() + dy) * kCells;
          const bool even = std::fmod(std::floor(t.x()) + std::floor(t.y()), 2) == 0;
          const double w = (1 - r2) * (1 - r2);
          sum += w * (even ? 0.9 : 0.1);
          weight += w;
        }
      }
      const double e = double{scan.r[i]} - sum / weight;
      squares += e * e;
    }
    const double decibels = -10 * std::log10(squares / static_cast<double>(pixels.size()));
    INFO(view.name << ": " << decibels << " dB on " << side << " px of artwork");
    CHECK(decibels >= 45.0);
  }
}

TEST_CASE("AverageEllipses: agrees with its plain twin on every instruction set", "[image][twin]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<float> unit(0.0f, 1.0f);
  for (const bool repeat : {false, true}) {
    Image<LinearPremul> art({301, 207});
    for (int plane = 0; plane < 4; ++plane) {
      for (int64_t y = 0; y < art.height(); ++y) {
        for (int64_t x = 0; x < art.width(); ++x) art.row(plane, y)[x] = unit(random);
      }
    }
    const Pyramid artwork(std::move(art), {repeat, repeat, repeat, repeat});
    constexpr size_t kCount = 5003;
    std::vector<Footprint> footprints;
    while (footprints.size() < kCount) {
      const double size = std::exp2(10 * unit(random) - 3), angle = 6.3 * unit(random);
      const double ratio = std::exp2(-6 * unit(random)), skew = 6.3 * unit(random);
      const double c = std::cos(angle), s = std::sin(angle);
      const Footprint f{340.0 * unit(random) - 20,
                        250.0 * unit(random) - 20,
                        size * (c * std::cos(skew) - ratio * s * std::sin(skew)),
                        size * (-c * std::sin(skew) - ratio * s * std::cos(skew)),
                        size * (s * std::cos(skew) + ratio * c * std::sin(skew)),
                        size * (-s * std::sin(skew) + ratio * c * std::cos(skew))};
      // Where the level is about to change, rounding decides; that is checked elsewhere.
      const double shortest = std::max(size * ratio, size / double{kMaxElongation});
      const double step = std::log2(kRadius2 * shortest * shortest / kLeastMoment) / 2;
      if (step > -0.01 && std::abs(step - std::round(step)) < 0.01) continue;
      footprints.push_back(f);
    }
    ForEachTarget([&] {
      Scan scan(kCount);
      for (size_t i = 0; i < kCount; ++i) scan.Set(i, footprints[i]);
      scan.Average(artwork);
      double largest = 0;
      for (size_t i = 0; i < kCount; ++i) {
        const LinearPremul want = AverageEllipse(artwork, footprints[i]);
        largest = std::max({largest, std::abs(double{scan.r[i]} - double{want.r}),
                            std::abs(double{scan.a[i]} - double{want.a})});
      }
      CHECK(largest <= double{kEllipticalAverageMaxError});
    });
  }
}

TEST_CASE("AverageEllipse: a constant artwork stays constant at every size",
          "[image][closed-form]") {
  Image<LinearPremul> art({77, 130});
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t y = 0; y < 130; ++y) std::fill_n(art.row(plane, y), 77, 0.3f);
  }
  const Pyramid artwork(std::move(art), {true, true, true, true});
  for (const double size : {0.1, 0.7, 1.0, 3.9, 4.1, 17.0, 300.0}) {
    Scan scan(40);
    for (size_t i = 0; i < 40; ++i) scan.Set(i, {2.0 * double(i), 90, size, 0.1, -0.2, size / 3});
    scan.Average(artwork);
    for (size_t i = 0; i < 40; ++i) CHECK(scan.g[i] == Approx(0.3).epsilon(1e-5));
  }
}

// The moment rule: the whole filter, from hard-edged artwork to the value, has the second moment of the
// round pixel filter, R^2 / 8, on both sides of a change of level. Measured on the derivative of an
// edge's profile; averaged over where the edge lies on the artwork's pixels (a raster holds an edge to
// a sixth of a squared pixel, depending on that).
TEST_CASE("AverageEllipse: sharpness is the same on both sides of a change of level",
          "[image][closed-form]") {
  constexpr int kPhases = 8;
  const auto moment = [&](double px) {  // in output px^2, artwork seen at `px` artwork px each
    double mean_moment = 0;
    for (int phase = 0; phase < kPhases; ++phase) {
      const double edge = 2048 + (phase + 0.5) * 4 / kPhases;
      Image<LinearPremul> art({4096, 64});
      for (int64_t y = 0; y < 64; ++y) {
        for (int64_t x = 0; x < 4096; ++x) {
          art.row(0, y)[x] =
              static_cast<float>(std::clamp(static_cast<double>(x) + 1 - edge, 0.0, 1.0));
        }
      }
      const Pyramid artwork(std::move(art), {true, true, true, true});
      double mass = 0, mean = 0, square = 0, last = 0;
      constexpr double kStep = 0.02;
      for (double x = -4; x <= 4; x += kStep) {
        const double value = double{AverageEllipse(artwork, {edge + x * px, 32, px, 0, 0, px}).r};
        const double slope = value - last;
        last = value;
        const double at = x - kStep / 2;
        mass += slope;
        mean += slope * at;
        square += slope * at * at;
      }
      mean /= mass;
      mean_moment += (square / mass - mean * mean) / kPhases;
    }
    return mean_moment;
  };
  const double border = 2 * std::sqrt(kLeastMoment / kRadius2);  // level 0 ends here
  const double before = moment(border * 0.999), after = moment(border * 1.001);
  INFO("second moment " << before << " and " << after << " px^2");
  // 2 % of the filter's width: a fortieth of what a 1 px blur would add.
  CHECK(std::sqrt(before) == Approx(std::sqrt(kRadius2 / 8)).epsilon(0.02));
  CHECK(std::sqrt(after) == Approx(std::sqrt(kRadius2 / 8)).epsilon(0.02));
}

TEST_CASE("AverageEllipses: beyond the artwork lies nothing, or its edge where it is to repeat",
          "[image][closed-form]") {
  for (const bool repeat : {false, true}) {
    Image<LinearPremul> art({32, 32});
    for (int plane = 0; plane < 4; ++plane) {
      for (int64_t y = 0; y < 32; ++y) std::fill_n(art.row(plane, y), 32, 1.0f);
    }
    const Pyramid artwork(std::move(art), {repeat, false, false, false});
    Scan scan(4);
    scan.Set(0, {0, 16, 1, 0, 0, 1});   // on the left edge: half
    scan.Set(1, {-3, 16, 1, 0, 0, 1});  // outside
    scan.Set(2, {0, 16, 9, 0, 0, 9});   // on the edge, seen small
    scan.Set(3, {32, 16, 1, 0, 0, 1});  // right edge, never repeated
    scan.Average(artwork);
    CHECK(scan.a[0] == Approx(repeat ? 1.0 : 0.5).margin(1e-5));
    CHECK(scan.a[1] == Approx(repeat ? 1.0 : 0.0).margin(1e-5));
    CHECK(scan.a[2] == Approx(repeat ? 1.0 : 0.5).margin(0.02));
    CHECK(scan.a[3] == Approx(0.5).margin(1e-5));
  }
}

TEST_CASE("AverageEllipses: a footprint at the horizon or not finite sees nothing",
          "[image][bad-input]") {
  const Pyramid artwork(PerspectiveChecker::Artwork(), {true, true, true, true});
  Scan scan(5);
  scan.Set(0, {1e30, 0, 1, 0, 0, 1});
  scan.Set(1, {0, std::nan(""), 1, 0, 0, 1});
  scan.Set(2, {10, 10, 1e20, 0, 0, 1e20});
  scan.Set(3, {10, 10, std::numeric_limits<double>::infinity(), 0, 0, 1});
  scan.Set(4, {10, 10, 0, 0, 0, 0});  // no reach at all: the pixel itself
  scan.Average(artwork);
  for (size_t i = 0; i < 4; ++i) CHECK(scan.a[i] == 0.0f);
  CHECK(scan.a[4] == Approx(1.0).epsilon(1e-5));
}

}  // namespace
}  // namespace wheatpaste

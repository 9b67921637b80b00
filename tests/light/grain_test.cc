#include "light/grain_field.h"

#include <catch2/catch.hpp>

#include <random>
#include <vector>

#include "base/parallel.h"
#include "colour/srgb.h"
#include "image/read_bitmap.h"
#include "light/base_picture.h"
#include "support.h"

namespace wheatpaste {
namespace {

// Gaussian noise by another way than the field's: a library's generator, filtered with 3 x 3 taps.
struct MadeNoise {
  double a = 0.01, b = 0.0004;
  double tap = 0;     // beside the middle tap of 1, each way
  double shared = 0;  // share of the variance that all bands have in common
};

std::vector<double> UnitNoise(SizePx size, double tap, std::mt19937& random) {
  std::normal_distribution<double> normal(0, 1);
  const int64_t w = size.width + 2, h = size.height + 2;
  std::vector<double> white(static_cast<size_t>(w * h)), out(static_cast<size_t>(size.area()));
  for (double& value : white) value = normal(random);
  const double k[3] = {tap, 1, tap};
  const double power = 1 + 2 * tap * tap;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      double sum = 0;
      for (int64_t j = 0; j < 3; ++j) {
        for (int64_t i = 0; i < 3; ++i)
          sum += k[i] * k[j] * white[static_cast<size_t>((y + j) * w + x + i)];
      }
      out[static_cast<size_t>(y * size.width + x)] = sum / power;
    }
  }
  return out;
}

// Lag-1 autocorrelation of UnitNoise.
double MadeLag(double tap) { return 2 * tap / (1 + 2 * tap * tap); }

void AddNoise(Image<SceneLinear>& light, const MadeNoise& noise, unsigned seed) {
  std::mt19937 random(seed);
  const auto common = UnitNoise(light.size(), noise.tap, random);
  for (int c = 0; c < 3; ++c) {
    const auto own = UnitNoise(light.size(), noise.tap, random);
    for (int64_t y = 0; y < light.height(); ++y) {
      for (int64_t x = 0; x < light.width(); ++x) {
        const auto at = static_cast<size_t>(y * light.width() + x);
        float& value = light.row(c, y)[x];
        const double n =
            std::sqrt(noise.shared) * common[at] + std::sqrt(1 - noise.shared) * own[at];
        value += static_cast<float>(n * std::sqrt(noise.a * double{value} + noise.b));
      }
    }
  }
}

template <typename Level>
Image<SceneLinear> Paint(SizePx size, const Level& level) {
  Image<SceneLinear> light(size);
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < size.height; ++y) {
      for (int64_t x = 0; x < size.width; ++x)
        light.row(c, y)[x] = static_cast<float>(level(c, x, y));
    }
  }
  return light;
}

// What a photograph offers: a smooth gradient over all levels above, texture of strong contrast (stripes, checks,
// white noise of 20 %) in the lower 60 %.
double Scene(int c, int64_t x, int64_t y) {
  const double slope = 0.05 + 0.75 * static_cast<double>(x) / 640 - 0.02 * c;
  if (y < 192) return std::max(0.01, slope + 0.0002 * static_cast<double>(y));
  const auto hash = static_cast<uint32_t>((x * 73856093) ^ (y * 19349663)) * 2654435761u;
  if (y < 300) return slope * (1 + 0.2 * (static_cast<double>(hash >> 8) / 8388608.0 - 1));
  if (y < 400) return slope * (1 + 0.3 * std::sin(0.9 * static_cast<double>(x + y)));
  return slope * ((x / 3 + y / 5) % 2 ? 1.0 : 0.6);
}

void Encode(Image<SceneLinear>& light, int depth) {
  const double most = std::ldexp(1.0, depth) - 1;
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < light.height(); ++y) {
      for (int64_t x = 0; x < light.width(); ++x) {
        float& value = light.row(c, y)[x];
        const double code = std::round(SrgbFromLinear(std::clamp(double{value}, 0.0, 1.0)) * most);
        value = static_cast<float>(LinearFromSrgb(code / most));
      }
    }
  }
}

// Source  reference check N01: Foi et al. 2008 (doi:10.1109/TIP.2008.2001399), var = a y + b with a = 0.01,
//         b = 0.0004 on 18 levels of 40 000 samples each.
// Limit   3 %, as stated there.
TEST_CASE("Grain N01: slope and intercept of Poisson-Gauss noise", "[light][published]") {
  const SizePx size{18 * 200, 200};
  auto light =
      Paint(size, [](int, int64_t x, int64_t) { return 0.05 * static_cast<double>(x / 200 + 1); });
  AddNoise(light, {}, 11);
  const Grain grain = EstimateGrain(light.view(), {0, 1});
  // Three bands are three trials; their mean is held to the stated limit, each one to twice that.
  double a = 0, b = 0;
  for (const GrainBand& band : grain.bands) {
    INFO("a " << band.a << " b " << band.b << " patches " << band.patches);
    CHECK(band.a == Approx(0.01).epsilon(0.06));
    CHECK(band.b == Approx(0.0004).epsilon(0.06));
    a += band.a / 3;
    b += band.b / 3;
  }
  INFO("mean a " << a << " mean b " << b);
  CHECK(a == Approx(0.01).epsilon(0.03));
  CHECK(b == Approx(0.0004).epsilon(0.03));
}

TEST_CASE(
    "Grain: variance within 0.8 to 1.25 in eight levels, lag 1 within 0.1, beside strong texture",
    "[light][closed-form]") {
  struct Case {
    MadeNoise noise;
    int depth;
  };
  // Bounds as the project's methods ask of a print beside its neighbourhood.
  const Case cases[] = {{{0.01, 0.0004, 0, 0}, 0},        {{0.01, 0.0004, 0.4, 0.5}, 0},
                        {{0.001, 0.00004, 0, 0.3}, 8},    {{0.002, 0.00002, 0.3, 0.8}, 8},
                        {{0.0004, 0.00001, 0.7, 0.6}, 8}, {{0.003, 0.0001, -0.2, 0}, 16}};
  unsigned seed = 20;
  for (const Case& c : cases) {
    auto light = Paint({640, 480}, Scene);
    AddNoise(light, c.noise, seed++);
    if (c.depth) Encode(light, c.depth);
    const Grain grain = EstimateGrain(light.view(), {c.depth, 1});
    INFO("a " << c.noise.a << " b " << c.noise.b << " tap " << c.noise.tap << " depth " << c.depth);
    for (int band = 0; band < 3; ++band) {
      for (int k = 0; k < 8; ++k) {
        const double level = 0.05 + 0.68 * (k + 0.5) / 8;
        INFO("band " << band << " level " << level);
        const double ratio = grain.Variance(band, level) / (c.noise.a * level + c.noise.b);
        CHECK(ratio > 0.8);
        CHECK(ratio < 1.25);
      }
      const GrainLags& lags = grain.bands[static_cast<size_t>(band)].lags;
      CHECK(lags.x[0] == Approx(MadeLag(c.noise.tap)).margin(0.1));
      CHECK(lags.y[0] == Approx(MadeLag(c.noise.tap)).margin(0.1));
    }
    CHECK(grain.red_green == Approx(c.noise.shared).margin(0.1));
    CHECK(grain.green_blue == Approx(c.noise.shared).margin(0.1));
    CHECK(grain.red_blue == Approx(c.noise.shared).margin(0.1));
  }
}

TEST_CASE("Grain: a clean picture in 8-bit codes has none, whatever its gradients and texture",
          "[light][invariant]") {
  auto light = Paint({640, 480}, Scene);
  Encode(light, 8);
  const Grain grain = EstimateGrain(light.view(), {8, 1});
  for (int band = 0; band < 3; ++band) {
    for (double level : {0.1, 0.3, 0.6}) {
      // A third of a code's step, in linear light: below what the eye or the encoder can show.
      const double v = SrgbFromLinear(level);
      const double step = 2.4 / 1.055 * std::pow((v + 0.055) / 1.055, 1.4) / 255;
      INFO("level " << level << " sd over step " << std::sqrt(grain.Variance(band, level)) / step);
      CHECK(std::sqrt(grain.Variance(band, level)) < step / 3);
    }
  }
  CHECK(EstimateGrain(Image<SceneLinear>({5, 5}).view(), {8, 1}).bands[0].a == 0);
}

TEST_CASE("Grain: clipped highlights say nothing and change nothing", "[light][invariant]") {
  const auto paint = [](int, int64_t x, int64_t) {
    return x < 320 ? 0.1 + 0.5 * static_cast<double>(x) / 320 : 1.2;
  };
  auto light = Paint({640, 400}, paint);
  AddNoise(light, {0.002, 0.00005, 0, 0}, 5);
  Encode(light, 8);
  const Grain grain = EstimateGrain(light.view(), {8, 1});
  for (double level : {0.15, 0.35, 0.55}) {
    CHECK(grain.Variance(1, level) / (0.002 * level + 0.00005) == Approx(1).margin(0.15));
  }
  // Beyond what was seen, the line goes on.
  CHECK(grain.Variance(1, 0.95) / (0.002 * 0.95 + 0.00005) == Approx(1).margin(0.25));
}

Grain WithShape(double lag1, double lag2, double rg, double gb, double rb) {
  Grain grain;
  for (GrainBand& band : grain.bands) {
    band.curve.fill(1);
    band.lags = {{lag1, lag2}, {lag1 / 2, 0}};
  }
  grain.bands[2].lags.x = {lag1 / 2, lag2 / 2};
  grain.red_green = rg;
  grain.green_blue = gb;
  grain.red_blue = rb;
  return grain;
}

TEST_CASE("GrainField: mean 0, variance 1, and the correlations asked for",
          "[light][closed-form]") {
  const Grain shapes[] = {WithShape(0, 0, 0, 0, 0), WithShape(0.45, 0.05, 0.6, 0.5, 0.4),
                          WithShape(0.75, 0.4, 0.8, 0.8, 0.7), WithShape(-0.3, 0.05, 0.2, 0, 0.1)};
  const int64_t side = 512;
  for (const Grain& grain : shapes) {
    const GrainField field(grain, 7);
    Image<SceneLinear> out(SizePx{side, side});
    for (int64_t y = 0; y < side; ++y)
      field.FillRow(y, 0, side, out.row(0, y), out.row(1, y), out.row(2, y));
    const auto product = [&](int p, int q, int64_t dx, int64_t dy) {
      double sum = 0;
      for (int64_t y = 0; y + dy < side; ++y) {
        for (int64_t x = 0; x + dx < side; ++x)
          sum += double{out.row(p, y)[x]} * double{out.row(q, y + dy)[x + dx]};
      }
      return sum / static_cast<double>((side - dx) * (side - dy));
    };
    // 262144 values; correlated ones count for about a tenth: standard errors below 0.01.
    for (int c = 0; c < 3; ++c) {
      double mean = 0;
      for (int64_t y = 0; y < side; ++y) {
        for (int64_t x = 0; x < side; ++x) mean += double{out.row(c, y)[x]};
      }
      INFO("band " << c << " lag " << grain.bands[0].lags.x[0]);
      CHECK(mean / (side * side) == Approx(0).margin(0.02));
      const double variance = product(c, c, 0, 0);
      CHECK(variance == Approx(1).margin(0.03));
      const GrainLags& lags = grain.bands[static_cast<size_t>(c)].lags;
      CHECK(product(c, c, 1, 0) / variance == Approx(lags.x[0]).margin(0.03));
      CHECK(product(c, c, 0, 1) / variance == Approx(lags.y[0]).margin(0.03));
      CHECK(product(c, c, 1, 1) / variance == Approx(lags.x[0] * lags.y[0]).margin(0.05));
      // Far apart nothing is shared.
      CHECK(product(c, c, 37, 0) == Approx(0).margin(0.02));
      CHECK(product(c, c, 0, 64) == Approx(0).margin(0.02));
    }
    CHECK(product(0, 1, 0, 0) == Approx(grain.red_green).margin(0.05));
    CHECK(product(1, 2, 0, 0) == Approx(grain.green_blue).margin(0.05));
    CHECK(product(0, 2, 0, 0) == Approx(grain.red_blue).margin(0.05));
  }
}

TEST_CASE("GrainField: the same bits however rows are cut and ordered, others for another seed",
          "[light][invariant]") {
  const Grain grain = WithShape(0.4, 0.1, 0.5, 0.5, 0.4);
  const GrainField field(grain, 99);
  const int64_t side = 700;
  std::vector<float> whole[3], piece[3], other[3];
  for (int c = 0; c < 3; ++c) {
    whole[c].resize(side);
    piece[c].resize(side);
    other[c].resize(side);
  }
  for (int64_t y : {int64_t{5}, int64_t{0}, int64_t{-3}}) {
    field.FillRow(y, -20, side - 20, whole[0].data(), whole[1].data(), whole[2].data());
    for (int64_t cut : {int64_t{600}, int64_t{300}, int64_t{1}, int64_t{0}}) {
      const int64_t end = cut == 600 ? side : cut == 300 ? 600 : cut == 1 ? 300 : 1;
      field.FillRow(y, cut - 20, end - 20, piece[0].data() + cut, piece[1].data() + cut,
                    piece[2].data() + cut);
    }
    for (int c = 0; c < 3; ++c) CHECK(whole[c] == piece[c]);
    GrainField(grain, 100)
        .FillRow(y, -20, side - 20, other[0].data(), other[1].data(), other[2].data());
    CHECK(whole[0] != other[0]);
  }
}

TEST_CASE("GrainField: grain of the measured shape passes for the picture's own",
          "[light][closed-form]") {
  // Measured, made again on a clean picture, measured again: the two must agree as print and neighbour.
  auto photo = Paint({640, 480}, Scene);
  AddNoise(photo, {0.002, 0.0001, 0.35, 0.4}, 3);
  const Grain grain = EstimateGrain(photo.view(), {0, 1});
  auto print = Paint({640, 480}, [](int, int64_t x, int64_t y) {
    return 0.09 + 0.09 * static_cast<double>((x / 80 + y / 60) % 8);
  });
  const GrainField field(grain, 1);
  std::vector<float> unit[3] = {std::vector<float>(640), std::vector<float>(640),
                                std::vector<float>(640)};
  std::array<std::array<double, 8>, 3> squares{};
  std::array<std::array<double, 8>, 3> counts{};
  for (int64_t y = 0; y < 480; ++y) {
    field.FillRow(y, 0, 640, unit[0].data(), unit[1].data(), unit[2].data());
    for (int c = 0; c < 3; ++c) {
      for (int64_t x = 0; x < 640; ++x) {
        const double level = double{print.row(c, y)[x]};
        const double n =
            std::sqrt(grain.Variance(c, level)) * double{unit[c][static_cast<size_t>(x)]};
        const auto bin = static_cast<size_t>((x / 80 + y / 60) % 8);
        squares[static_cast<size_t>(c)][bin] += n * n;
        counts[static_cast<size_t>(c)][bin] += 1;
        print.row(c, y)[x] += static_cast<float>(n);
      }
    }
  }
  for (size_t c = 0; c < 3; ++c) {
    for (size_t k = 0; k < 8; ++k) {
      const double level = 0.09 + 0.09 * static_cast<double>(k);
      const double ratio = squares[c][k] / counts[c][k] / (0.002 * level + 0.0001);
      INFO("band " << c << " level " << level);
      CHECK(ratio > 0.8);
      CHECK(ratio < 1.25);
    }
  }
  const Grain again = EstimateGrain(print.view(), {0, 1});
  for (size_t c = 0; c < 3; ++c) {
    CHECK(again.bands[c].lags.x[0] == Approx(MadeLag(0.35)).margin(0.1));
    CHECK(again.bands[c].lags.y[0] == Approx(MadeLag(0.35)).margin(0.1));
  }
  CHECK(again.red_blue == Approx(0.4).margin(0.1));
}

TEST_CASE("Grain: the same bits for any thread count", "[light][invariant]") {
  auto light = Paint({640, 480}, Scene);
  AddNoise(light, {}, 4);
  const auto run = [&](int threads) {
    const ThreadLimit limit(threads);
    return EstimateGrain(light.view(), {8, 1});
  };
  const Grain one = run(1), two = run(2);
  for (size_t c = 0; c < 3; ++c) {
    CHECK(one.bands[c].a == two.bands[c].a);
    CHECK(one.bands[c].b == two.bands[c].b);
    CHECK(one.bands[c].curve == two.bands[c].curve);
    CHECK(one.bands[c].lags.x == two.bands[c].lags.x);
  }
  CHECK(one.red_blue == two.red_blue);
}

// The rendered pictures' grain is known (assets-open/rendered/finish.py): variance 0.8 (2.2e-5 y + 1.5e-7), of which
// 0.64 / 0.8 is shared by the bands and filtered with a Gaussian of sigma 0.6. Codes and JPEG then took their part: at
// 8 bits a step is twice the grain. Limit: the standard deviation within 40 %.
TEST_CASE("Grain: rendered carton shows the grain that it was given", "[light][reference]") {
  const auto bitmap =
      ReadBitmap({test::SourcePath("assets-open/rendered/seed_carton/seed_carton.jpg"), {}, ""});
  REQUIRE(bitmap.ok());
  const BasePicture base = MakeBasePicture(*bitmap, FramePhoto(bitmap->size, bitmap->size));
  const Grain grain = EstimateGrain(base.light.view(), {8, 1});
  for (double level : {0.2, 0.4, 0.6}) {
    const double sd = std::sqrt(grain.Variance(1, level) / (0.8 * (2.2e-5 * level + 1.5e-7)));
    INFO("level " << level << " sd ratio " << sd);
    CHECK(sd > 0.6);
    CHECK(sd < 1.4);
  }
}

}  // namespace
}  // namespace wheatpaste

#include "surface/grow_matte.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <random>
#include <string>
#include <vector>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

struct Made {
  Bitmap photo;
  std::vector<float> alpha;  // how much of each pixel stands in front
};

// A wall that gets darker to the right, a slanted rail and a ball before it, their edges soft over `edge_px` on
// either side, noise on everything. `noise` in 8-bit codes.
Made MakePhoto(SizePx size, double edge_px, double noise) {
  Made made;
  made.photo.size = size;
  made.photo.codes.resize(static_cast<size_t>(size.area() * 3));
  made.alpha.resize(static_cast<size_t>(size.area()));
  std::mt19937 random(7);
  std::normal_distribution<double> grain(0, noise);
  const auto linear = [](double code) { return std::pow(code / 255, 2.2); };
  const double w = static_cast<double>(size.width), h = static_cast<double>(size.height);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const double px = static_cast<double>(x) + 0.5, py = static_cast<double>(y) + 0.5;
      const double rail = 0.03 * w - std::abs(0.94 * (px - 0.35 * w) - 0.34 * (py - 0.5 * h));
      const double ball = 0.14 * h - std::hypot(px - 0.72 * w, py - 0.55 * h);
      const double t = std::clamp(std::max(rail, ball) / edge_px, -1.0, 1.0);
      const double a = 0.5 + t * (3 - t * t) / 4;
      made.alpha[static_cast<size_t>(y * size.width + x)] = static_cast<float>(a);
      const double light = 1.1 - 0.5 * px / w, lit = 1 + 0.3 * py / h;
      const double wall[3] = {196, 186, 170}, thing[3] = {52, 84, 60};
      for (size_t c = 0; c < 3; ++c) {
        const double value = a * lit * linear(thing[c]) + (1 - a) * light * linear(wall[c]);
        const double code = 255 * std::pow(value, 1 / 2.2) + grain(random);
        made.photo.codes[static_cast<size_t>(y * size.width + x) * 3 + c] =
            static_cast<uint8_t>(std::clamp(std::lround(code), 0L, 255L));
      }
    }
  }
  return made;
}

MatteStrokes StrokesOf(SizePx size) {
  const double w = static_cast<double>(size.width), h = static_cast<double>(size.height);
  MatteStrokes strokes;
  strokes.place = {"wall.toml", 14, 17};
  strokes.width_px = 0.01 * w;
  strokes.in_front = {{{0.26 * w, 0.1 * h}, {0.44 * w, 0.9 * h}},
                      {{0.68 * w, 0.55 * h}, {0.76 * w, 0.55 * h}}};
  // The rail's middle: 0.94 (x - 0.35 w) = 0.34 (y - 0.5 h).
  for (PhotoPx& p : strokes.in_front[0]) p.x = 0.35 * w + 0.34 / 0.94 * (p.y - 0.5 * h);
  strokes.surface = {{{0.1 * w, 0.2 * h}, {0.1 * w, 0.9 * h}},
                     {{0.55 * w, 0.15 * h}, {0.9 * w, 0.15 * h}},
                     {{0.6 * w, 0.9 * h}, {0.93 * w, 0.85 * h}}};
  return strokes;
}

struct Score {
  double overlap = 0;     // intersection over union of what is in front by more than half
  double band_error = 0;  // mean |alpha error| where the truth is neither 0 nor 1
  double far_error = 0;   // the same everywhere else
};
Score ScoreOf(const Image<Coverage>& matte, const Made& made) {
  double both = 0, either = 0, band = 0, band_count = 0, far = 0, far_count = 0;
  for (int64_t y = 0; y < matte.height(); ++y) {
    for (int64_t x = 0; x < matte.width(); ++x) {
      const double truth = made.alpha[static_cast<size_t>(y * matte.width() + x)];
      const double found = 1 - double{matte.row(0, y)[x]};
      both += truth > 0.5 && found > 0.5;
      either += truth > 0.5 || found > 0.5;
      const bool soft = truth > 0 && truth < 1;
      (soft ? band : far) += std::abs(found - truth);
      (soft ? band_count : far_count) += 1;
    }
  }
  return {both / either, band / band_count, far / far_count};
}

const std::vector<Polygon> kNoOutlines;

Image<Coverage> Grow(const Bitmap& photo, const MatteStrokes& strokes,
                     const std::vector<Polygon>& outlines = kNoOutlines) {
  auto matte = GrowMatte(photo, strokes, "surface.matte_strokes", outlines);
  REQUIRE(matte);
  return std::move(*matte);
}

// Limits: reached are 0.995, 0.023 and 0.00015 at worst, with the noise of 4 codes.
TEST_CASE("Matte: things in front are found, with their soft edges", "[surface][closed-form]") {
  for (const SizePx size : {SizePx{480, 360}, SizePx{1200, 900}}) {
    for (const double edge : {0.7, 3.0}) {
      for (const double noise : {0.0, 4.0}) {
        CAPTURE(size.width, edge, noise);
        const Made made = MakePhoto(size, edge, noise);
        const Score score = ScoreOf(Grow(made.photo, StrokesOf(size)), made);
        CHECK(score.overlap > 0.99);
        CHECK(score.band_error < 0.05);
        CHECK(score.far_error < 0.0005);
      }
    }
  }
}

TEST_CASE("Matte: the same bits again, and on any number of threads", "[surface][invariant]") {
  const SizePx size{700, 500};
  const Made made = MakePhoto(size, 2, 4);
  const auto grow = [&](int threads) {
    const ThreadLimit limit(threads);
    return Grow(made.photo, StrokesOf(size));
  };
  const Image<Coverage> one = grow(1), again = grow(1), three = grow(3);
  bool same = true;
  for (int64_t y = 0; y < size.height; ++y) {
    const size_t bytes = static_cast<size_t>(size.width) * sizeof(float);
    same = same && std::memcmp(one.row(0, y), again.row(0, y), bytes) == 0 &&
           std::memcmp(one.row(0, y), three.row(0, y), bytes) == 0;
  }
  CHECK(same);
}

TEST_CASE("Matte: away from the outlines it is white", "[surface][closed-form]") {
  const SizePx size{480, 360};
  const Made made = MakePhoto(size, 1, 3);
  MatteStrokes strokes = StrokesOf(size);
  strokes.in_front.pop_back();
  strokes.surface.pop_back();
  strokes.surface[1] = {{230, 60}, {230, 300}};
  const Image<Coverage> matte = Grow(made.photo, strokes, {{{60, 60}, {240, 60}, {240, 300}}});
  CHECK(matte.size() == size);
  // The ball stands beyond.
  CHECK(matte.row(0, 198)[345] == 1);
  CHECK(matte.row(0, 180)[168] == 0);
}

TEST_CASE("Matte: 16 bits and gray are read as 8 bits and colour are", "[surface][twin]") {
  const SizePx size{300, 220};
  const Made made = MakePhoto(size, 2, 3);
  const Image<Coverage> eight = Grow(made.photo, StrokesOf(size));
  Bitmap deep = made.photo;
  deep.depth = 16;
  deep.codes.resize(made.photo.codes.size() * 2);
  for (size_t i = 0; i < made.photo.codes.size(); ++i) {
    const auto code = static_cast<uint16_t>(made.photo.codes[i] * 257);
    std::memcpy(&deep.codes[2 * i], &code, 2);
  }
  const Image<Coverage> sixteen = Grow(deep, StrokesOf(size));
  double most = 0;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      most = std::max(most, std::abs(double{eight.row(0, y)[x]} - sixteen.row(0, y)[x]));
    }
  }
  // Tables for 8 and 16 bits round differently in the last float digits.
  CHECK(most < 1e-3);

  Bitmap gray = made.photo;
  gray.model = ColourModel::kGray;
  gray.codes.clear();
  for (size_t i = 1; i < made.photo.codes.size(); i += 3) gray.codes.push_back(made.photo.codes[i]);
  CHECK(ScoreOf(Grow(gray, StrokesOf(size)), made).overlap > 0.95);
}

std::string ErrorOf(const MatteStrokes& strokes) {
  static const Made made = MakePhoto({480, 360}, 1, 3);
  const auto matte = GrowMatte(made.photo, strokes, "surface.matte_strokes", {});
  REQUIRE_FALSE(matte);
  REQUIRE(matte.errors().size() == 1);
  return FormatError(matte.errors().front());
}

TEST_CASE("Matte: strokes that tell nothing are refused, with the reason", "[surface][bad-input]") {
  const MatteStrokes good = StrokesOf({480, 360});
  MatteStrokes strokes = good;
  strokes.in_front.clear();
  CHECK(ErrorOf(strokes) ==
        "wall.toml:14:17: error: surface.matte_strokes.in_front: expected at least one stroke; a "
        "matte is grown from strokes over what stands in front and over what is behind it");
  strokes = good;
  strokes.surface = {{}};
  CHECK(ErrorOf(strokes) ==
        "wall.toml:14:17: error: surface.matte_strokes.surface: expected at least one stroke; a "
        "matte is grown from strokes over what stands in front and over what is behind it");
  strokes = good;
  strokes.surface[1][0] = {481, 20};
  CHECK(ErrorOf(strokes) ==
        "wall.toml:14:17: error: surface.matte_strokes.surface: stroke 2, point 1: [481, 20] lies "
        "off the photo, which is 480 x 360 px");
  strokes = good;
  strokes.surface[1][0] = {std::nan(""), 20};
  CHECK(ErrorOf(strokes).find("lies off the photo") != std::string::npos);
  strokes = good;
  strokes.width_px = 6;
  strokes.in_front.push_back({{20, 200}, {90, 200}});  // across the stroke at x = 48
  CHECK(ErrorOf(strokes) ==
        "wall.toml:14:17: error: surface.matte_strokes: strokes of in_front and surface both cover "
        "[45, 197]; expected them apart, or a smaller width than 6 px");
}

}  // namespace
}  // namespace wheatpaste

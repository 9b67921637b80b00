#include "composite/composite_rows.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include "colour/srgb.h"
#include "composite/render_text.h"
#include "image/elliptical_average.h"
#include "ink/apply_ink.h"

namespace wheatpaste {
namespace {

using test::TempFolder;
using test::WholePicture;

constexpr int64_t kWidth = 400, kHeight = 300;

// A photo with a slope, a cast and some noise, as a PNG.
void WritePhoto(const std::string& path, int depth) {
  std::mt19937 random(11);
  const int64_t bytes = depth / 8;
  Bytes codes(static_cast<size_t>(kWidth * kHeight * 3 * bytes));
  for (int64_t i = 0; i < kWidth * kHeight * 3; ++i) {
    const int64_t x = (i / 3) % kWidth, y = i / 3 / kWidth;
    const double value = 90 + 0.2 * static_cast<double>(x) + 0.15 * static_cast<double>(y) +
                         static_cast<double>(i % 3) * 5 + static_cast<double>(random() % 7);
    if (depth == 8) {
      codes[static_cast<size_t>(i)] = static_cast<uint8_t>(value);
    } else {
      reinterpret_cast<uint16_t*>(codes.data())[i] =
          static_cast<uint16_t>(value * 257 + random() % 257);
    }
  }
  test::WriteSrgbPng(path, {kWidth, kHeight}, depth, codes.data());
}

constexpr const char* kMark = R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 80">
<rect width="100" height="80" fill="#0d3b66"/><circle cx="50" cy="40" r="28" fill="#f4d35e"/>
<path d="M5 75 L95 5" stroke="#ee964b" stroke-width="1.5"/></svg>)";

std::string SceneText(const std::string& ink) {
  return R"(title = "t"
[photo]
file = "photo.png"
[[surface]]
name = "wall"
shape = "plane"
size = [400, 300]
corners = [[60.3, 40.7], [350.2, 70.1], [330.9, 260.4], [50.5, 280.6]]
substrate = { reflectance = [0.7, 0.68, 0.6] }
in_front = [[[180, 120], [240, 130], [200, 200]]]
[[placement]]
surface = "wall"
artwork = "mark.svg"
width = 300
rotate = 12
ink = )" +
         ink + R"(
[[placement]]
surface = "wall"
artwork = "mark.svg"
width = 120
at = [330, 60]
ink = "transparent"
)";
}

RenderedScene Render(const TempFolder& folder, const std::string& ink, std::optional<SizePx> size) {
  return test::RenderText(folder, SceneText(ink), size);
}

TEST_CASE("Compositor: any bands, any order, any threads give the same bits",
          "[composite][invariant]") {
  const TempFolder folder;
  WritePhoto(folder / "photo.png", 8);
  test::WriteText(folder / "mark.svg", kMark);
  const RenderedScene rendered = Render(folder, "\"opaque\"", SizePx{533, 400});
  const BasePicture& base = rendered.scene->base;
  const Bytes whole = WholePicture(rendered);

  std::mt19937 random(5);
  for (const int64_t band : {1, 7, 64}) {
    std::vector<int64_t> starts;
    for (int64_t y = 0; y < base.size.height; y += band) starts.push_back(y);
    std::shuffle(starts.begin(), starts.end(), random);
    Bytes pieces(whole.size());
    for (const int64_t y : starts) {
      rendered.compositor->CompositeBand(y, std::min(base.size.height, y + band),
                                         pieces.data() + y * base.row_bytes());
    }
    CHECK(pieces == whole);
  }
  for (const int threads : {1, 2, 5}) {
    const ThreadLimit limit(threads);
    const RenderedScene again = Render(folder, "\"opaque\"", SizePx{533, 400});
    Bytes rows(whole.size());
    again.compositor->CompositeRows(0, base.size.height, rows.data());
    CHECK(rows == whole);
  }
}

TEST_CASE("Compositor: pixels that no ink reaches are the photo's own, to the bit",
          "[composite][invariant]") {
  for (const int depth : {8, 16}) {
    const TempFolder folder;
    WritePhoto(folder / "photo.png", depth);
    test::WriteText(folder / "mark.svg", kMark);
    const RenderedScene rendered = Render(folder, "\"opaque\"", std::nullopt);
    const BasePicture& base = rendered.scene->base;
    REQUIRE(base.depth == depth);
    const Bytes whole = WholePicture(rendered);
    REQUIRE(rendered.scene->surfaces[0].charts.size() == 1);
    const ChartPicture& visibility = rendered.scene->surfaces[0].charts[0].picture;
    int64_t outside = 0, changed = 0;
    const auto pixel_bytes = static_cast<size_t>(3 * depth / 8);
    for (int64_t y = 0; y < base.size.height; ++y) {
      for (int64_t x = 0; x < base.size.width; ++x) {
        const RectPx& r = visibility.region;
        const bool inside = x >= r.x0 && x < r.x1 && y >= r.y0 && y < r.y1 &&
                            visibility.seen.row(0, y - r.y0)[x - r.x0] > 0;
        const size_t at = static_cast<size_t>(y * base.size.width + x) * pixel_bytes;
        const bool same = std::equal(whole.begin() + static_cast<int64_t>(at),
                                     whole.begin() + static_cast<int64_t>(at + pixel_bytes),
                                     base.codes.begin() + static_cast<int64_t>(at));
        if (!inside) {
          ++outside;
          if (!same) FAIL("pixel " << x << ", " << y << " outside the surface changed");
        }
        changed += same ? 0 : 1;
      }
    }
    CHECK(outside > 40000);
    CHECK(changed > 20000);
  }
}

// The whole path by its plain twins, double precision where there is one: every pixel of the picture.
// Limit   one code for 0.1 % of the pixels (a rounding that falls the other way), two for none.
TEST_CASE("Compositor: agrees with the plain path, pixel by pixel", "[composite][twin]") {
  const TempFolder folder;
  WritePhoto(folder / "photo.png", 8);
  test::WriteText(folder / "mark.svg", kMark);
  for (const char* ink : {"\"transparent\"", "\"opaque\"", "{ opacity = 0.6, white = 0.8 }"}) {
    const RenderedScene rendered = Render(folder, ink, SizePx{480, 360});
    const BasePicture& base = rendered.scene->base;
    const Bytes whole = WholePicture(rendered);
    REQUIRE(rendered.scene->grain);
    int64_t off_by_one = 0, off_by_more = 0;
    for (int64_t y = 0; y < base.size.height; ++y) {
      for (int64_t x = 0; x < base.size.width; ++x) {
        float light[3];
        for (int k = 0; k < 3; ++k) light[k] = base.light.row(k, y)[x];
        bool inked = false;
        for (const PreparedArtwork& art : *rendered.artworks) {
          const Placement& placement = rendered.scene->solved.scene.placements[art.placement];
          REQUIRE(art.pieces.size() == 1);
          const PreparedChart& chart =
              rendered.scene->surfaces[placement.surface].charts[art.pieces[0].chart];
          const RectPx& r = chart.picture.region;
          if (x < r.x0 || x >= r.x1 || y < r.y0 || y >= r.y1) continue;
          const OutputPx centre{static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5};
          const ArtworkPx at = (*art.pieces[0].artwork_from_output)(centre);
          Eigen::Matrix2d j = art.pieces[0].artwork_from_output->Jacobian(centre);
          const auto& focus = rendered.scene->surfaces[placement.surface].focus;
          if (focus) j *= focus->WideningAt(centre.x, centre.y);
          const LinearPremul c =
              AverageEllipse(*art.pyramid, {at.x, at.y, j(0, 0), j(0, 1), j(1, 0), j(1, 1)});
          const float seen = chart.picture.seen.row(0, y - r.y0)[x - r.x0];
          InkRow row;
          row.count = 1;
          const float planes[4] = {c.r, c.g, c.b, c.a};
          for (int k = 0; k < 3; ++k) row.filter[k] = row.cover[k] = &planes[k];
          row.alpha = &planes[3];
          row.seen = &seen;
          for (int k = 0; k < 3; ++k) {
            row.light[k] = &light[k];
            if (chart.shading) {
              row.irradiance[k] = chart.shading->irradiance.row(k, y - r.y0) + (x - r.x0);
            }
          }
          // The photo is noisy: its prints are.
          float noise[3];
          for (int k = 0; k < 3; ++k) {
            rendered.scene->grain->tile.CopyRow(k, x, y, 1, &noise[k]);
            row.noise[k] = &noise[k];
            row.noise_variance[k] = rendered.scene->grain->variance[static_cast<size_t>(k)].data();
          }
          ApplyInkPlainly(WeightsOf(placement.ink.value), row);
          inked |= seen > 0 && c.a > 0;
        }
        for (int k = 0; k < 3; ++k) {
          const size_t i = static_cast<size_t>((y * base.size.width + x) * 3 + k);
          const double want =
              inked ? std::round(255 * std::clamp(SrgbFromLinear(double{light[k]}), 0.0, 1.0))
                    : static_cast<double>(base.codes[i]);
          const double off = std::abs(static_cast<double>(whole[i]) - want);
          off_by_one += off == 1 ? 1 : 0;
          off_by_more += off > 1 ? 1 : 0;
        }
      }
    }
    INFO("ink " << ink << ": " << off_by_one << " codes off by one");
    CHECK(off_by_more == 0);
    CHECK(static_cast<double>(off_by_one) < 0.001 * static_cast<double>(base.size.area() * 3));
  }
}

TEST_CASE("Compositor: white transparent artwork leaves the photo's bits",
          "[composite][closed-form]") {
  const TempFolder folder;
  WritePhoto(folder / "photo.png", 8);
  test::WriteText(folder / "mark.svg",
                  R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 8">
<rect width="10" height="8" fill="#ffffff"/></svg>)");
  const RenderedScene rendered = Render(folder, "\"transparent\"", std::nullopt);
  CHECK(WholePicture(rendered) == rendered.scene->base.codes);
}

}  // namespace
}  // namespace wheatpaste

// The colour that a print on a stage throws on its neighbours, against paths of light traced with the print as the material.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <string>

#include <fmt/format.h>

#include "artwork/artwork.h"
#include "composite/render_scene.h"
#include "ref/compare.h"
#include "scene/read_scene.h"
#include "support.h"

namespace wheatpaste::test {
namespace {

constexpr char kPrinted[] =
    "[[placement]]\nsurface = \"wall\"\nartwork = \"red.svg\"\nfit = \"stretch\"\n"
    "ink = { opacity = 1, white = 0.8 }\n";

struct Finished {
  Bitmap picture;
  Image<Coverage> beside;  // 1 where the wall is not
};

// A wall on a white floor under a sun. Without noise filter, so that all have the same samples.
Finished Render(const std::string& stage_keys, const std::string& wall,
                const std::string& placement, const std::string& colour) {
  const TempFolder folder;
  WriteText(
      folder / "red.svg",
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"900mm\" height=\"500mm\" viewBox=\"0 0 "
      "9 5\"><rect width=\"9\" height=\"5\" fill=\"" +
          colour + "\"/></svg>");
  WriteText(
      folder / "scene.toml",
      fmt::format("[stage]\nsize = [120, 90]\nsamples = 64\ndenoise = false\n{}"
                  "sun = {{ around = 20, height = 35, strength = 0.7 }}\n"
                  "camera = {{ at = [300, 700, 1500], aim = [0, 100, 250], focal_35mm = 50 }}\n"
                  "[[stage.object]]\nname = \"wall\"\nsolid = \"wall\"\nsize = [900, 500]\n"
                  "substrate = {}\n"
                  "[[stage.object]]\nname = \"floor\"\nsolid = \"floor\"\n"
                  "substrate = {{ reflectance = [0.8, 0.8, 0.8], gloss = 0 }}\n{}",
                  stage_keys, wall, placement));
  auto scene = ReadScene(folder / "scene.toml", {SourcePath(""), {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  const auto artworks = ReadArtworks(*scene, {}, false);
  REQUIRE(artworks.ok());
  auto solved = SolveScene(std::move(*scene), {});
  if (!solved) FAIL(FormatErrors(solved.errors()));
  const auto rendered = RenderScene(std::move(*solved), *artworks, {});
  if (!rendered) FAIL(FormatErrors(rendered.errors()));
  const BasePicture& base = rendered->scene->base;
  Finished finished;
  finished.picture.size = base.size;
  finished.picture.depth = base.depth;
  finished.picture.codes.resize(base.codes.size());
  rendered->compositor->CompositeRows(0, base.size.height, finished.picture.codes.data());
  finished.beside = Image<Coverage>(base.size);
  for (int64_t y = 0; y < base.size.height; ++y) {
    std::fill_n(finished.beside.row(0, y), base.size.width, 1.0f);
  }
  for (const PreparedSurface& surface : rendered->scene->surfaces) {
    for (const PreparedChart& chart : surface.charts) {
      const RectPx& region = chart.picture.region;
      for (int64_t y = region.y0; y < region.y1; ++y) {
        for (int64_t x = region.x0; x < region.x1; ++x) {
          if (chart.picture.seen.row(0, y - region.y0)[x - region.x0] > 0) {
            finished.beside.row(0, y)[x] = 0;
          }
        }
      }
    }
  }
  return finished;
}

const std::string kBlank = "{ reflectance = [0.8, 0.8, 0.8], gloss = 0 }";
const std::string kTransfer = "colour_transfer = [\"wall\"]\n";

}  // namespace

TEST_CASE("Thrown colour: a red wall reddens a white floor as paths of light do",
          "[ref][reference][stage]") {
  // Truth: the wall itself is of the printed reflectance, 0.8 of #b02418 linear (IEC 61966-2-1).
  const std::string red = fmt::format(
      "{{ reflectance = [{:.6f}, {:.6f}, {:.6f}], gloss = 0 }}", 0.8 * LinearFromSrgb(0xb0 / 255.0),
      0.8 * LinearFromSrgb(0x24 / 255.0), 0.8 * LinearFromSrgb(0x18 / 255.0));
  const Finished with = Render(kTransfer, kBlank, kPrinted, "#b02418");
  const Finished without = Render("", kBlank, kPrinted, "#b02418");
  const Finished truth = Render("", red, "", "#b02418");
  const Differences near = Compare(with.picture, truth.picture, with.beside);
  const Differences far = Compare(without.picture, truth.picture, with.beside);
  INFO("with: mean " << near.mean << ", 95 % " << near.p95 << "; without: mean " << far.mean
                     << ", 95 % " << far.p95 << "; " << near.count << " px");
  if (std::getenv("WHEATPASTE_KEEP") != nullptr) {
    fmt::print("with {:.3f} {:.3f} without {:.3f} {:.3f}, {} px\n", near.mean, near.p95, far.mean,
               far.p95, near.count);
  }
  CHECK(near.count > 2000);
  // What is left is what the floor throws back on the wall and so on: the second bounce. Limit: a quarter of what is there without,
  // and a mean that is hardly seen.
  CHECK(near.mean < far.mean / 4);
  CHECK(near.mean < 0.5);
  CHECK(far.mean > 1);
}

TEST_CASE("Thrown colour: a print of the blank's own colour throws what the blank does",
          "[ref][invariant][stage]") {
  const Finished with = Render(kTransfer, kBlank, kPrinted, "#ffffff");
  const Finished without = Render("", kBlank, kPrinted, "#ffffff");
  const auto* const a = reinterpret_cast<const uint16_t*>(with.picture.codes.data());
  const auto* const b = reinterpret_cast<const uint16_t*>(without.picture.codes.data());
  int most = 0;
  for (size_t i = 0; i < with.picture.codes.size() / 2; ++i)
    most = std::max(most, std::abs(a[i] - b[i]));
  // Rounding of a gain that is 1 but for floats' last digits.
  CHECK(most <= 1);
}

}  // namespace wheatpaste::test

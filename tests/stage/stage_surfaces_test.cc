#include "stage/stage_surfaces.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "scene/read_scene.h"
#include "support.h"
#include "surface/mesh_chart.h"

namespace wheatpaste::test {
namespace {

// A sharp card, a blurred one whose edge just hides behind it, a floor far below, all seen through a wide lens.
constexpr char kCards[] = R"([stage]
size = [240, 180]
sun = { height = 40, around = 10 }
[stage.camera]
at = [0, 60, 420]
aim = [0, 40, 0]
f_number = 2
focal_35mm = 50
focus = 420
[[stage.object]]
name = "near"
solid = "sheet"
size = [80, 60]
at = [-20, 0, 0]
[[stage.object]]
name = "far"
solid = "sheet"
size = [120, 100]
at = [88.8, 0, -200]
[[stage.object]]
name = "ground"
solid = "floor"
)";

}  // namespace

// Source  the rays themselves: asked for alone, a face is looked at closely in fewer pixels, by the same rays.
// Limit   a ray of a pixel, and 1e-3 of all pixels for edges that no pixel's centre meets.
TEST_CASE("Stage's faces: asked for alone they cover what they cover among all others",
          "[stage][invariant]") {
  auto scene = ParseScene(kCards, SourcePath("cards.toml"), {SourcePath(""), {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  const auto built = BuildStage(*scene->stage);
  if (!built.ok()) FAIL(FormatErrors(built.errors()));
  const auto charts = static_cast<size_t>(built->chart_count);
  const auto of_all = TracerOf(*built, std::vector<bool>(charts, true));
  const SizePx size = scene->stage->size;
  const Frame frame = FramePhoto(size, size);
  for (const size_t object : {size_t{0}, size_t{1}}) {
    std::vector<bool> asked(charts, false);
    const auto chart = static_cast<size_t>(built->objects[object].first_chart);
    asked[chart] = true;
    const auto alone = TracerOf(*built, asked);
    const auto seen_by = [&](const std::shared_ptr<const MeshTracer>& tracer) {
      const ChartPicture picture = MeshChart(tracer, static_cast<int32_t>(chart)).Picture(frame);
      Image<Coverage> seen(size);
      for (int64_t y = picture.region.y0; y < picture.region.y1; ++y) {
        std::copy_n(picture.seen.row(0, y - picture.region.y0), picture.region.width(),
                    seen.row(0, y) + picture.region.x0);
      }
      return seen;
    };
    const Image<Coverage> expected = seen_by(of_all), found = seen_by(alone);
    int64_t partly = 0, differ = 0;
    for (int64_t y = 0; y < size.height; ++y) {
      for (int64_t x = 0; x < size.width; ++x) {
        const float share = expected.row(0, y)[x];
        partly += share > 0 && share < 1 ? 1 : 0;
        differ += std::abs(found.row(0, y)[x] - share) > 1.5f / kLensRays ? 1 : 0;
      }
    }
    INFO(scene->stage->objects[object].name.value << ": " << partly << " px partly covered, "
                                                  << differ << " differ");
    CHECK(partly > 200);
    CHECK(differ <= size.area() / 1000);
  }
}

}  // namespace wheatpaste::test

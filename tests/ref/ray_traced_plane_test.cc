// The whole program against a general-purpose ray tracer: the same plane, blank and truly printed.

#include <catch2/catch.hpp>

#include <algorithm>

#include <fmt/format.h>

#include "image/polygon_coverage.h"
#include "ref/compare.h"
#include "ref/poster.h"
#include "ref/ray_traced_stage.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr double kTexelsPerMm = 4;

std::string SceneText(const Stage& stage, const std::string& ink) {
  std::string corners;
  for (const PhotoPx& p : stage.Corners()) corners += fmt::format("[{:.6f},{:.6f}],", p.x, p.y);
  return fmt::format(
      "title = \"stage\"\n[photo]\nfile = \"blank.png\"\nfocal_px = {:.6f}\n"
      "[[surface]]\nname = \"poster\"\nshape = \"plane\"\nsize = [{}, {}]\ncorners = [{}]\n"
      "substrate = {{ reflectance = [{:.9f}, {:.9f}, {:.9f}], gloss = 0.0 }}\n"
      "[[placement]]\nsurface = \"poster\"\nartwork = \"poster.png\"\nfit = \"stretch\"\nink = "
      "{}\n",
      stage.focal_px, stage.size.x, stage.size.y, corners, stage.reflectance.x(),
      stage.reflectance.y(), stage.reflectance.z(), ink);
}

// Source  the ray tracer of ray_traced_stage.h; limits: the project's aim for planes.
// Limit   mean CIEDE2000 0.35, 95th percentile 0.85, over every pixel that is at least half the surface; the latter also
//         across the hard edge of a cast shadow.
// Note    the 95th percentile counts edges: lines and lettering keep their px size, so a smaller picture holds
//         more of them. The limits are met at 900 x 700 px; at 720 x 560 px, with coarser sampling in the ray
//         tracer, the mean was 0.17 to 0.21 and the 95th percentile 0.87 to 1.09, which is above the limit.
constexpr double kMostMean = 0.35, kMostP95 = 0.85;

// 1 within kShadowReachPx of a hard edge of light on the blank surface, 0 elsewhere and near its outline. The surface
// is of one colour: where its light changes by more than an eighth from one pixel to the next there is a shadow's edge.
constexpr int64_t kShadowReachPx = 5;
Image<Coverage> AcrossShadow(const Bitmap& blank, const Image<Coverage>& inside) {
  const auto level = [&](int64_t x, int64_t y) { return LabAt(blank, x, y).l; };
  const auto whole = [&](int64_t x, int64_t y) {
    for (int64_t v = y - kShadowReachPx - 1; v <= y + kShadowReachPx + 1; ++v) {
      for (int64_t u = x - kShadowReachPx - 1; u <= x + kShadowReachPx + 1; ++u) {
        if (u < 0 || v < 0 || u >= inside.width() || v >= inside.height()) return false;
        if (inside.row(0, v)[u] < 0.999f) return false;
      }
    }
    return true;
  };
  Image<Coverage> across(inside.size());
  for (int64_t y = 1; y + 1 < inside.height(); ++y) {
    for (int64_t x = 1; x + 1 < inside.width(); ++x) {
      if (inside.row(0, y)[x] < 0.999f) continue;
      // L* goes with the third root of light: an eighth is 4 % of it.
      const double step = std::max(std::abs(level(x, y) - level(x + 1, y)),
                                   std::abs(level(x, y) - level(x, y + 1)));
      if (step < 0.04 * level(x, y) || !whole(x, y)) continue;
      for (int64_t v = y - kShadowReachPx; v <= y + kShadowReachPx; ++v) {
        std::fill_n(across.row(0, v) + x - kShadowReachPx, 2 * kShadowReachPx + 1, 1.0f);
      }
    }
  }
  return across;
}

TEST_CASE("Plane: printed as a ray tracer prints it, transparent and opaque ink",
          "[ref][reference]") {
  constexpr double kWhite = 0.85;
  std::string table = "stage  ink          mean    p95     largest\n";
  for (const uint32_t seed : {1u, 2u, 3u, 4u, 5u, 6u}) {
    const Stage stage = MakeStage(seed);
    const TempFolder folder;
    const auto corners = stage.Corners();
    const double px_per_mm =
        (std::hypot(corners[1].x - corners[0].x, corners[1].y - corners[0].y) +
         std::hypot(corners[2].x - corners[3].x, corners[2].y - corners[3].y)) /
        2 / stage.size.x;
    const Poster poster = PosterOn(seed, stage.size, kTexelsPerMm, px_per_mm);
    WritePoster(poster, folder / "poster.png");
    RayTrace(stage, PlainPigment(stage.reflectance), folder / "blank.png");
    std::vector<Eigen::Vector2d> outline;
    for (const PhotoPx& corner : corners) outline.push_back(corner.vector());
    const Image<Coverage> inside = PolygonCoverage(outline, WholeOf(stage.photo));
    const Image<Coverage> across = AcrossShadow(Read(folder / "blank.png"), inside);
    for (const bool opaque : {false, true}) {
      const std::string name = opaque ? "opaque" : "transparent";
      const Eigen::Vector3d paper = opaque ? Eigen::Vector3d::Constant(kWhite) : stage.reflectance;
      WriteLinearPpm(poster, paper, folder / (name + ".ppm"));
      RayTrace(stage, PicturePigment(folder / (name + ".ppm")), folder / (name + "-truth.png"));
      WriteText(folder / (name + ".toml"),
                SceneText(stage, opaque ? fmt::format("{{ opacity = 1, white = {} }}", kWhite)
                                        : "\"transparent\""));
      RenderToFile(folder / (name + ".toml"), folder / (name + ".png"));
      const Differences found =
          Compare(Read(folder / (name + ".png")), Read(folder / (name + "-truth.png")), inside);
      table += fmt::format("{:5}  {:12} {:6.3f}  {:6.3f}  {:6.2f}\n", seed, name, found.mean,
                           found.p95, found.largest);
      INFO("stage " << seed << ", " << name << " ink: mean " << found.mean << ", 95th percentile "
                    << found.p95 << ", largest " << found.largest << " CIEDE2000");
      CHECK(found.count > 100000);
      CHECK(found.mean <= kMostMean);
      CHECK(found.p95 <= kMostP95);
      const Differences edge =
          Compare(Read(folder / (name + ".png")), Read(folder / (name + "-truth.png")), across);
      table += fmt::format("  across the shadow's edge: {} px, p95 {:.3f}\n", edge.count, edge.p95);
      INFO("across the shadow's edge: 95th percentile " << edge.p95 << " of " << edge.count
                                                        << " pixels");
      CHECK(edge.count > 2000);
      CHECK(edge.p95 <= kMostP95);
    }
    KeepPictures(folder, fmt::format("stage{}", seed));
  }
  WriteText(std::string(WHEATPASTE_BINARY_DIR) + "/ray_traced_plane.txt", table);
}

}  // namespace
}  // namespace wheatpaste

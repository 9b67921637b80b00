#include "stage/stage_photo.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <filesystem>

#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "image/read_bitmap.h"
#include "scene/read_scene.h"
#include "stage/kept_sums.h"
#include "stage/stage_surfaces.h"
#include "stage/staged_scene.h"
#include "support.h"

namespace wheatpaste::test {
namespace {

std::string SheetScene(int samples, const std::string& more = "") {
  return fmt::format(
      "[stage]\nsize = [48, 36]\nsamples = {}\n"
      "sun = {{ around = 0, height = 0, strength = 0.5 }}\n{}"
      "[stage.camera]\nat = [0, 100, 600]\naim = [0, 100, 0]\nfocal_35mm = 50\n"
      "[[stage.object]]\nname = \"sheet\"\nsolid = \"sheet\"\nsize = [200, 200]\n"
      "substrate = {{ reflectance = [0.8, 0.6, 0.4], gloss = 0 }}\n"
      "[[placement]]\nsurface = \"sheet.front\"\nartwork = \"mark\"\n",
      samples, more);
}

Scene Read(const std::string& text, const std::string& path) {
  auto scene = ParseScene(text, path, {SourcePath(""), {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  return *std::move(scene);
}

std::shared_ptr<const StagedScene> Stage_(const Scene& scene, StagePhotoOptions options = {}) {
  auto staged = StagedScene::Build(scene.stage, std::move(options));
  if (!staged) FAIL(FormatErrors(staged.errors()));
  return *staged;
}

}  // namespace

TEST_CASE("Stage's photograph: L = A E + S sheet that faces the sun, and nothing beside it",
          "[stage][closed-form]") {
  const Scene scene = Read(SheetScene(16), "sheet.toml");
  const auto staged = Stage_(scene);
  const auto photo = staged->Photo();
  REQUIRE(photo.ok());
  // E is the sun's strength on what faces it, whatever its reflectance.
  // Limit: two steps of the file's codes (12 bits of a square root).
  for (int c = 0; c < 3; ++c) {
    CHECK((*photo)->light.row(c, 18)[24] == Approx(0.5).margin(5e-4));
    CHECK((*photo)->mirrored.row(c, 18)[24] == Approx(0).margin(5e-4));
    // Nothing to be printed on there.
    CHECK((*photo)->light.row(c, 1)[1] == 0);
  }
}

TEST_CASE("Stage's photograph: one taken and one found are the same bits; threads do not matter",
          "[stage][invariant]") {
  const TempFolder folder;
  const Scene scene = Read(SheetScene(8), "sheet.toml");
  StagePhotoOptions options;
  options.folder = folder / "kept";
  int told = 0;
  options.progress = [&told](const StageProgress&) {
    ++told;
    return true;
  };
  const auto first = Stage_(scene, options)->Photo();
  REQUIRE(first.ok());
  CHECK(told > 0);
  told = 0;
  const auto second = Stage_(scene, options)->Photo();
  REQUIRE(second.ok());
  CHECK(told == 0);  // found, not taken
  CHECK((*first)->photo.codes == (*second)->photo.codes);
  const ThreadLimit one(1);
  const auto alone = Stage_(scene)->Photo();
  REQUIRE(alone.ok());
  CHECK((*first)->photo.codes == (*alone)->photo.codes);
  for (int c = 0; c < 3; ++c) {
    CHECK((*first)->light.row(c, 18)[24] == (*alone)->light.row(c, 18)[24]);
  }
}

TEST_CASE("Stage's photograph: stopped and gone on with, the same bits as at once",
          "[stage][invariant]") {
  const TempFolder folder;
  const Scene scene = Read(SheetScene(48), "sheet.toml");
  const auto staged = Stage_(scene);
  StagePhotoOptions options;
  options.folder = folder / "kept";
  options.progress = [](const StageProgress& progress) { return progress.samples < 16; };
  const auto stopped =
      TakeStagePhoto(staged->stage(), staged->built(), options, folder / "sheet.tif");
  REQUIRE_FALSE(stopped.ok());
  CHECK_FALSE(std::filesystem::exists(folder / "sheet.tif"));
  int first_told = 0;
  options.progress = [&first_told](const StageProgress& progress) {
    if (first_told == 0) first_told = progress.samples;
    return true;
  };
  REQUIRE(TakeStagePhoto(staged->stage(), staged->built(), options, folder / "sheet.tif").ok());
  CHECK(first_told > 16);
  StagePhotoOptions elsewhere;
  elsewhere.folder = folder / "other";
  REQUIRE(TakeStagePhoto(staged->stage(), staged->built(), elsewhere, folder / "whole.tif").ok());
  CHECK(ReadText(folder / "sheet.tif") == ReadText(folder / "whole.tif"));
}

TEST_CASE(
    "Stage's photograph: wanted by a preview it goes on where it was stopped, and leaves no sums",
    "[stage][invariant]") {
  const TempFolder folder;
  const Scene scene = Read(SheetScene(48), "sheet.toml");
  StagePhotoOptions options;
  options.folder = folder / "kept";
  options.resumable = true;
  options.progress = [](const StageProgress& progress) { return progress.samples < 16; };
  const auto stopped = Stage_(scene, options)->Photo();
  REQUIRE_FALSE(stopped.ok());
  CHECK(FormatErrors(stopped.errors()) ==
        "error: stopped after 16 of 48 samples; the next run goes on from there\n");
  const std::string kept = JoinPath(options.folder, Stage_(scene)->built().digest);
  CHECK(std::filesystem::exists(kept + ".sums"));
  int first_told = 0;
  options.progress = [&first_told](const StageProgress& progress) {
    if (first_told == 0) first_told = progress.samples;
    return true;
  };
  REQUIRE(Stage_(scene, options)->Photo().ok());
  CHECK(first_told > 16);
  CHECK_FALSE(std::filesystem::exists(kept + ".sums"));
  CHECK(std::filesystem::exists(kept + "-48.tif"));
}

TEST_CASE("Stage's photograph: of another stage it is never used", "[stage][invariant]") {
  const TempFolder folder;
  WriteText(folder / "a.toml", SheetScene(4, "base = \"kept.tif\"\n"));
  auto scene = ReadScene(folder / "a.toml", {SourcePath(""), {}});
  REQUIRE(scene.ok());
  auto staged = Stage_(*scene);
  REQUIRE(TakeStagePhoto(staged->stage(), staged->built(), {}, folder / "kept.tif").ok());
  const std::string digest = staged->built().digest;
  // Layout, order and the number of samples do not make another stage; a light does.
  WriteText(folder / "a.toml", "# moved\n" + SheetScene(4, "base = \"kept.tif\"\n"));
  CHECK(Stage_(*ReadScene(folder / "a.toml", {SourcePath(""), {}}))->built().digest == digest);
  WriteText(folder / "b.toml", SheetScene(4,
                                          "base = \"kept.tif\"\n[[stage.soft_light]]\nat = [0, "
                                          "500, 500]\naim = [0, 0, 0]\nsize = [100, 100]\n"));
  scene = ReadScene(folder / "b.toml", {SourcePath(""), {}});
  REQUIRE(scene.ok());
  int told = 0;
  StagePhotoOptions options;
  options.progress = [&told](const StageProgress&) { return ++told > 0; };
  staged = Stage_(*scene, options);
  CHECK(staged->built().digest != digest);
  REQUIRE(staged->Photo().ok());
  CHECK(told > 0);
}

TEST_CASE("Stage's photograph: a base that is another picture is refused, and kept",
          "[stage][bad-input]") {
  const TempFolder folder;
  WriteText(folder / "a.toml", SheetScene(4, "base = \"mine.tif\"\n"));
  const RunResult made = Run(fmt::format("convert -size 48x36 xc:red '{}'", folder / "mine.tif"));
  REQUIRE(made.status == 0);
  const std::string before = ReadText(folder / "mine.tif");
  const auto scene = ReadScene(folder / "a.toml", {SourcePath(""), {}});
  REQUIRE(scene.ok());
  const auto staged = StagedScene::Build(scene->stage, {});
  REQUIRE_FALSE(staged.ok());
  CHECK(
      FormatErrors(staged.errors()) ==
      fmt::format("{}:5:8: error: stage.base = \"{}\": expected a photograph of a stage that this "
                  "program has kept, or no file yet\n",
                  folder / "a.toml", folder / "mine.tif"));
  CHECK(ReadText(folder / "mine.tif") == before);
}

TEST_CASE("Kept sums: damaged or of another size they count as none", "[stage][bad-input]") {
  const TempFolder folder;
  TraceSums sums;
  const SizePx size{5, 4};
  sums.samples = 3;
  for (Image<SceneLinear>* image : {&sums.diffuse, &sums.mirrored, &sums.albedo,
                                    &sums.diffuse_squared, &sums.mirrored_squared, &sums.normal}) {
    *image = Image<SceneLinear>(size);
    image->row(1, 2)[3] = 0.25f;
  }
  sums.depth = Image<Coverage>(size);
  sums.depth_squared = Image<Coverage>(size);
  REQUIRE(WriteSums(sums, folder / "a.sums").ok());
  const auto read = ReadSums(folder / "a.sums", size, 0);
  REQUIRE(read.has_value());
  CHECK(read->samples == 3);
  CHECK(read->normal.row(1, 2)[3] == 0.25f);
  CHECK_FALSE(ReadSums(folder / "a.sums", {4, 5}, 0).has_value());
  CHECK_FALSE(ReadSums(folder / "none.sums", size, 0).has_value());
  const std::string whole = ReadText(folder / "a.sums");
  WriteText(folder / "cut.sums", whole.substr(0, whole.size() - 1));
  CHECK_FALSE(ReadSums(folder / "cut.sums", size, 0).has_value());
  CHECK_FALSE(ReadSums(folder / "a.sums", size, 1).has_value());
}

TEST_CASE("Stage: a face that an object does not have is refused where it is named",
          "[stage][bad-input]") {
  const Scene scene = Read(SheetScene(4) +
                               "[[placement]]\nsurface = \"sheet.fornt\"\n"
                               "artwork = \"mark\"\n",
                           "sheet.toml");
  const auto staged = Stage_(scene);
  const auto surfaces = StageSurfaces(staged->stage(), staged->built(), scene.surfaces);
  REQUIRE_FALSE(surfaces.ok());
  CHECK(
      FormatErrors(surfaces.errors()) ==
      "sheet.toml:18:11: error: placement.surface = \"sheet.fornt\": expected a face of \"sheet\": "
      "\"sheet.front\" and \"sheet.back\"; did you mean \"sheet.front\"?\n");
}

TEST_CASE("Stage: a face stands in the picture where pinhole and mm say", "[stage][closed-form]") {
  const Scene scene = Read(SheetScene(4), "sheet.toml");
  const auto staged = Stage_(scene);
  const auto surfaces = StageSurfaces(staged->stage(), staged->built(), scene.surfaces);
  REQUIRE(surfaces.ok());
  const Face& face = surfaces->front().faces.front();
  CHECK(face.area.high.x - face.area.low.x == Approx(200));
  CHECK(face.area.high.y - face.area.low.y == Approx(200));
  const Frame frame = FramePhoto({48, 36}, SizePx{480, 360});
  const ChartPicture picture = face.charts.front()->Picture(frame);
  // Focal length in px: 50 mm on the film's diagonal of 43.27 mm; the sheet's front at most its thickness before z = 0.
  const double focal = 50 / 43.266615 * std::hypot(480, 360);
  const double half = focal * 100 / 600;
  CHECK(static_cast<double>(picture.region.x0) == Approx(240 - half).margin(1.1));
  CHECK(static_cast<double>(picture.region.x1) == Approx(240 + half).margin(1.1));
  const int64_t x = 240 - picture.region.x0, y = 180 - picture.region.y0;
  CHECK(picture.mm.row(0, y)[x] == Approx(100 + 0.5 * 600 / focal).margin(0.05));
  CHECK(picture.mm.row(2, y)[x] == Approx(600 / focal).epsilon(1e-3));
}

}  // namespace wheatpaste::test

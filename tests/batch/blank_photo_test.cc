#include "batch/blank_photo.h"

#include <algorithm>

#include "batch/run_batch.h"
#include "cli/batch_scene.h"

namespace wheatpaste::test {
namespace {

constexpr char kOutputs[] = R"(title = "Blank"
scenes = ["scene.toml", "wide.toml"]
[[artwork]]
name = "plain"
slots = { mark = "mark.svg" }
[[output]]
name = "own"
format = "png"
[[output]]
name = "small"
size = "160x90"
format = "png"
[[output]]
name = "sheet"
size = "60x90mm"
ppi = 72
bleed = 3
crop_marks = true
fit = "contain"
ground = "#804020"
format = "png"
)";

class NoObserver : public BatchObserver {
  void Begins(size_t, size_t) override {}
  void Ended(const JobRecord&) override {}
};

// scene.toml on the photo as it is; wide.toml with a small print on a card whose old print is removed.
struct BlankScene : BatchScene {
  BlankScene() {
    WriteText(folder / "run.toml", kOutputs);
    Exchange("wide.toml", "width = 390", "width = 90");
    Exchange("wide.toml", "photo.png", "printed.png");
    MustRun("/usr/bin/convert '" + folder / "photo.png" +
            "' -fill '#702020' -draw 'rectangle 100,96 115,143' PNG24:'" + folder / "printed.png" +
            "'");
    Exchange("wide.toml", "substrate = \"coated paper\"",
             "substrate = \"coated paper\"\nold_print = \"remove\"");
    options = {folder / "run-out", {}, {SourcePath("."), {}}};
    const auto sheet = ReadRunSheet(folder / "run.toml", options.scenes);
    if (!sheet) FAIL(FormatErrors(sheet.errors()));
    BatchOptions batch;
    batch.folder = options.folder;
    batch.scenes = options.scenes;
    batch.version = "1";
    NoObserver observer;
    const auto made = wheatpaste::Batch(batch).Run(*sheet, observer);
    if (!made) FAIL(FormatErrors(made.errors()));
    REQUIRE(made->made == 6);
    const auto read = ReadManifest(options.folder);
    if (!read) FAIL(FormatErrors(read.errors()));
    manifest = *read;
  }
  const JobRecord& Job(const std::string& file) const {
    const auto job = std::find_if(manifest.jobs.begin(), manifest.jobs.end(),
                                  [&](const JobRecord& record) { return record.file == file; });
    REQUIRE(job != manifest.jobs.end());
    return *job;
  }
  std::vector<uint16_t> Blank(const std::string& file) const {
    const auto written = WriteBlankPhoto(folder / "blank.png", manifest, Job(file), options);
    if (!written) FAIL(FormatErrors(written.errors()));
    return CodesOf(folder / "blank.png");
  }
  std::vector<uint16_t> Picture(const std::string& file) const {
    return CodesOf(options.folder + "/" + file);
  }
  std::string Refusal(const std::string& file) const {
    const auto written = WriteBlankPhoto(folder / "none.png", manifest, Job(file), options);
    REQUIRE_FALSE(written.ok());
    CHECK(Run("ls '" + folder / "none.png'").status != 0);
    return FormatErrors(written.errors());
  }

  BlankPhotoOptions options;
  Manifest manifest;
};

// The least rectangle that holds every pixel in which the two differ.
RectPx Difference(const std::vector<uint16_t>& a, const std::vector<uint16_t>& b, int64_t width) {
  REQUIRE(a.size() == b.size());
  std::optional<RectPx> all;
  for (size_t i = 0; i < a.size(); ++i) {
    if (a[i] == b[i]) continue;
    const int64_t x = static_cast<int64_t>(i) / 3 % width, y = static_cast<int64_t>(i) / 3 / width;
    const RectPx one{x, y, x + 1, y + 1};
    all = all ? Hull(*all, one) : one;
  }
  return all.value_or(RectPx{});
}

TEST_CASE("Blank photo: it is the photo, and differs from its picture where artwork lies alone",
          "[batch][invariant]") {
  // The card spans photo x 75 to 240, y 60 to 190; 300 x 200 mm of its 400 x 300 are printed.
  const BlankScene scene;
  CHECK(scene.Blank("scene/plain-own.png") == CodesOf(scene.folder / "photo.png"));
  const RectPx own =
      Difference(scene.Blank("scene/plain-own.png"), scene.Picture("scene/plain-own.png"), kWidth);
  CHECK(own.width() > 100);
  CHECK(Intersect(own, {75, 60, 240, 190}) == own);
  // Half as large, cut to 16:9: photo rows 30 to 210.
  const RectPx small =
      Difference(scene.Blank("scene/plain-small.png"), scene.Picture("scene/plain-small.png"), 160);
  CHECK(small.width() > 50);
  CHECK(Intersect(small, {37, 15, 120, 80}) == small);
  // On its sheet, with ground and crop marks, the picture lies where the record says.
  const JobRecord& sheet = scene.Job("scene/plain-sheet.png");
  REQUIRE(sheet.frame);
  // All of the photo is 60 mm wide, 170 px at 72 px an inch, to a px.
  CHECK(std::abs(sheet.frame->picture.width() - 170) <= 1);
  CHECK(std::abs(sheet.frame->window.width - kWidth) <= kWidth / 170.0);
  const RectPx on_sheet = Difference(scene.Blank("scene/plain-sheet.png"),
                                     scene.Picture("scene/plain-sheet.png"), sheet.size.width);
  CHECK(on_sheet.width() > 50);
  CHECK(Intersect(on_sheet, sheet.frame->picture) == on_sheet);
}

TEST_CASE("Blank photo: an old print is gone from it as from the picture", "[batch][invariant]") {
  const BlankScene scene;
  const auto blank = scene.Blank("wide/plain-own.png");
  // 90 x 60 mm in the middle of the card.
  const RectPx printed = Difference(blank, scene.Picture("wide/plain-own.png"), kWidth);
  CHECK(printed.width() > 30);
  CHECK(Intersect(printed, {130, 95, 185, 155}) == printed);
  const RectPx removed = Difference(blank, CodesOf(scene.folder / "printed.png"), kWidth);
  CHECK(removed.width() >= 16);
  CHECK(Intersect(removed, {92, 88, 124, 152}) == removed);
}

TEST_CASE("Blank photo: none is made of a scene, photo or run sheet that has changed",
          "[batch][bad-input]") {
  const BlankScene scene;
  const std::string file = "scene/plain-small.png";
  const auto changed = [&](const std::string& what) {
    return what + " since " + file + " was made; run the batch again\n";
  };
  const auto twice = [&](const std::string& name, const std::string& from, const std::string& to) {
    scene.Exchange(name, from, to);
    const std::string refusal = scene.Refusal(file);
    scene.Exchange(name, to, from);
    return refusal;
  };
  CHECK(twice("scene.toml", "width = 300", "width = 299") ==
        changed("scene.toml: error: has changed"));
  CHECK(twice("scene.toml", "shape = \"plane\"", "shape = \"plan\"") ==
        changed("scene.toml: error: has changed"));
  const std::string sheet = scene.folder / "run.toml: error: ";
  // Of the same size, and still another part of the photo.
  CHECK(twice("run.toml", "size = \"160x90\"", "size = \"160x90\"\nfit = \"contain\"") ==
        changed(sheet + "frames the picture otherwise than it did"));
  CHECK(twice("run.toml", "160x90", "160x91") ==
        changed(sheet + "frames the picture otherwise than it did"));
  CHECK(twice("run.toml", "\"small\"", "\"tiny\"") ==
        changed(sheet + "has changed and makes it no more"));
  CHECK(twice("run.toml", "format = \"png\"\n[[output]]\nname = \"sheet\"",
              "format = \"png\"\nprofile = \"Display P3\"\n[[output]]\nname = \"sheet\"") ==
        changed(sheet + "asks for another profile"));

  MustRun("mv '" + scene.folder / "run.toml' '" + scene.folder / "other.toml'");
  CHECK(scene.Refusal(file) ==
        "run.toml: error: the batch's run sheet is not where its record "
        "says, nor in " +
            scene.options.folder + " or above\n");
  BlankPhotoOptions options = scene.options;
  options.run_sheet = scene.folder / "other.toml";
  CHECK(WriteBlankPhoto(scene.folder / "a.jpg", scene.manifest, scene.Job(file), options).ok());
  MustRun("mv '" + scene.folder / "other.toml' '" + scene.folder / "run.toml'");
  // A manifest that does not say where it is.
  Manifest old = scene.manifest;
  old.run_sheet_path.clear();
  const auto found = FindRunSheet(scene.options.folder, old);
  REQUIRE(found.ok());
  CHECK(*found == scene.folder / "run.toml");

  MustRun("/usr/bin/convert '" + scene.folder / "photo.png' -negate '" +
          scene.folder / "photo.png'");
  CHECK(scene.Refusal(file) == changed("photo.png: error: has changed"));
  MustRun("rm '" + scene.folder / "photo.png'");
  CHECK(scene.Refusal(file).find("photo.png\": cannot open") != std::string::npos);
}

}  // namespace
}  // namespace wheatpaste::test

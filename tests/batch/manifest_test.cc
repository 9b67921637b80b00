#include "batch/manifest.h"

#include <catch2/catch.hpp>

#include "base/files.h"
#include "support.h"

namespace wheatpaste {
namespace {

JobRecord Record(const std::string& file) {
  JobRecord record;
  record.file = file;
  record.scene = "poster";
  record.artwork = "primary";
  record.output = "slide";
  record.colourway = "night";
  record.scene_title = "A \"title\" with \\ and \xff";
  record.print_condition = "coated offset";
  record.done = true;
  record.warnings = {"soft"};
  record.notes = {"one", "two"};
  record.recipe = "abc";
  record.inputs = {{"poster.toml", "11"}, {"wheatpaste:shared/inks.toml", "22"}};
  record.size = {1920, 1080};
  record.ppi = 96.5;
  record.bleed_mm = 3;
  record.profile = "sRGB built-in";
  record.bytes = 123456789012;
  record.sha256 = "33";
  record.changed_ns = 1795741571563163011;
  record.seconds = 0.25;
  record.placements = {{"carton.front", "mark", 120.5, 60, 3.25, {{410.5, 99}}},
                       {"wall", "art.svg", {}, {}, {}, {}}};
  record.colours = {{"moss", "#0f4a3f", {27.5, -22, 3}, {{90, 40, 70, 45}}, {{29, -20, 2}}, 1.5},
                    {"", "#ffffff", {100, 0, 0}, {}, {}, {}}};
  record.frame = {{10, 20, 1900, 1060}, {0.125, 1.0 / 3, 2999.5, 1687.21875}};
  record.from_metres = 4;
  record.vision = "deutan";
  return record;
}

JobRecord Failed(const std::string& file) {
  JobRecord record;
  record.file = file;
  record.errors = {"art/a.svg: error: is empty"};
  record.inputs = {{"poster.toml", "11"}};
  return record;
}

void CheckSame(const JobRecord& a, const JobRecord& b) {
  CHECK(a.file == b.file);
  CHECK(a.scene == b.scene);
  CHECK(a.artwork == b.artwork);
  CHECK(a.output == b.output);
  CHECK(a.colourway == b.colourway);
  CHECK(a.print_condition == b.print_condition);
  CHECK(a.done == b.done);
  CHECK(a.errors == b.errors);
  CHECK(a.warnings == b.warnings);
  CHECK(a.notes == b.notes);
  CHECK(a.recipe == b.recipe);
  CHECK(a.inputs == b.inputs);
  CHECK(a.size == b.size);
  CHECK(a.ppi == b.ppi);
  CHECK(a.bleed_mm == b.bleed_mm);
  CHECK(a.profile == b.profile);
  CHECK(a.bytes == b.bytes);
  CHECK(a.sha256 == b.sha256);
  CHECK(a.changed_ns == b.changed_ns);
  CHECK(a.seconds == b.seconds);
  CHECK(a.frame == b.frame);
  CHECK(a.from_metres == b.from_metres);
  CHECK(a.vision == b.vision);
  CHECK(a.placements == b.placements);
  CHECK(a.colours == b.colours);
}

TEST_CASE("Manifest: what is written is read again", "[batch][invariant]") {
  const test::TempFolder folder;
  Manifest manifest{"wheatpaste 0.1.0", "First round", "pitch.toml", {}, {}, false};
  manifest.run_sheet_path = "../pitch.toml";
  manifest.jobs = {Record("poster/a.jpg"), Failed("poster/b.jpg")};
  manifest.left_over = {Record("poster/old.jpg")};
  REQUIRE(WriteManifest(folder.path(), manifest).ok());
  const auto read = ReadManifest(folder.path());
  if (!read) FAIL(FormatErrors(read.errors()));
  CHECK(read->program == manifest.program);
  CHECK(read->title == manifest.title);
  CHECK(read->run_sheet == manifest.run_sheet);
  CHECK(read->run_sheet_path == manifest.run_sheet_path);
  REQUIRE(read->jobs.size() == 2);
  CheckSame(read->jobs[0], manifest.jobs[0]);
  CheckSame(read->jobs[1], manifest.jobs[1]);
  REQUIRE(read->left_over.size() == 1);
  CheckSame(read->left_over[0], manifest.left_over[0]);
  CHECK(read->jobs[0].scene_title ==
        "A \"title\" with \\ and \xef\xbf\xbd");  // no such text: U+FFFD
}

TEST_CASE("Manifest: one of an earlier version is read, what it did not know is left open",
          "[batch][invariant]") {
  const test::TempFolder folder;
  test::WriteText(folder / "manifest.json", R"({"program": "wheatpaste 0.0.9",
"title": "Round one", "run_sheet": "run.toml", "inputs": [{"file": "poster.toml", "sha256": "11"}],
"jobs": [{"file": "poster/a.jpg", "scene": "poster", "artwork": "a", "colourway": null, "output": "page",
"title": "Poster", "print_condition": null, "status": "done", "errors": [], "warnings": [], "notes": [],
"recipe": "22", "inputs": [0], "seconds": 0.5, "size_px": [160, 120], "ppi": 96.0, "bleed_mm": null,
"profile": "sRGB", "bytes": 1234, "sha256": "33", "changed_ns": 5}],
"left_over": []})");
  const auto read = ReadManifest(folder.path());
  if (!read) FAIL(FormatErrors(read.errors()));
  CHECK(read->run_sheet_path.empty());
  REQUIRE(read->jobs.size() == 1);
  const JobRecord& job = read->jobs[0];
  CHECK(job.done);
  CHECK(job.size == SizePx{160, 120});
  CHECK_FALSE(job.frame);
  CHECK(job.placements.empty());
  CHECK(job.colours.empty());
  CHECK_FALSE(job.from_metres);
  CHECK(job.vision.empty());
}

TEST_CASE("Manifest: a killed run is read from the journal, but for a line cut off",
          "[batch][invariant]") {
  const test::TempFolder folder;
  Manifest manifest{"wheatpaste 0.1.0", "", "pitch.toml", {Failed("a.jpg")}, {}, false};
  REQUIRE(WriteManifest(folder.path(), manifest).ok());
  const std::string journal = folder / ".manifest.json.journal";
  {
    auto open = Journal::Open(folder.path());
    REQUIRE(open.ok());
    REQUIRE(open->Add(Record("a.jpg")).ok());
    REQUIRE(open->Add(Record("b.jpg")).ok());
  }
  const std::string whole = test::ReadText(journal);
  for (size_t cut = 0; cut <= whole.size(); cut += 41) {
    test::WriteText(journal, whole.substr(0, cut));
    const auto read = ReadManifest(folder.path());
    REQUIRE(read.ok());
    const size_t lines = cut == whole.size() ? 2 : cut > whole.find('\n') ? 1 : 0;
    REQUIRE(read->jobs.size() == (lines == 2 ? 2 : 1));
    REQUIRE(read->jobs[0].done == (lines > 0));
  }
  // A run that goes on after a cut line keeps what it adds.
  test::WriteText(journal, whole.substr(0, whole.size() - 10));
  {
    auto open = Journal::Open(folder.path());
    REQUIRE(open.ok());
    REQUIRE(open->Add(Record("c.jpg")).ok());
  }
  auto read = ReadManifest(folder.path());
  REQUIRE(read.ok());
  REQUIRE(read->jobs.size() == 2);
  CHECK(read->jobs[1].file == "c.jpg");
  REQUIRE(WriteManifest(folder.path(), *read).ok());
  CHECK(folder.List() == std::vector<std::string>{"manifest.json"});
}

TEST_CASE("Manifest: what is none is refused, nothing is thrown", "[batch][bad-input]") {
  const test::TempFolder folder;
  CHECK(ReadManifest(folder.path())->jobs.empty());
  Manifest manifest{"p", "", "r", {Record("a.jpg")}, {}, false};
  REQUIRE(WriteManifest(folder.path(), manifest).ok());
  const std::string good = test::ReadText(folder / "manifest.json");
  const auto exchanged = [&good](const std::string& from, const std::string& to) {
    std::string text = good;
    const size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
  };
  for (const std::string& wrong :
       {std::string(), std::string("{"), std::string("[]"), std::string("{\"jobs\": 1}"),
        exchanged("[0,1]", "[0,7]"), exchanged("[0,1]", "\"x\""), exchanged("\"done\"", "7"),
        exchanged("1920", "\"wide\""), exchanged("a.jpg", "../a.jpg"), exchanged("a.jpg", "/a.jpg"),
        std::string(100'000, '['), good.substr(0, good.size() / 2)}) {
    test::WriteText(folder / "manifest.json", wrong);
    const auto read = ReadManifest(folder.path());
    INFO(wrong.substr(0, 80));
    REQUIRE_FALSE(read.ok());
    CHECK(FormatError(read.errors().front())
              .find("manifest.json: error: expected the record of a "
                    "batch") != std::string::npos);
  }
}

}  // namespace
}  // namespace wheatpaste

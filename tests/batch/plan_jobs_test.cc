#include "batch/plan_jobs.h"

#include <set>

#include <catch2/catch.hpp>

#include "batch/run_batch.h"
#include "support.h"

namespace wheatpaste {
namespace {

RunSheet Sheet(const std::string& more = "") {
  auto sheet = ParseRunSheet(R"(
scenes = ["poster.toml", "carton.toml"]
[[artwork]]
name = "primary"
slots = { mark = "primary.svg" }
[[artwork]]
name = "stacked"
slots = { mark = "stacked.svg" }
[[colourway]]
name = "night"
recolour = { "#000000" = "#ffffff" }
[[output]]
name = "slide"
size = "1920x1080"
format = "jpeg"
[[output]]
name = "board"
size = "A3"
format = "tiff"
)" + more,
                             "/runs/pitch.toml", {test::SourcePath("."), {}});
  if (!sheet) FAIL(FormatErrors(sheet.errors()));
  return *std::move(sheet);
}

std::vector<std::string> FilesOf(const std::string& more) {
  const auto jobs = PlanJobs(Sheet(more));
  if (!jobs) FAIL(FormatErrors(jobs.errors()));
  std::vector<std::string> files;
  for (const PlannedJob& job : *jobs) files.push_back(job.file);
  return files;
}

TEST_CASE("PlanJobs: every scene x artwork x colourway x output, named as the contract says",
          "[batch][closed-form]") {
  const auto files = FilesOf("");
  REQUIRE(files.size() == 2 * 2 * 2 * 2);
  CHECK(std::set<std::string>(files.begin(), files.end()).size() == files.size());
  CHECK(files[0] == "poster/primary-slide.jpg");
  CHECK(files[1] == "poster/primary-night-slide.jpg");
  CHECK(files[2] == "poster/stacked-slide.jpg");
  CHECK(files[4] == "poster/primary-board.tif");
  CHECK(files[15] == "carton/stacked-night-board.tif");
}

TEST_CASE("PlanJobs: includes choose, excludes take away", "[batch][closed-form]") {
  using Files = std::vector<std::string>;
  CHECK(FilesOf("[[include]]\nscene = \"poster\"\noutput = \"slide\"\n"
                "[[exclude]]\nartwork = \"st*\"\ncolourway = \"night\"\n") ==
        Files{"poster/primary-slide.jpg", "poster/primary-night-slide.jpg",
              "poster/stacked-slide.jpg"});
  CHECK(FilesOf("[[include]]\nscene = \"carton\"\nartwork = \"stacked\"\ncolourway = \"none\"\n"
                "[[include]]\nscene = \"poster\"\nartwork = \"primary\"\ncolourway = \"none\"\n") ==
        Files{"poster/primary-slide.jpg", "poster/primary-board.tif", "carton/stacked-slide.jpg",
              "carton/stacked-board.tif"});
  const auto none = PlanJobs(Sheet("[[exclude]]\nscene = \"*\"\n"));
  REQUIRE_FALSE(none.ok());
  CHECK(FormatErrors(none.errors()) ==
        "/runs/pitch.toml: error: nothing is left to make; expected include and exclude to leave "
        "something\n");
}

TEST_CASE("PlanJobs: two jobs never share a file", "[batch][bad-input]") {
  const auto jobs =
      PlanJobs(Sheet("[[artwork]]\nname = \"primary-night\"\nslots = { mark = \"a.svg\" }\n"));
  REQUIRE_FALSE(jobs.ok());
  CHECK(FormatError(jobs.errors().front()) ==
        "/runs/pitch.toml:21:8: error: artwork.name = \"primary-night\": "
        "poster/primary-night-slide.jpg is the file of artwork primary too; expected names that do "
        "not make the same together with colourways and outputs");
}

TEST_CASE("JobsOf: shards share every job out once, evenly by cost", "[batch][invariant]") {
  std::vector<PlannedJob> jobs(1000);
  std::vector<double> costs;
  uint32_t noise = 1;
  double total = 0, largest = 0;
  for (size_t i = 0; i < jobs.size(); ++i) {
    noise = noise * 1664525 + 1013904223;
    costs.push_back(1 + noise % 97);
    total += costs.back();
    largest = std::max(largest, costs.back());
  }
  for (const int parts : {1, 2, 3, 7, 64}) {
    std::vector<int> times(jobs.size());
    for (int part = 1; part <= parts; ++part) {
      double cost = 0;
      for (const size_t i : JobsOf({part, parts}, jobs, costs)) {
        ++times[i];
        cost += costs[i];
      }
      // A job that lies across a border makes a part larger by half its own cost at either end.
      CHECK(std::abs(cost - total / parts) <= largest + 1e-6 * total);
    }
    for (const int count : times) REQUIRE(count == 1);
  }
}

TEST_CASE("ReadShard: PART/PARTS and nothing else", "[batch][bad-input]") {
  const auto read = [](const std::string& text) {
    return ReadShard({text, {"--shard " + text}, ""});
  };
  REQUIRE(read("2/4").ok());
  CHECK(read("2/4")->part == 2);
  CHECK(ManifestNameOf(*read("2/4")) == "manifest-2-of-4.json");
  CHECK(ManifestNameOf(Shard{}) == "manifest.json");
  for (const char* wrong : {"", "2", "0/4", "5/4", "a/4", "2/4 ", "-1/4", "1/99999", "1//2"}) {
    const auto shard = read(wrong);
    REQUIRE_FALSE(shard.ok());
    CHECK(FormatError(shard.errors().front()) ==
          std::string("--shard ") + wrong + ": error: expected PART/PARTS, such as 2/4");
  }
}

}  // namespace
}  // namespace wheatpaste

#include "batch/plan_jobs.h"

#include <set>

#include <catch2/catch.hpp>

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

}  // namespace
}  // namespace wheatpaste

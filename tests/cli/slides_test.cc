#include <filesystem>

#include <catch2/catch.hpp>

#include "cli/batch_scene.h"
#include "must_run.h"
#include "support.h"

namespace wheatpaste::test {
namespace {

TEST_CASE("Program: slides of a batch, in a size and a theme of their own", "[cli][reference]") {
  // Source  poppler 22.12 reads the deck.
  const BatchScene scene;
  REQUIRE(scene.Batch().status == 0);
  WriteText(scene.folder / "own.toml",
            "[fonts]\nheading = \"No Such Family\"\n[logo]\nfile = \"round.svg\"\nheight = 10\n");
  const RunResult run = scene.Program("slides run-out --size \"A4 landscape\" --theme own.toml");
  INFO(run.err);
  REQUIRE(run.status == 0);
  // 2 scenes x 4 pictures and a comparison each, title, index, and what colours the batch knows of.
  CHECK(run.out.find(" pages, 8 pictures, ") != std::string::npos);
  CHECK(run.out.find("note: the font No Such Family is not on this machine; ") !=
        std::string::npos);
  const std::string info = MustRun("pdfinfo " + (scene.folder / "run-out/slides.pdf"));
  CHECK(info.find("Title:           Round one\n") != std::string::npos);
  CHECK(info.find("841.89 x 595.276 pts (A4)") != std::string::npos);
  // The logo: the artwork's red on the first page.
  MustRun("cd " + scene.folder.path() +
          " && pdftocairo -png -singlefile -r 72 run-out/slides.pdf first");
  const std::string red =
      MustRun("convert " + (scene.folder / "first.png") + " -format '%[hex:p{59,59}]' info:");
  CHECK(red.substr(0, 6) == "C02020");
}

TEST_CASE("Program: slides refuse what they cannot show, and write nothing", "[cli][bad-input]") {
  const BatchScene scene;
  const RunResult empty = scene.Program("slides . --out x.doc --size 10x10mm --theme none.toml");
  CHECK(empty.status == 2);
  CHECK(empty.err.find("--out x.doc: error: expected a name ending in .pdf\n") !=
        std::string::npos);
  CHECK(empty.err.find("none.toml: error: cannot open, no such file\n") != std::string::npos);
  CHECK(empty.err.find(
            "manifest.json: error: expected a batch's record with pictures in it; make the batch "
            "first\n") != std::string::npos);
  CHECK(scene.Program("slides . --size upright").err.find("--size upright: error: expected ") !=
        std::string::npos);
  CHECK_FALSE(std::filesystem::exists(scene.folder / "slides.pdf"));
}

TEST_CASE("Program: slides without a picture that is gone end with status 1", "[cli][bad-input]") {
  const BatchScene scene;
  REQUIRE(scene.Batch().status == 0);
  std::filesystem::remove(scene.folder / "run-out/scene/plain-page.jpg");
  const RunResult run = scene.Program("slides run-out --out deck.pdf");
  CHECK(run.status == 1);
  CHECK(run.err == "missing: scene/plain-page.jpg: cannot open: No such file or directory\n");
  CHECK(std::filesystem::exists(scene.folder / "deck.pdf"));
  const RunResult nowhere = scene.Program("slides run-out --out none/deck.pdf");
  CHECK(nowhere.status == 2);
  CHECK(nowhere.err == "none/deck.pdf: error: cannot write: No such file or directory\n");
}

}  // namespace
}  // namespace wheatpaste::test

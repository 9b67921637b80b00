// Wrong command lines: status 2, one clear line, nothing written.
#include "cli/small_scene.h"

using namespace wheatpaste::test;

TEST_CASE("Arguments: commands and options that do not exist", "[hostile][bad-input]") {
  const SmallScene scene;
  CheckRefused(scene, "", "wheatpaste: error: A subcommand is required; see wheatpaste --help\n");
  CheckRefused(
      scene, "rendr scene.toml",
      "wheatpaste: error: rendr: expected a command: render, batch, merge, slides, "
      "sheet, review, answers, check, stage, blank, dieline or matte; see wheatpaste --help\n");
  CheckRefused(scene, "render", "wheatpaste: error: SCENE is required; see wheatpaste --help\n");
  CheckRefused(scene, "render scene.toml --colour red",
               "wheatpaste: error: The following arguments were not expected: red --colour; see "
               "wheatpaste --help\n");
}

TEST_CASE("Arguments: values out of range, all reported at once", "[hostile][bad-input]") {
  const SmallScene scene;
  CheckRefused(scene, "render scene.toml --artwork mark=mark.svg --threads 0 --ppi nan --out a.gif",
               "--threads 0: error: expected a whole number from 1 to 1024\n"
               "a.gif: error: expected a name ending in .png, .jpg, .tif, .webp or .pdf\n"
               "--ppi nan: error: expected pixels per inch from 1 to 10000\n");
  for (const char* size : {"40x", "0x0", "-3x5", "1e9x1e9", "99999999999999999999x1", "''"}) {
    const RunResult run = scene.Render(std::string("--out a.png --size ") + size);
    INFO(size << ": " << run.err);
    CHECK(run.status == 2);
    CHECK(run.err.starts_with(std::string("--size ") + (*size == '\'' ? "" : size)));
    CHECK(run.err.find(": error: ") != std::string::npos);
  }
  CHECK(scene.folder.List() == std::vector<std::string>{"mark.svg", "photo.png", "scene.toml"});
}

TEST_CASE("Arguments: slots missing, unknown, twice, without a file", "[hostile][bad-input]") {
  const SmallScene scene;
  const std::string empty =
      "scene.toml:13:11: error: placement.artwork = \"mark\": the slot is empty; fill it with "
      "--artwork mark=FILE\n";
  CheckRefused(scene, "render scene.toml", empty);
  CheckRefused(scene, "render scene.toml --artwork mork=mark.svg",
               "--artwork mork=mark.svg: error: expected a slot of scene.toml; its slots are: "
               "mark\n" +
                   empty);
  CheckRefused(scene, "render scene.toml --artwork mark=mark.svg --artwork mark=mark.svg",
               "--artwork mark=mark.svg: error: the slot is already filled; expected each slot "
               "once\n");
  CheckRefused(scene, "render scene.toml --artwork mark=",
               "--artwork mark=: error: expected SLOT=FILE, such as mark=art/mark.svg\n");
  CheckRefused(scene, "render scene.toml --artwork mark=none.svg",
               "none.svg: error: cannot open, no such file\n");
}

TEST_CASE("Arguments: a scene that is not there, or no file", "[hostile][bad-input]") {
  const SmallScene scene;
  CheckRefused(scene, "render none.toml", "none.toml: error: cannot open, no such file\n");
  CheckRefused(scene, "check none.toml", "none.toml: error: cannot open, no such file\n");
  CheckRefused(scene, "render .", ".: error: expected a regular file\n");
}

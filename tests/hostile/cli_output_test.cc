// Places where no picture can be written, or must not be: a clear error, nothing half-written.
#include <filesystem>

#include <sys/stat.h>
#include <unistd.h>

#include "cli/small_scene.h"

using namespace wheatpaste::test;

namespace {

const std::string kRender = "render scene.toml --artwork mark=mark.svg ";

}  // namespace

TEST_CASE("Output: folders that are not there, or no folders", "[hostile][bad-input]") {
  const SmallScene scene;
  CheckRefused(scene, kRender + "--out none/a.png",
               "none/a.png: error: cannot write: No such file or directory\n");
  CheckRefused(scene, kRender + "--out mark.svg/a.png",
               "mark.svg/a.png: error: cannot write: Not a directory\n");
  std::filesystem::create_directory(scene.folder / "folder.png");
  CheckRefused(scene, kRender + "--out folder.png",
               "folder.png: error: cannot write, it is not a regular file\n");
}

TEST_CASE("Output: a folder without the right to write", "[hostile][bad-input]") {
  if (geteuid() == 0) return;  // root may write everywhere; the disk below serves there
  const SmallScene scene;
  std::filesystem::create_directory(scene.folder / "locked");
  REQUIRE(chmod((scene.folder / "locked").c_str(), 0555) == 0);
  CheckRefused(scene, kRender + "--out locked/a.png",
               "locked/a.png: error: cannot write: Permission denied\n");
}

TEST_CASE("Output: where no report can be, there is no picture", "[hostile][bad-input]") {
  const SmallScene scene;
  CheckRefused(scene, kRender + "--out a.png --report none/r.json",
               "none/r.json: error: cannot write: No such file or directory\n");
  CheckRefused(scene, kRender + "--out a.png --report .",
               ".: error: cannot write, it is not a regular file\n");
}

TEST_CASE("Output: never over a file that the command reads, or over its other output",
          "[hostile][bad-input]") {
  const SmallScene scene;
  const std::string photo = ReadText(scene.folder / "photo.png");
  CheckRefused(scene, kRender + "--out ./photo.png",
               "--out ./photo.png: error: is also the photo; expected a name of its own\n");
  CHECK(ReadText(scene.folder / "photo.png") == photo);
  // The same file by another name.
  REQUIRE(symlink("photo.png", (scene.folder / "link.png").c_str()) == 0);
  CheckRefused(scene, kRender + "--out link.png",
               "--out link.png: error: is also the photo; expected a name of its own\n");
  CheckRefused(scene, kRender + "--out a.png --report scene.toml",
               "--report scene.toml: error: is also the scene; expected a name of its own\n");
  CheckRefused(scene, kRender + "--out a.png --report mark.svg",
               "--report mark.svg: error: is also an artwork; expected a name of its own\n");
  CheckRefused(scene, kRender + "--out a.png --report ./a.png",
               "--report ./a.png: error: is also the picture; expected a name of its own\n");
}

TEST_CASE("Output: a file that grows beyond what the system allows", "[hostile][bad-input]") {
  const SmallScene scene;
  for (const std::string name : {"a.png", "a.pdf"}) {
    WriteText(scene.folder / name, "earlier");
    const auto before = scene.folder.List();
    // 16 blocks of 512 bytes; the picture of noise takes some 200 kB.
    const RunResult run = Run("cd '" + scene.folder.path() + "' && ulimit -f 16 && '" +
                              WHEATPASTE_PROGRAM "' " + kRender + "--out " + name + " 2>&1");
    CHECK(run.status == 2);
    CHECK(run.out == name + ": error: cannot write: File too large\n");
    CHECK(ReadText(scene.folder / name) == "earlier");
    CHECK(scene.folder.List() == before);
  }
}

TEST_CASE("Output: a full disk", "[hostile][bad-input]") {
  const SmallScene scene;
  const std::string disk = scene.folder / "disk";
  std::filesystem::create_directory(disk);
  // Mounting needs rights that a plain user has not; the limit above serves there.
  if (Run("mount -t tmpfs -o size=64k none '" + disk + "'").status != 0) return;
  const RunResult picture = scene.Program(kRender + "--out disk/a.png");
  const RunResult left = Run("ls -A '" + disk + "'");
  MustRun("umount '" + disk + "'");
  CHECK(picture.status == 2);
  CHECK(picture.err == "disk/a.png: error: cannot write: No space left on device\n");
  CHECK(left.out.empty());
}

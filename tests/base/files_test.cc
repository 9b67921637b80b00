#include "base/files.h"

#include <catch2/catch.hpp>

#include <filesystem>

#include <sys/stat.h>

#include "support.h"

namespace wheatpaste {
namespace {

using test::ReadText;
using test::TempFolder;
using test::WriteText;

std::string FirstMessage(const Errors& errors) { return FormatError(errors.front()); }

TEST_CASE("Pending file: nothing is left when it is not committed", "[base][invariant]") {
  const TempFolder folder;
  {
    auto file = PendingFile::Create(folder / "picture.png");
    REQUIRE(file);
    REQUIRE(file->Write("half", 4));
    CHECK(folder.List().size() == 1);  // the hidden one
    CHECK_FALSE(std::filesystem::exists(folder / "picture.png"));
  }
  CHECK(folder.List().empty());
}

TEST_CASE("Pending file: an existing file stays whole until the new one is", "[base][invariant]") {
  const TempFolder folder;
  WriteText(folder / "picture.png", "old");
  {
    auto file = PendingFile::Create(folder / "picture.png");
    REQUIRE(file);
    REQUIRE(file->Write("new and longer", 14));
    CHECK(ReadText(folder / "picture.png") == "old");
  }
  CHECK(ReadText(folder / "picture.png") == "old");
  CHECK(folder.List() == std::vector<std::string>{"picture.png"});

  auto file = PendingFile::Create(folder / "picture.png");
  REQUIRE(file);
  REQUIRE(file->Write("new and longer", 14));
  const auto size = file->Commit();
  REQUIRE(size);
  CHECK(*size == 14);
  CHECK(ReadText(folder / "picture.png") == "new and longer");
  CHECK(folder.List() == std::vector<std::string>{"picture.png"});
}

TEST_CASE("Pending file: seeking back overwrites, the rest stays", "[base][invariant]") {
  const TempFolder folder;
  auto file = PendingFile::Create(folder / "a");
  REQUIRE(file);
  REQUIRE(file->Write("abcdef", 6));
  REQUIRE(file->Seek(2));
  REQUIRE(file->Write("XY", 2));
  REQUIRE(file->Commit());
  CHECK(ReadText(folder / "a") == "abXYef");
}

TEST_CASE("Pending file: a moved one is committed once and removed once", "[base][invariant]") {
  const TempFolder folder;
  {
    auto first = PendingFile::Create(folder / "a");
    REQUIRE(first);
    PendingFile second = std::move(*first);
    REQUIRE(second.Write("x", 1));
    REQUIRE(second.Commit());
  }
  CHECK(folder.List() == std::vector<std::string>{"a"});
}

TEST_CASE("Pending file: a new file is as readable as any other", "[base][invariant]") {
  const TempFolder folder;
  const mode_t before = umask(022);
  const auto written = WriteWholeFile(folder / "a", "x");
  umask(before);
  REQUIRE(written);
  struct stat status {};
  REQUIRE(stat((folder / "a").c_str(), &status) == 0);
  CHECK((status.st_mode & 0777) == 0644);
}

TEST_CASE("Pending file: refusals name the path and the reason", "[base][bad-input]") {
  const TempFolder folder;
  const auto missing = PendingFile::Create(folder / "no/such/a.png");
  REQUIRE_FALSE(missing);
  CHECK(FirstMessage(missing.errors()) ==
        (folder / "no/such/a.png") + ": error: cannot write: No such file or directory");
  std::filesystem::create_directory(folder / "taken");
  const auto taken = PendingFile::Create(folder / "taken");
  REQUIRE_FALSE(taken);
  CHECK(FirstMessage(taken.errors()) ==
        (folder / "taken") + ": error: cannot write, it is not a regular file");
  CHECK(folder.List() == std::vector<std::string>{"taken"});
}

TEST_CASE("Whole file: read back as written, up to the limit", "[base][invariant]") {
  const TempFolder folder;
  WriteText(folder / "a", std::string("a\0b", 3));
  const auto bytes = ReadWholeFile({folder / "a", {}, ""}, 3);
  REQUIRE(bytes);
  CHECK(*bytes == Bytes{'a', 0, 'b'});
  const auto large = ReadWholeFile({folder / "a", {"s.toml", 3, 8}, "photo.file"}, 2);
  REQUIRE_FALSE(large);
  CHECK(FirstMessage(large.errors()) == "s.toml:3:8: error: photo.file = \"" + (folder / "a") +
                                            "\": is 3 bytes long, expected at most 2");
}

TEST_CASE("Whole file: what is no file is refused, and nothing hangs", "[base][bad-input]") {
  const TempFolder folder;
  const auto missing = ReadWholeFile({folder / "a", {}, ""}, 9);
  REQUIRE_FALSE(missing);
  CHECK(FirstMessage(missing.errors()) == (folder / "a") + ": error: cannot open, no such file");
  const auto directory = ReadWholeFile({folder.path(), {}, ""}, 9);
  REQUIRE_FALSE(directory);
  CHECK(FirstMessage(directory.errors()) == folder.path() + ": error: expected a regular file");
  REQUIRE(mkfifo((folder / "pipe").c_str(), 0600) == 0);
  const auto pipe = ReadWholeFile({folder / "pipe", {}, ""}, 9);
  REQUIRE_FALSE(pipe);
  CHECK(FirstMessage(pipe.errors()) == (folder / "pipe") + ": error: expected a regular file");
}

TEST_CASE("Paths: joining, folder and ending", "[base][closed-form]") {
  CHECK(JoinPath("scenes", "a.png") == "scenes/a.png");
  CHECK(JoinPath("scenes", "../a.png") == "a.png");
  CHECK(JoinPath("scenes", "/b/a.png") == "/b/a.png");
  CHECK(FolderOf("scenes/a.png") == "scenes");
  CHECK(FolderOf("a.png") == ".");
  CHECK(EndingOf("x/A.Tar.PNG") == "png");
  CHECK(EndingOf("x.y/name") == "");
}

}  // namespace
}  // namespace wheatpaste

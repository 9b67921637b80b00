// Print conditions by name and by file, and what is said of those that are none.
#include "scene/print_condition.h"

#include <catch2/catch.hpp>

#include "base/files.h"
#include "scene_text.h"
#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

constexpr char kNames[] =
    "\"coated offset\", \"uncoated offset\", \"magazine\", \"newsprint\", \"US coated sheetfed\", "
    "\"US web coated\" and \"US newsprint\"";

// A data folder whose conditions are `text`.
std::string MistakesOf(const std::string& text) {
  const TempFolder folder;
  REQUIRE(Run("mkdir '" + folder / "shared" + "'").status == 0);
  WriteText(folder / "shared/print-conditions.toml", text);
  const auto read = ReadPrintConditions(folder.path());
  REQUIRE_FALSE(read.ok());
  std::string all = FormatErrors(read.errors());
  for (size_t at; (at = all.find(folder / "shared/")) != std::string::npos;) {
    all.erase(at, (folder / "shared/").size());
  }
  return all;
}

}  // namespace

TEST_CASE("Print conditions: the shipped ones have a profile and a limit", "[scene][invariant]") {
  const auto conditions = ReadPrintConditions(SourcePath("."));
  REQUIRE(conditions.ok());
  CHECK(conditions->size() == 7);
  for (const PrintCondition& condition : *conditions) {
    INFO(condition.name);
    CHECK(ReadWholeFile(condition.profile, 1 << 20).ok());
    REQUIRE(condition.total_ink_percent);
    CHECK(*condition.total_ink_percent >= 200);
    CHECK_FALSE(condition.data.empty());
  }
}

TEST_CASE("Print conditions: by name, by file, misspelt", "[scene][bad-input]") {
  const std::string data = SourcePath(".");
  const auto named = FindPrintCondition({"magazine", {"--proof magazine"}, ""}, data);
  REQUIRE(named.ok());
  CHECK(named->data == "FOGRA45");
  const auto file = FindPrintCondition({"My Press.ICC", {"--proof"}, ""}, data);
  REQUIRE(file.ok());
  CHECK(file->profile.value == "My Press.ICC");
  CHECK_FALSE(file->total_ink_percent);
  const auto wrong = FindPrintCondition({"news print", {"--proof news print"}, ""}, data);
  REQUIRE_FALSE(wrong.ok());
  CHECK(
      FormatErrors(wrong.errors()) ==
      "--proof news print: error: unknown print condition; did you mean \"newsprint\"? there are " +
          std::string(kNames) + ", or a press's profile as a file, .icc\n");
}

TEST_CASE("Print conditions: every mistake of the file, at its line", "[scene][bad-input]") {
  CHECK(
      MistakesOf(
          "[[condition]]\nname = \"a\"\nprofile = \"../a.icc\"\ndata = \"A\"\ntotal_ink = 500\n"
          "source = \"s\"\nink = 1\n[[condition]]\nname = \"a\"\nprofile = \"a.icc\"\n") ==
      "print-conditions.toml:3:11: error: condition.profile = \"../a.icc\": expected a file of "
      "assets-open/profiles, ending in .icc\n"
      "print-conditions.toml:5:13: error: condition.total_ink = 500: expected percent of ink above "
      "0, at most 400\n"
      "print-conditions.toml:7:1: error: condition.ink: unknown key; known here: name, source, "
      "profile, data, total_ink\n"
      "print-conditions.toml:8:1: error: condition.source: missing; expected where the numbers "
      "come "
      "from\n"
      "print-conditions.toml:8:1: error: condition.data: missing; expected the short name of its "
      "measurements\n"
      "print-conditions.toml:8:1: error: condition.total_ink: missing; expected percent of ink "
      "above 0, at most 400\n"
      "print-conditions.toml:9:8: error: condition.name = \"a\": expected a name of its own; an "
      "earlier preset has it\n");
}

// The command that draws blanks.
#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

TEST_CASE("dieline: a blank is written, with its caution", "[cli][invariant]") {
  const TempFolder folder;
  const std::string out = folder / "box.svg";
  const RunResult run =
      RunWheatpaste("dieline --style 0201 --inner 300x200x150 --board 4 --out " + out);
  CHECK(run.status == 0);
  CHECK(run.err.empty());
  // The blank of X01, 1049 x 362, and a margin of 10 around it.
  CHECK(run.out ==
        out +
            ": 0201 300x200x150 mm, board 4 mm, a page of 1069.0 x 382.0 mm, true to scale\n"
            "note: dieline and board allowances vary: a converter's sample decides before "
            "tooling; nothing here is structural or food-contact advice\n");
  const std::string svg = ReadText(out);
  CHECK(svg.find("width=\"1069mm\" height=\"382mm\" viewBox=\"0 0 1069 382\"") !=
        std::string::npos);
  CHECK(svg.find("a converter's sample decides") != std::string::npos);
}

TEST_CASE("dieline: wrong values are refused, all at once, and nothing is written",
          "[cli][bad-input]") {
  const TempFolder folder;
  const std::string out = " --out " + folder / "box.svg";
  const auto refused = [&](const std::string& arguments) {
    const RunResult run = RunWheatpaste("dieline " + arguments);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    return run.err;
  };
  CHECK(refused("--style box --inner 90x40x140 --board 0" + out) ==
        "--board 0: error: expected a thickness above 0 and up to 20 mm\n"
        "--style box: error: expected one of \"0201\", \"0427\", \"tuck\", \"reverse tuck\" and "
        "\"sleeve\"\n");
  CHECK(refused("--style tuck --inner 90x40 --board thick --out box.png") ==
        "--out box.png: error: expected a file ending in .svg\n"
        "--inner 90x40: error: expected LENGTHxBREADTHxHEIGHT in mm, such as 90x40x140\n"
        "--board thick: error: expected the board's thickness in mm, such as 0.5\n");
  CHECK(refused("--style tuck --inner 90x40xnan --board 0.5" + out) ==
        "--inner 90x40xnan: error: expected lengths above 0 and up to 3000 mm\n");
  CHECK(folder.List().empty());
}

}  // namespace
}  // namespace wheatpaste

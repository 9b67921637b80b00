#include "scene/toml_guard.h"

#include <catch2/catch.hpp>

using namespace wheatpaste;

namespace {

std::string Complaint(const std::string& text) {
  const Status status = CheckTomlText(text, "x");
  return status.ok() ? "" : FormatErrors(status.errors());
}

}  // namespace

TEST_CASE("Guard: the four kinds of strings and comments hide what they hold",
          "[scene][closed-form]") {
  const std::string dots(100, '.');
  for (const std::string& text :
       {"a = \"" + dots + "\"", "a = '" + dots + "'", "a = \"\"\"" + dots + "\n" + dots + "\"\"\"",
        "a = '''" + dots + "'''", "# " + dots, "a = \"\\\"" + dots + "\"",
        "a = \"\"\"\"\"" + dots + "\"\"\"\"\" # \"" + dots, std::string("a = 1.5 # \xc3\xa9"),
        std::string("\xef\xbb\xbf a = \"\xc3\xa9\""), std::string("a.b.c = { d.e.f = [1.5, 2.5] }"),
        std::string("a = \"\"\"x\\\n  y\"\"\""), std::string("[a]\n[[ b ]]\n[\"c\"]\n  ['d']\n")}) {
    INFO(text);
    CHECK(Complaint(text).empty());
  }
  // Behind the end of each kind, dots count again.
  for (const std::string open : {"\"x\"", "'x'", "\"\"", "''", "\"\"\"x\"\"\"", "'''x'''",
                                 "\"\\\\\"", "'\\'", "\"\"\"\"x\"\"\"\"\"", "'''\\'''"}) {
    INFO(open);
    CHECK(Complaint("a = " + open + dots) == "x:1:" + std::to_string(4 + open.size() + 16) +
                                                 ": error: expected a key of at most 16 parts\n");
  }
}

TEST_CASE("Guard: places of bytes that are no text", "[scene][bad-input]") {
  CHECK(Complaint("a = 1\nb = \"\xff\"") ==
        "x:2:6: error: expected UTF-8 text; byte 0xff is not\n");
  // Columns count characters: the two bytes of e acute are one.
  CHECK(Complaint("b = \"\xc3\xa9\xc0\"") ==
        "x:1:7: error: expected UTF-8 text; byte 0xc0 is not\n");
  CHECK(Complaint(std::string("a = \"\0\"", 7)) ==
        "x:1:6: error: expected text; a zero byte is not\n");
  CHECK(Complaint("a\xc3\xa9 = 1") ==
        "x:1:2: error: expected plain ASCII outside quotes and comments\n");
  CHECK(Complaint("a = \"\"\"b\\\n \xc3\xa9\"\"\"") ==
        "x:2:2: error: expected plain ASCII first behind a line's end in \\\n");
  CHECK(Complaint("a = 1\n[, b]\n") ==
        "x:2:2: error: expected the name of a table behind the bracket\n");
  CHECK(Complaint("[[ [a]]\n") ==
        "x:1:4: error: expected the name of a table behind the bracket\n");
}

// Source  RFC 3629, section 4: the shortest and longest sequence of each length, surrogates,
// overlong
//         forms, above U+10FFFF, cut short.
TEST_CASE("Guard: UTF-8 is what the standard says it is", "[scene][published]") {
  for (const std::string good : {"\xc2\x80", "\xdf\xbf", "\xe0\xa0\x80", "\xef\xbf\xbf",
                                 "\xed\x9f\xbf", "\xf0\x90\x80\x80", "\xf4\x8f\xbf\xbf"}) {
    CHECK(Complaint("#" + good).empty());
  }
  for (const std::string bad :
       {"\x80", "\xc1\xbf", "\xc2", "\xe0\x9f\xbf", "\xed\xa0\x80", "\xe1\x80", "\xf0\x8f\xbf\xbf",
        "\xf4\x90\x80\x80", "\xf5\x80\x80\x80", "\xc2\x41"}) {
    CHECK(Complaint("#" + bad).starts_with("x:1:2: error: expected UTF-8 text; byte 0x"));
  }
}

#include "base/error.h"

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

// The form is the one that compilers print, so that editors jump to the place.
TEST_CASE("Error: place, subject and expectation on one line", "[base][bad-input]") {
  CHECK(FormatError({{"scenes/can.toml", 14, 13},
                     "surface.radius_mm = -33",
                     "expected a length above 0 mm"}) ==
        "scenes/can.toml:14:13: error: surface.radius_mm = -33: expected a length above 0 mm");
}

TEST_CASE("Error: a place without a line prints its name only", "[base][bad-input]") {
  CHECK(FormatError({{"--size 40x"}, "", "expected WIDTHxHEIGHT in px"}) ==
        "--size 40x: error: expected WIDTHxHEIGHT in px");
  CHECK(FormatError({{}, "", "nothing to do"}) == "error: nothing to do");
  CHECK(FormatError({{}, "slot", "is empty"}) == "error: slot: is empty");
}

TEST_CASE("Error: several are printed a line each", "[base][bad-input]") {
  CHECK(FormatErrors({{{"a", 1, 2}, "k", "m"}, {{"b"}, "", "n"}}) ==
        "a:1:2: error: k: m\nb: error: n\n");
  CHECK(FormatErrors({}).empty());
}

TEST_CASE("Printable text: control characters are spelt out, length is bounded",
          "[base][bad-input]") {
  CHECK(PrintableText("a\x1b[31m\n\x7f") == "a\\x1b[31m\\x0a\\x7f");
  CHECK(PrintableText(std::string_view("\0x", 2)) == "\\x00x");
  CHECK(PrintableText("caf\xc3\xa9") == "caf\xc3\xa9");
  CHECK(PrintableText("abcdef", 3) == "abc...");
  CHECK(PrintableText("abc", 3) == "abc");
}

TEST_CASE("Result: holds the value, or every mistake", "[base][closed-form]") {
  const Result<int> good = 7;
  CHECK(good.ok());
  CHECK(*good == 7);
  const Result<int> bad = Errors{{{"a"}, "", "first"}, {{"b"}, "", "second"}};
  CHECK_FALSE(bad.ok());
  REQUIRE(bad.errors().size() == 2);
  CHECK(bad.errors()[1].message == "second");
}

}  // namespace
}  // namespace wheatpaste

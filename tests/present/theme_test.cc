#include "present/theme.h"

#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste {
namespace {

const std::string kData = WHEATPASTE_SOURCE_DIR;

std::string Complaints(const std::string& text) {
  const test::TempFolder folder;
  test::WriteText(folder / "own.toml", text);
  const auto theme = ReadTheme(folder / "own.toml", kData);
  REQUIRE_FALSE(theme.ok());
  std::string all = FormatErrors(theme.errors());
  for (size_t at; (at = all.find(folder.path() + "/")) != std::string::npos;) {
    all.erase(at, folder.path().size() + 1);
  }
  return all;
}

Placed<std::string> SizeOption(const std::string& text) { return {text, {"--size " + text}, ""}; }

TEST_CASE("Theme: what a file leaves out is as in the plain one", "[present][invariant]") {
  const auto plain = ReadTheme({}, kData);
  REQUIRE(plain.ok());
  CHECK(plain->footer.empty());
  CHECK_FALSE(plain->logo.has_value());
  const test::TempFolder folder;
  test::WriteText(folder / "logo.svg", "<svg/>");
  test::WriteText(folder / "own.toml",
                  "footer = \"Fern\"\n[colours]\naccent = \"#204080\"\n[margins]\nleft = 30\n"
                  "[logo]\nfile = \"logo.svg\"\nheight = 12.5\n");
  const auto own = ReadTheme(folder / "own.toml", kData);
  REQUIRE(own.ok());
  CHECK(own->footer == "Fern");
  CHECK(HexOf(own->accent) == "#204080");
  CHECK(own->margins.left == 30);
  CHECK(own->logo->height_mm == 12.5);
  CHECK(own->logo->file.place.line == 7);
  CHECK(own->text == plain->text);
  CHECK(own->margins.right == plain->margins.right);
  CHECK(own->heading_font == plain->heading_font);
  CHECK(own->size.value == plain->size.value);
}

TEST_CASE("Theme: every mistake is named with its place", "[present][bad-input]") {
  CHECK(Complaints("colour = 3\nsize = \"A4\"\n[fonts]\nheading = 7\n[margins]\ntop = -1\n"
                   "[logo]\nheight = 900\n") ==
        "own.toml:1:1: error: colour: unknown key; did you mean colours?\n"
        "own.toml:2:8: error: size = \"A4\": expected a page from 1.2 to 2.4 times as wide as high "
        "and from 150 to 1500 mm wide, such as slide, \"A4 landscape\" or \"letter landscape\"\n"
        "own.toml:4:11: error: fonts.heading = 7: expected a string, not a number\n"
        "own.toml:6:7: error: margins.top = -1: expected 0 to 100 mm\n"
        "own.toml:7:1: error: logo.file: missing; expected the logo's file, such as \"logo.svg\"\n"
        "own.toml:8:10: error: logo.height = 900: expected 2 to 100 mm\n");
  CHECK(Complaints("[logo]\nfile = \"../../../etc/passwd\"\nheight = 10\n")
            .find("own.toml:2:8: error: logo.file = \"../../../etc/passwd\"") == 0);
  CHECK_FALSE(ReadTheme("none.toml", kData).ok());
}

TEST_CASE("Theme: a colour that nobody can read on the ground is refused", "[present][published]") {
  // Source  WCAG 2.1, 1.4.3: #777777 on white is 4.48 to 1, #767676 4.54 to 1, the well-known pair about the limit.
  const std::string ground = "[colours]\nground = \"#ffffff\"\nquiet = ";
  CHECK(
      Complaints(ground + "\"#777777\"\n") ==
      "own.toml:3:9: error: colours.quiet = \"#777777\": the colour quiet, #777777, has a contrast "
      "of 4.48 to the ground, #ffffff; expected at least 4.5, to be read\n");
  const test::TempFolder folder;
  test::WriteText(folder / "own.toml", ground + "\"#767676\"\n");
  CHECK(ReadTheme(folder / "own.toml", kData).ok());
  CHECK(Complaints("[colours]\nground = \"#000000\"\n")
            .find("own.toml:2:10: error: colours.ground") == 0);
}

TEST_CASE("Page size: sheets in mm, screens by their shape", "[present][published]") {
  // Source  ISO 216 (A4); ANSI X3.151 (letter: 8.5 x 11 in); 16:9 at 13 1/3 in.
  const auto a4 = ReadPageSize(SizeOption("A4 landscape"), kData);
  REQUIRE(a4.ok());
  CHECK(a4->width == 297);
  CHECK(a4->height == 210);
  const auto letter = ReadPageSize(SizeOption("letter landscape"), kData);
  REQUIRE(letter.ok());
  CHECK(letter->width == Approx(279.4));
  CHECK(letter->height == Approx(215.9));
  const auto slide = ReadPageSize(SizeOption("slide"), kData);
  REQUIRE(slide.ok());
  CHECK(slide->width == Approx(338.6667));
  CHECK(slide->height == Approx(190.5));
  CHECK_FALSE(ReadPageSize(SizeOption("100x80mm"), kData).ok());
  const auto unknown = ReadPageSize(SizeOption("slyde"), kData);
  REQUIRE_FALSE(unknown.ok());
  CHECK(FormatError(unknown.errors().front()).find("did you mean slide?") != std::string::npos);
}

TEST_CASE("Fonts: a family that is not on the machine is named with what is taken",
          "[present][invariant]") {
  Theme theme;
  theme.heading_font = "DejaVu Sans";
  theme.text_font = "No Such Family";
  const auto notes = FontNotes(theme);
  REQUIRE(notes.size() == 1);
  CHECK(notes[0].find("the font No Such Family is not on this machine; ") == 0);
  // The default's fonts are among the packages that build.sh installs.
  CHECK(FontNotes(*ReadTheme({}, kData)).empty());
}

}  // namespace
}  // namespace wheatpaste

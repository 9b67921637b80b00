// References out of an SVG: refused with their line, never a missing picture.
#include <filesystem>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork_support.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::Refusal;

const std::string kStart = "scene.toml:4:11: error: placement.artwork = \"art.svg\": ";

std::string Around(const std::string& inner) {
  return "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
         "width='9' height='9'>\n" +
         inner + "\n</svg>";
}

}  // namespace

TEST_CASE("SVG references: each way out of the file is an error with its line",
          "[artwork][bad-input]") {
  const std::string cases[][2] = {
      {"<image href='http://example.org/a.png'/>", "http://example.org/a.png"},
      {"<image xlink:href='/etc/passwd'/>", "/etc/passwd"},
      {"<image xlink:href='file:///etc/passwd'/>", "file:///etc/passwd"},
      {"<image xlink:href='&#104;ttp://example.org/a.png'/>", "http://example.org/a.png"},
      {"<image xlink:href='no-such.png'/>", "no-such.png"},
      {"<use xlink:href='other.svg#mark'/>", "other.svg#mark"},
      {"<rect fill='url(http://example.org/p.svg#p)'/>", "http://example.org/p.svg#p"},
      {"<rect style=\"mask: URL('m.svg#m')\"/>", "m.svg#m"},
      {"<style>@import 'more.css';</style>", "@import 'more.css'"},
      {"<style><![CDATA[rect{fill:url(p.svg#p)}]]></style>", "p.svg#p"},
      {"<filter><feImage href='../up.png'/></filter>", "../up.png"},
      {"<xi:include xmlns:xi='http://www.w3.org/2001/XInclude' href='part.xml'/>", "part.xml"},
      {"<?xml-stylesheet href='a.css'?>", "xml-stylesheet"},
  };
  for (const auto& one : cases) {
    CHECK(Refusal(Around(one[0])) ==
          kStart +
              fmt::format("line 2: external reference \"{}\" is not loaded; embed it", one[1]));
  }
  CHECK(Refusal("<!DOCTYPE svg [\n<!ENTITY secret SYSTEM 'file:///etc/passwd'>\n]>" +
                Around("<text>&secret;</text>")) ==
        kStart + "line 2: external reference \"entity secret\" is not loaded; embed it");
  CHECK(Refusal("<!DOCTYPE svg [<!ENTITY far 'http://example.org/a.png'>]>" +
                Around("<image xlink:href='&far;'/>")) ==
        kStart + "line 2: external reference \"http://example.org/a.png\" is not loaded; embed it");
}

TEST_CASE("SVG references: all of them are reported", "[artwork][bad-input]") {
  const auto art = DecodeArtwork(
      test::BytesOf(Around("<image href='a.png'/>\n<image href='b.png'/>")), test::At("art.svg"));
  REQUIRE_FALSE(art.ok());
  REQUIRE(art.errors().size() == 2);
  CHECK(art.errors()[1].message.starts_with("line 3: external reference \"b.png\""));
}

TEST_CASE("SVG references: those inside the file and links are fine", "[artwork][invariant]") {
  const char* const cases[] = {
      "<defs><g id='m'/></defs><use xlink:href='#m'/><use href=' #m '/>",
      "<rect fill='url(#p)' style='fill:url(\"#p\")'/>",
      "<a href='https://example.org/'><rect/></a>",
      "<!-- <image href='http://example.org/a.png'/> -->",
      "<image href='data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA='/>",
      "<metadata about='http://example.org/'>see http://example.org/ url(http://x)</metadata>",
  };
  for (const char* one : cases) CHECK(Refusal(Around(one)) == "");
}

TEST_CASE("SVG references: a bitmap beside the file is drawn, one above it is refused",
          "[artwork][bad-input]") {
  const test::TempFolder folder;
  std::filesystem::create_directory(folder / "art");
  std::filesystem::create_directory(folder / "art/parts");
  REQUIRE(test::Run(fmt::format("cd '{}' && convert -size 4x4 xc:'#ff0000' art/parts/red.png && "
                                "cp art/parts/red.png red.png && ln -s ../red.png art/link.png",
                                folder.path()))
              .status == 0);
  const auto read = [&](const std::string& target) {
    const std::string file = folder / "art/art.svg";
    test::WriteText(file, Around("<image width='9' height='9' xlink:href='" + target + "'/>"));
    return ReadArtwork(test::At(file));
  };
  const auto art = read("parts/r%65d.png");
  REQUIRE(art.ok());
  const auto raster = (*art)->Rasterise({9, 9});
  REQUIRE(raster.ok());
  CHECK(raster->row(0, 4)[4] == 1);
  CHECK(raster->row(1, 4)[4] == 0);
  CHECK_FALSE(read("../red.png").ok());
  CHECK_FALSE(read("link.png").ok());
  CHECK_FALSE(read(folder / "red.png").ok());
  CHECK_FALSE(read("art.svg").ok());
}

}  // namespace wheatpaste

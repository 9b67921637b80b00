#include "present/pdf_pages.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/digest.h"
#include "must_run.h"
#include "present/made_pictures.h"
#include "present/page_bitmap.h"
#include "present/page_picture.h"
#include "present/page_text.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::MustRun;
using test::TempFolder;

constexpr SizeMm kSmall{200, 100};
constexpr char kHostile[] = "\"><script>alert(1)</script> (\\) \x01 q";
constexpr char kFamily[] = "DejaVu Sans";  // of the packages that the program asks for

TextStyle StyleOf(double size_pt, int most_lines = 1) {
  TextStyle style;
  style.family = kFamily;
  style.size_pt = size_pt;
  style.leading_pt = size_pt * 1.25;
  style.most_lines = most_lines;
  return style;
}

// Two pages with a picture on both, text, an outline and a link back.
void WritePages(const std::string& path, const JpegPicture& picture, const std::string& title) {
  auto pdf = PdfPages::Create(path, {title, "two pages", "wheatpaste test"});
  REQUIRE(pdf.ok());
  const std::string id = Sha256Of(picture.bytes.data(), picture.bytes.size());
  {
    const Page& page = pdf->NewPage(kSmall);
    const PageTag tag(page, PageTag::kHeading);
    DrawText(page, title, StyleOf(12), 10, 10, 150);
    DrawPicture(page, picture, id, {10, 30, 60, 40});
  }
  const int first = pdf->AddOutline(title);
  const Page& page = pdf->NewPage({150, 150});
  {
    const PageLink link(page, 1);
    DrawText(page, "back to the first page", StyleOf(12), 10, 10, 100);
  }
  DrawPicture(page, picture, id, {10, 30, 20, 20});
  pdf->AddOutline("Second", first);
  REQUIRE(pdf->Finish().ok());
}

}  // namespace

TEST_CASE(
    "A PDF of pages: other programs find its pages, title, text, fonts, outline and links, and no "
    "mistake",
    "[present][reference]") {
  // Source  qpdf 11.3, poppler 22.12: programs with parsers of their own.
  const TempFolder folder;
  const std::string path = folder / "pages.pdf";
  WritePages(path, test::MakeJpeg(folder / "picture.jpg", {120, 80}), kHostile);

  CHECK(MustRun("qpdf --check " + path + " 2>&1").find("No syntax or stream encoding errors") !=
        std::string::npos);
  const std::string info = MustRun("pdfinfo -f 1 -l 2 " + path);
  CHECK(info.find("Title:           \"><script>alert(1)</script> (\\)  q\n") != std::string::npos);
  CHECK(info.find("Date") == std::string::npos);
  CHECK(info.find("Page    1 size:  566.929 x 283.465 pts") !=
        std::string::npos);  // mm / 25.4 * 72
  CHECK(info.find("Page    2 size:  425.197 x 425.197 pts") != std::string::npos);
  CHECK(MustRun("pdftotext -layout " + path + " -").find("\"><script>alert(1)</script> (\\) q") !=
        std::string::npos);
  const std::string fonts = MustRun("pdffonts " + path + " | tail -n +3");
  CHECK(fonts.find("DejaVuSans") != std::string::npos);
  CHECK(fonts.find(" no ") == std::string::npos);  // not embedded, no subset or no Unicode
  const auto json = nlohmann::json::parse(MustRun("qpdf --json --json-key=outlines " + path));
  REQUIRE(json["outlines"].size() == 1);
  CHECK(json["outlines"][0]["destpageposfrom1"] == 1);
  CHECK(json["outlines"][0]["kids"][0]["title"] == "Second");
  CHECK(json["outlines"][0]["kids"][0]["destpageposfrom1"] == 2);
  CHECK(MustRun("qpdf --qdf --object-streams=disable " + path + " - | grep -ac 'Subtype /Link'") ==
        "1\n");
  CHECK(MustRun("pdfinfo -struct " + path).find("H1") != std::string::npos);
}

TEST_CASE("A JPEG stands in a PDF byte for byte, once for all pages that show it",
          "[present][reference]") {
  const TempFolder folder;
  const JpegPicture picture = test::MakeJpeg(folder / "picture.jpg", {120, 80});
  REQUIRE(picture.as_it_is);
  WritePages(folder / "pages.pdf", picture, "One");
  MustRun("cd " + folder.path() + " && pdfimages -all pages.pdf found");
  CHECK(test::ReadText(folder / "found-000.jpg") == test::ReadText(folder / "picture.jpg"));
  CHECK(MustRun("qpdf --qdf --object-streams=disable " + (folder / "pages.pdf") +
                " - | grep -ac 'Subtype /Image'") == "1\n");
}

TEST_CASE("A PDF of pages has the same bytes at another time", "[present][invariant]") {
  const TempFolder folder;
  const JpegPicture picture = test::MakeJpeg(folder / "picture.jpg", {120, 80});
  WritePages(folder / "a.pdf", picture, "One");
  MustRun("sleep 1.1");  // dates in a PDF are whole seconds
  WritePages(folder / "b.pdf", picture, "One");
  CHECK(test::ReadText(folder / "a.pdf") == test::ReadText(folder / "b.pdf"));
}

TEST_CASE("A PDF that cannot be written leaves nothing", "[present][bad-input]") {
  const TempFolder folder;
  CHECK_FALSE(PdfPages::Create(folder / "none/pages.pdf", {}).ok());
  auto full = PdfPages::Create(folder / "pages.pdf", {});
  REQUIRE(full.ok());
  full->NewPage(kSmall);
  // Destroyed unfinished: as if what was to come could not be made.
  { const PdfPages dropped = *std::move(full); }
  CHECK(folder.List().empty());
}

TEST_CASE("Text on a page wraps at its width, is cut after its lines and measured on its baselines",
          "[present][closed-form]") {
  auto bitmap = PageBitmap::Create(kSmall, Ppi{72}, {"test"});
  REQUIRE(bitmap.ok());
  const Page& page = bitmap->page();
  const double leading = 12.5 * kMmPerPoint;
  const PageText one(page, "wall", StyleOf(10), 100);
  const PageText three(page, "wall wall wall", StyleOf(10, 4), one.width() * 1.2);
  CHECK(one.lines() == 1);
  CHECK(three.lines() == 3);
  CHECK(three.height() - one.height() == Approx(2 * leading).epsilon(1e-9));
  // Source  DejaVu Sans 2.37, OS/2 table: capitals 1493 of 2048 units high. Limit: a pango unit is 1/1024 mm.
  CHECK(one.height() == Approx(1493.0 / 2048 * 10 * kMmPerPoint).margin(2.0 / 1024));
  const PageText cut(page, "wall wall wall", StyleOf(10, 2), one.width() * 1.2);
  CHECK(cut.lines() == 2);
  CHECK(cut.cut());
  CHECK_FALSE(three.cut());
  CHECK(cut.width() <= one.width() * 1.2 + 1.0 / 1024);
  // A word wider than the block breaks inside.
  const PageText word(page, std::string(60, 'm'), StyleOf(10, 9), one.width() * 2);
  CHECK(word.lines() > 2);
  CHECK(word.width() <= one.width() * 2 + 1.0 / 1024);
  const PageText nothing(page, "\x01\x02", StyleOf(10), 10);
  CHECK(nothing.lines() == 0);
  CHECK(nothing.height() == 0);
}

TEST_CASE("Text that looks like markup, reads right to left or has no glyph is text",
          "[present][reference]") {
  const TempFolder folder;
  auto pdf = PdfPages::Create(folder / "pages.pdf", {});
  REQUIRE(pdf.ok());
  const Page& page = pdf->NewPage(kSmall);
  DrawText(page, "<b>bold</b> &amp; \xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d", StyleOf(10), 10, 10, 150);
  DrawText(page, std::string(30, 'm'), StyleOf(10, 9), 10, 30, 30);
  DrawText(page, "paint \xf0\x9f\xaa\xa3 bucket \xff", StyleOf(10), 10, 20, 150);
  REQUIRE(pdf->Finish().ok());
  const std::string text = MustRun("pdftotext -layout " + (folder / "pages.pdf") + " -");
  CHECK(text.find("<b>bold</b> &amp;") != std::string::npos);
  CHECK(text.find("\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d") !=
        std::string::npos);  // Hebrew, in reading order
  CHECK(text.find("paint") != std::string::npos);
  CHECK(text.find("bucket") != std::string::npos);
  CHECK(text.find("mm\n") != std::string::npos);  // broken inside, without a hyphen
  CHECK(text.find('-') == std::string::npos);
}

TEST_CASE("A page of pixels shows areas and pictures where the PDF does", "[present][reference]") {
  // Source  pdftocairo of poppler 22.12 draws the PDF; both at 4 px a mm. Limit: the JPEG is reduced by two programs;
  //         edges lie on whole px.
  const TempFolder folder;
  const JpegPicture picture = test::MakeJpeg(folder / "picture.jpg", {120, 80});
  const auto draw = [&](const Page& page) {
    page.Fill({0, 0, 50, 25}, {255, 255, 255});
    page.Fill({5, 5, 10, 5}, {200, 40, 40});
    DrawPicture(page, picture, "id", {20, 5, 15, 15});
  };
  const Ppi ppi{4 * kMmPerInch};
  auto bitmap = PageBitmap::Create({50, 25}, ppi, {"test"});
  REQUIRE(bitmap.ok());
  draw(bitmap->page());
  REQUIRE(bitmap->Write(folder / "a.png", PictureFormat::kPng, "").ok());
  auto pdf = PdfPages::Create(folder / "b.pdf", {});
  REQUIRE(pdf.ok());
  draw(pdf->NewPage({50, 25}));
  REQUIRE(pdf->Finish().ok());
  MustRun("cd " + folder.path() + " && pdftocairo -png -singlefile -r 101.6 b.pdf b");
  const std::string apart =
      test::Run("cd " + folder.path() + " && compare -metric MAE a.png b.png null: 2>&1").out;
  INFO(apart);
  CHECK(std::stod(apart.substr(apart.find('(') + 1)) < 0.004);
}

TEST_CASE("A page of pixels that is too large is refused at its place", "[present][bad-input]") {
  const auto bitmap = PageBitmap::Create({5000, 10}, Ppi{300}, {"--ppi 300"});
  REQUIRE_FALSE(bitmap.ok());
  CHECK(FormatError(bitmap.errors().front()) ==
        "--ppi 300: error: expected sides of 1 to 32767 px, this is 59055 x 118 px");
}

}  // namespace wheatpaste

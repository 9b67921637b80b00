// PDF made by rsvg-convert (cairo's PDF writer) from a known SVG. Its size is whole CSS px, because
// rsvg-convert 2.54 scales the drawing to whole px.
#include <cmath>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/read_pdf.h"
#include "artwork_support.h"
#include "colour/srgb.h"
#include "support.h"

namespace wheatpaste {
namespace {

constexpr const char* kDrawing =
    "<svg xmlns='http://www.w3.org/2000/svg' width='360' height='240' viewBox='0 0 90 60'>"
    "<rect x='10' y='10' width='30' height='40' fill='#0d3b66'/>"
    "<circle cx='62' cy='30' r='17' fill='#f4d35e'/>"
    "<path d='M5 55L85 5' stroke='#c33' stroke-width='.5'/></svg>";

std::string PdfText(const test::TempFolder& folder) {
  test::WriteText(folder / "art.svg", kDrawing);
  const auto run =
      test::Run(fmt::format("cd '{}' && rsvg-convert -f pdf -o art.pdf art.svg", folder.path()));
  REQUIRE(run.status == 0);
  return test::ReadText(folder / "art.pdf");
}

}  // namespace

// Limit  99.5 % of pixels within 0.02 and all within 0.3: PDF writes places with few decimals.
TEST_CASE("PDF: the same picture as the SVG it was made from", "[artwork][reference]") {
  const test::TempFolder folder;
  const auto pdf = DecodeArtwork(test::BytesOf(PdfText(folder)), test::At("art.pdf"));
  REQUIRE(pdf.ok());
  CHECK((*pdf)->is_vector());
  CHECK((*pdf)->width_mm().value == Approx(95.25).margin(1e-3));
  const auto svg = test::SvgFrom(kDrawing);
  const auto a = (*pdf)->Rasterise({270, 180});
  const auto b = svg->Rasterise({270, 180});
  REQUIRE(a.ok());
  REQUIRE(b.ok());
  int far = 0;
  double worst = 0;
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t i = 0; i < 270 * 180; ++i) {
      const double difference =
          std::abs(a->row(plane, i / 270)[i % 270] - b->row(plane, i / 270)[i % 270]);
      far += difference > 0.02;
      worst = std::max(worst, difference);
    }
  }
  CAPTURE(far, worst);
  CHECK(far < 4 * 270 * 180 / 200);
  CHECK(worst < 0.3);
  // A flat area has the very colour; unprinted paper is clear.
  CHECK(a->row(2, 60)[60] == Approx(LinearFromSrgb(0x66 / 255.0)).margin(1e-6));
  CHECK(a->row(3, 2)[2] == 0);
}

// Source  points: 1/72 inch (ISO 32000-1, 8.3.2.3).
TEST_CASE("PDF: the crop box is the size", "[artwork][closed-form]") {
  const test::TempFolder folder;
  std::string text = PdfText(folder);
  const size_t box = text.find("/MediaBox");
  REQUIRE(box != std::string::npos);
  text.insert(box, "/CropBox [ 20 20 120 100 ] ");
  const auto pdf = DecodeArtwork(test::BytesOf(text), test::At("art.pdf"));
  REQUIRE(pdf.ok());
  CHECK((*pdf)->width_mm().value == Approx(100 * 25.4 / 72));
  CHECK((*pdf)->height_mm().value == Approx(80 * 25.4 / 72));
}

TEST_CASE("PDF errors: truncated, empty, not really PDF, encrypted", "[artwork][bad-input]") {
  const test::TempFolder folder;
  const std::string whole = PdfText(folder);
  const std::string start = "scene.toml:4:11: error: placement.artwork = \"art.pdf\": ";
  const auto refusal = [](const std::string& text) { return test::Refusal(text, "art.pdf"); };
  for (const std::string& text :
       {std::string("%PDF-1.5\n"), std::string("%PDF-1.5\ntrailer<</Root 1 0 R>>\n%%EOF"),
        whole.substr(0, whole.size() / 8)}) {
    const std::string message = refusal(text);
    CHECK(message.starts_with(start));
    CHECK(message.find('\n') == std::string::npos);
  }
  // Standard security handler with a user password (qpdf would write the same dictionary); the keys
  // fit no password at all.
  std::string locked = whole;
  const size_t trailer = locked.rfind("/Root");
  REQUIRE(trailer != std::string::npos);
  locked.insert(trailer, "/ID [<00><00>] /Encrypt <</Filter/Standard/V 1/R 2/P -4/O <" +
                             std::string(64, 'A') + ">/U <" + std::string(64, 'B') + ">>> ");
  const std::string message = refusal(locked);
  CHECK(message == start + "is encrypted; expected a PDF that opens without a password");
}

TEST_CASE("PDF errors: without pdftocairo the package is named, and nothing is left behind",
          "[artwork][bad-input]") {
  const auto svg = SvgFromPdf(test::BytesOf("%PDF-1.5"), test::At("art.pdf"), "no-such-pdftocairo");
  REQUIRE_FALSE(svg.ok());
  CHECK(
      FormatError(svg.errors()[0]) ==
      "scene.toml:4:11: error: placement.artwork = \"art.pdf\": is a PDF, which needs the program "
      "pdftocairo (No such file or directory); install the package poppler-utils");
}

}  // namespace wheatpaste

// Artwork made to hang, crash or fill the memory: an error in bounded time, the program unharmed.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/artwork.h"
#include "artwork/drawing_process.h"
#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr double kSeconds = 3;

// Shorter limits for these tests; put back at the end.
class ShortLimits {
 public:
  ShortLimits() : before_(drawing_limits()) { drawing_limits() = {kSeconds, kSeconds}; }
  ~ShortLimits() { drawing_limits() = before_; }
  ShortLimits(const ShortLimits&) = delete;
  ShortLimits& operator=(const ShortLimits&) = delete;

 private:
  DrawingLimits before_;
};

struct Outcome {
  std::string message;  // "" where it was drawn
  double seconds = 0;
};

// Reads and draws at 200 x 200.
Outcome Try(const std::string& text) {
  const ShortLimits limits;
  const double start = MonotonicSeconds();
  Outcome outcome;
  auto art = DecodeArtwork(Bytes(text.begin(), text.end()),
                           {"bad.svg", {"scene.toml", 4, 11}, "placement.artwork"});
  if (!art) {
    outcome.message = FormatError(art.errors().front());
  } else if (auto raster = (*art)->Rasterise({200, 200}); !raster) {
    outcome.message = FormatError(raster.errors().front());
  }
  outcome.seconds = MonotonicSeconds() - start;
  return outcome;
}

std::string Around(const std::string& inner, const std::string& doctype = "") {
  return doctype +
         "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
         "width='200' height='200'>" +
         inner + "</svg>";
}

std::string Repeat(const std::string& text, int count) {
  std::string all;
  for (int i = 0; i < count; ++i) all += text;
  return all;
}

}  // namespace

// Limit  both limits and 10 s for a busy machine; each of these would run for minutes, or for ever.
TEST_CASE("Hostile SVG: every bomb ends in bounded time", "[hostile][bad-input]") {
  std::string uses = "<defs><g id='u0'><rect width='9' height='9'/></g>";
  for (int i = 1; i < 40; ++i) {
    uses += fmt::format("<g id='u{}'>{}</g>", i,
                        Repeat(fmt::format("<use xlink:href='#u{}'/>", i - 1), 10));
  }
  uses += "</defs><use xlink:href='#u39'/>";
  std::string patterns = "<defs>";
  for (int i = 1; i < 20; ++i) {
    patterns += fmt::format(
        "<pattern id='p{}' width='.01' height='.01'><rect width='99' height='99' "
        "fill='url(#p{})'/></pattern>",
        i, i - 1);
  }
  patterns += "</defs><rect width='200' height='200' fill='url(#p19)'/>";
  const std::string bombs[] = {
      uses,
      patterns,
      "<filter id='f'><feGaussianBlur stdDeviation='1e9'/></filter>"
      "<rect width='200' height='200' filter='url(#f)'/>",
      "<filter id='f'><feMorphology operator='dilate' radius='1e6'/></filter>"
      "<rect width='200' height='200' filter='url(#f)'/>",
      "<filter id='f'>" + Repeat("<feTurbulence baseFrequency='9' numOctaves='999999'/>", 99) +
          "</filter><rect width='200' height='200' filter='url(#f)'/>",
      "<filter id='f'><feConvolveMatrix order='99' kernelMatrix='" + Repeat("1 ", 99 * 99) +
          "'/></filter><rect width='200' height='200' filter='url(#f)'/>",
      "<path d='M0 0H200' stroke='#000' stroke-width='9' stroke-dasharray='1e-7'/>",
      "<path d='M0 0" + Repeat("A1e9 1e-9 9 1 1 5e8 5", 20'000) + "' stroke='#000'/>",
      "<use id='me' xlink:href='#me'/>",
  };
  for (const std::string& bomb : bombs) {
    CAPTURE(bomb.substr(0, 120));
    const Outcome outcome = Try(Around(bomb));
    CAPTURE(outcome.message);
    CHECK(outcome.seconds < 2 * kSeconds + 10);
    CHECK(outcome.message.find('\n') == std::string::npos);
  }
  CHECK(Try(Around(uses)).message != "");
}

TEST_CASE("Hostile SVG: a drawing that takes too long is ended, and says so",
          "[hostile][bad-input]") {
  const Outcome outcome = Try(Around(
      "<filter id='f'>" + Repeat("<feTurbulence baseFrequency='9' numOctaves='999999'/>", 99) +
      "</filter><rect width='200' height='200' filter='url(#f)'/>"));
  CHECK(outcome.message ==
        "scene.toml:4:11: error: placement.artwork = \"bad.svg\": takes more than 3 s to draw; "
        "simplify it");
}

TEST_CASE("Hostile SVG: entities that blow up", "[hostile][bad-input]") {
  std::string doctype = "<!DOCTYPE svg [<!ENTITY a0 'Quillwort'>";
  for (int i = 1; i < 20; ++i) {
    doctype += fmt::format("<!ENTITY a{} '{}'>", i, Repeat(fmt::format("&a{};", i - 1), 10));
  }
  const Outcome outcome = Try(Around("<text>&a19;</text>", doctype + "]>"));
  CHECK(outcome.message.starts_with(
      "scene.toml:4:11: error: placement.artwork = \"bad.svg\": cannot be drawn: "));
  CHECK(outcome.seconds < 2 * kSeconds + 10);
}

TEST_CASE("Hostile SVG: elements nested 100 000 deep", "[hostile][bad-input]") {
  CHECK(Try(Around(Repeat("<g>", 100'000) + Repeat("</g>", 100'000))).message ==
        "scene.toml:4:11: error: placement.artwork = \"bad.svg\": line 1: elements are nested more "
        "than 256 deep");
  // As deep as is allowed is drawn.
  CHECK(Try(Around(Repeat("<g>", 250) + "<rect/>" + Repeat("</g>", 250))).message == "");
}

TEST_CASE("Hostile SVG: cut short at every part, and with bytes changed", "[hostile][bad-input]") {
  const std::string whole = Around(
      "<defs><linearGradient id='g'><stop stop-color='#123'/></linearGradient></defs>"
      "<!-- a --><style>rect{fill:url(#g)}</style><![CDATA[x]]><rect width='9' height='9'/>");
  for (size_t length = 0; length < whole.size(); length += 9) {
    CHECK(Try(whole.substr(0, length)).message != "");
  }
  for (size_t at = 0; at < whole.size(); at += 7) {
    std::string changed = whole;
    changed[at] = static_cast<char>(0xFF);
    CHECK(Try(changed).message.find('\n') == std::string::npos);
  }
}

}  // namespace wheatpaste

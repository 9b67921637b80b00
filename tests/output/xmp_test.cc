// The packet is well-formed XML whatever the words are, and other programs read the words in every format.
//
// Source  xmllint 2.9.14, exiftool 12.57, pngcheck 3.0.3, webpinfo 1.2.4, tiffinfo 4.5.0, of Debian 12.
#include "output/xmp.h"

#include <nlohmann/json.hpp>

#include "base/plain_text.h"
#include "output/picture_support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

using Json = nlohmann::json;

const std::string kHostile = "\"><script>&amp;'</rdf:li>]]><?x ?>";

}  // namespace

TEST_CASE("XMP: every format carries it, words are read back as they were", "[output][reference]") {
  const TempFolder folder;
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = {40, 30};
  facts.profile = &srgb;
  facts.title = kHostile + " Möwe \xF0\x9F\x8C\xBE";
  facts.xmp = MakeXmp(
      {facts.title, "kiosk<1>.toml", "mark & \"co\".svg", "night", "Coated offset", "0.1.0"});
  const Bytes codes = MakeCodes(facts.size, 8);
  std::string files;
  for (const char* name : {"a.png", "a.jpg", "a.tif", "a.webp", "a.pdf"}) {
    REQUIRE(Write(folder / name, facts, codes).ok());
    files += " " + folder / name;
    CHECK(ReadText(folder / name).find(facts.xmp) != std::string::npos);
    // The profile is still found beside it.
    if (EndingOf(name) != "pdf") CHECK(MustRead(folder / name).profile->bytes() == srgb.bytes());
  }
  const Json read = ParseJson(MustRun("exiftool -j -XMP:all" + files));
  REQUIRE(read.size() == 5);
  for (const Json& file : read) {
    INFO(file.dump(2));
    CHECK(file["Title"] == facts.title);
    CHECK(file["Source"] == "kiosk<1>.toml");
    CHECK(file["CreatorTool"] == "wheatpaste 0.1.0");
    CHECK(file["DigitalSourceType"] == "http://cv.iptc.org/newscodes/digitalsourcetype/composite");
    const std::string description = file["Description"];
    CHECK_THAT(description,
               Catch::Contains("not a proof", Catch::CaseSensitive::No) &&
                   Catch::EndsWith("Artwork: mark & \"co\".svg. Colourway: night. Print condition: "
                                   "Coated offset."));
  }
  CHECK_THAT(MustRun("pngcheck " + folder / "a.png"), Catch::Contains("OK"));
  CHECK_THAT(MustRun("webpinfo " + folder / "a.webp"), Catch::Contains("No error detected"));
  MustRun("tiffinfo " + folder / "a.tif");
}

TEST_CASE("XMP: what XML cannot hold is dropped, what is too long cut", "[output][reference]") {
  const TempFolder folder;
  std::string every_byte;
  for (int byte = 0; byte < 256; ++byte) every_byte += static_cast<char>(byte);
  const std::string texts[] = {
      every_byte, every_byte + std::string(100'000, '"') + every_byte, std::string(5000, '&'),
      "\xED\xA0\x80 surrogate \xC0\x80 overlong \xF4\x90\x80\x80 beyond \xEF\xBF\xBF cut \xE2\x82",
      ""};
  for (const std::string& text : texts) {
    const std::string packet = MakeXmp({text, text, text, text, text, text});
    CHECK(static_cast<int64_t>(packet.size()) <= kMaxXmpBytes);
    WriteText(folder / "a.xml", packet);
    MustRun("xmllint --noout " + folder / "a.xml");
    CHECK(packet == MakeXmp({text, text, text, text, text, text}));
  }
  CHECK_THAT(MakeXmp({texts[3], "", "", "", "", ""}),
             Catch::Contains("> surrogate  overlong  beyond  cut </rdf:li>"));
  CHECK_THAT(MakeXmp({"a\tb\r\nc", "", "", "", "", ""}), Catch::Contains(">a b  c</rdf:li>"));
}

TEST_CASE("Plain text: characters come back as they were", "[output][published]") {
  // Source  RFC 3629, section 7: A, not identical to, alpha, full stop; Korean; Japanese; a Chinese character beyond 16 bits.
  const std::string text =
      "A\xE2\x89\xA2\xCE\x91."
      "\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E\xF0\xA3\x8E\xB4";
  const std::u32string characters = PlainCharacters(text, 100);
  CHECK(characters == U"A\u2262\u0391.\uD55C\uAD6D\uC5B4\u65E5\u672C\u8A9E\U000233B4");
  std::string back;
  for (const char32_t c : characters) AppendUtf8(back, c);
  CHECK(back == text);
  CHECK(PlainCharacters(text, 2) == U"A\u2262");
}

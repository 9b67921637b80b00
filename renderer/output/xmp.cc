#include "output/xmp.h"

#include <fmt/format.h>

#include "base/check.h"
#include "base/plain_text.h"

namespace wheatpaste {
namespace {

std::string Text(const std::string& text) { return XmlText(text, kMaxXmpCharacters); }

std::string InDefaultLanguage(const char* name, const std::string& escaped) {
  return fmt::format(
      "   <{0}><rdf:Alt><rdf:li xml:lang=\"x-default\">{1}</rdf:li></rdf:Alt></{0}>\n", name,
      escaped);
}

std::string Description(const XmpFacts& facts) {
  std::string text =
      "Composite visualisation: artwork placed on a photograph by computation. Not a proof.";
  const auto add = [&](const char* what, const std::string& value) {
    if (!value.empty()) text += fmt::format(" {}: {}.", what, Text(value));
  };
  add("Artwork", facts.artwork);
  add("Colourway", facts.colourway);
  add("Print condition", facts.condition);
  return text;
}

}  // namespace

std::string MakeXmp(const XmpFacts& facts) {
  std::string body;
  if (!facts.title.empty()) body += InDefaultLanguage("dc:title", Text(facts.title));
  body += InDefaultLanguage("dc:description", Description(facts));
  if (!facts.scene.empty())
    body += fmt::format("   <dc:source>{}</dc:source>\n", Text(facts.scene));
  body += fmt::format("   <xmp:CreatorTool>wheatpaste{}{}</xmp:CreatorTool>\n",
                      facts.version.empty() ? "" : " ", Text(facts.version));
  std::string packet = fmt::format(
      "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
      "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
      " <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
      "  <rdf:Description rdf:about=\"\"\n"
      "    xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n"
      "    xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n"
      "    xmlns:Iptc4xmpExt=\"http://iptc.org/std/Iptc4xmpExt/2008-02-29/\">\n"
      "{}"
      "   <Iptc4xmpExt:DigitalSourceType>http://cv.iptc.org/newscodes/digitalsourcetype/composite"
      "</Iptc4xmpExt:DigitalSourceType>\n"
      "  </rdf:Description>\n"
      " </rdf:RDF>\n"
      "</x:xmpmeta>\n"
      "<?xpacket end=\"r\"?>",
      body);
  WHEATPASTE_CHECK_OP(static_cast<int64_t>(packet.size()), <=, kMaxXmpBytes);
  return packet;
}

}  // namespace wheatpaste

// xmp.h - what a picture says of itself: an XMP packet for any of the formats.
//
// Says    title; that it is a composite and no proof; the scene, artwork and colourway it was made from; the print
//         condition; the program. No dates and no random identifiers: the same facts give the same bytes.
// Terms   dc:title, dc:description, dc:source, xmp:CreatorTool; Iptc4xmpExt:DigitalSourceType "composite", "mix or composite of several
//         elements": the artwork is drawn, so "compositeCapture" (all of them captured) would be untrue.
// Source  ISO 16684-1:2019 (XMP), 7 and 8.3, 8.4; IPTC Photo Metadata Standard 2023.1, and the IPTC vocabulary
//         http://cv.iptc.org/newscodes/digitalsourcetype/.
#pragma once

#include <string>

namespace wheatpaste {

// UTF-8, plain text; what is empty is not mentioned.
struct XmpFacts {
  std::string title;
  std::string scene;      // its file's name
  std::string artwork;    // its name or file's name
  std::string colourway;  // none: as drawn
  std::string condition;  // the print condition whose colours it shows
  std::string version;    // of the program
};

// `text` with the characters of mark-up escaped; bytes that XML 1.0 cannot hold (control characters, broken UTF-8) are
// dropped.
std::string XmlText(const std::string& text);

// A packet with its header and trailer, marked read-only, so that it needs no padding.
std::string MakeXmp(const XmpFacts& facts);

}  // namespace wheatpaste

// xmp.h - what a picture says of itself: an XMP packet, the same for all formats.
//
// Says    its title; that it is a composite and no proof; the artwork, colourway and print condition; the scene it was
//         made from; the program. No dates and no random identifiers: the same facts give the same bytes.
// Terms   dc:title, dc:description, dc:source, xmp:CreatorTool, Iptc4xmpExt:DigitalSourceType. The latter's value is
//         "composite" (of several elements): in "compositeCapture" all are captures of real life, but artwork is drawn.
// Source  ISO 16684-1:2019 (XMP), 7 and 8; IPTC Photo Metadata Standard 2023.1, "Digital Source Type", with the
//         vocabulary http://cv.iptc.org/newscodes/digitalsourcetype/.
#pragma once

#include <cstdint>
#include <string>

namespace wheatpaste {

// UTF-8, plain text; what is empty is not mentioned.
struct XmpFacts {
  std::string title;
  std::string scene;      // its file's name, without folders
  std::string artwork;    // its name, or its file's
  std::string colourway;  // empty: as drawn
  std::string condition;  // the print condition whose colours are shown
  std::string version;    // of the program
};

// A JPEG holds no larger packet: 65535 bytes of a segment without its length and name.
// Source  Adobe, XMP Specification Part 3: Storage in Files, 2020, "JPEG".
inline constexpr int64_t kMaxXmpBytes = 65502;

// A packet with header and trailer, marked read-only and so without padding; at most kMaxXmpBytes. Of each text the
// first kMaxXmpCharacters are kept, control characters and broken UTF-8 dropped (plain_text.h), the rest escaped.
std::string MakeXmp(const XmpFacts& facts);

inline constexpr size_t kMaxXmpCharacters = 1000;

}  // namespace wheatpaste

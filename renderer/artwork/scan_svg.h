// scan_svg.h - what an SVG asks for beyond itself, found before any library sees it.
//
// Model   one pass over the tags, comments, CDATA, instructions and document type, with line
//         counts; it is not an XML reader (librsvg's is), and a file that fools it still loads
//         nothing: librsvg has no network and opens files of the SVG's own folder only. It exists
//         so that a reference that will not be loaded is an error instead of a missing picture.
// Refuses href and xlink:href (but of <a>), url(), @import, xml-stylesheet, xi:include and external
//         entities that lead out of the file. Allowed: "#id", data:, and on <image> and <feImage>
//         the name of a bitmap in the SVG's own folder or below it.
// Limits  elements nested kMaxSvgDepth deep (libxml2's own limit); UTF-8 only.
// Time    linear in the size of the text.
#pragma once

#include <string>
#include <string_view>

#include "base/error.h"

namespace wheatpaste {

inline constexpr int kMaxSvgDepth = 256;

struct SvgFacts {
  bool has_text = false;      // <text>: drawn with whatever fonts the machine has
  bool has_pictures = false;  // <image>, <feImage>
  bool has_patterns = false;
  bool has_layers = false;    // opacity, filter, mask, blending: drawn through a layer of full size
  bool has_entities = false;  // entities of its own in the document type
};

// True where the first element of `text` is svg (whatever its prefix), after byte-order mark,
// space, prolog, comments and document type.
bool LooksLikeSvg(std::string_view text);

// base_file  the SVG's own name, for bitmaps beside it; "" allows none.
// errors     every external reference, with its line; nesting too deep; at `path`.
Result<SvgFacts> ScanSvg(std::string_view text, const std::string& base_file,
                         const Placed<std::string>& path);

}  // namespace wheatpaste

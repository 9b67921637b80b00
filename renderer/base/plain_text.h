// plain_text.h - text from outside, reduced to characters that any file format may hold.
#pragma once

#include <string>
#include <string_view>

namespace wheatpaste {

// The characters of UTF-8 `text`: tabs and line ends become spaces; other control characters, non-characters and
// bytes that are not well-formed UTF-8 are dropped. At most `most` of them.
// Source  RFC 3629, section 4; XML 1.0 (fifth edition), 2.2, which all that remains fulfils.
std::u32string PlainCharacters(std::string_view text, size_t most);

// The same as it stands between the tags of XML: &, < and > as entities.
std::string XmlText(std::string_view text, size_t most);

// The same as it stands between the quotes (") of an attribute of XML or HTML: quotes too.
std::string AttributeText(std::string_view text, size_t most);

// Back to UTF-8.
void AppendUtf8(std::string& text, char32_t character);

}  // namespace wheatpaste

// review_text.h - what the review page is written with: text in HTML, in URLs, in its script and in its policy.
#pragma once

#include <string>
#include <string_view>

#include "base/files.h"

namespace wheatpaste {

// "data:image/jpeg;base64,...": RFC 2397.
std::string JpegUrl(const Bytes& jpeg);

// A file's name in a relative URL: RFC 3986, 2.1 and 2.3.
std::string UrlOfName(const std::string& name);

// JSON text that may stand in a script element, where HTML reads "</script" and "<!--" whatever the JSON says.
std::string ScriptJson(const std::string& json);

// What the page may do: show its pictures, use the style and the script with these texts, and nothing else.
// linked  pictures may also lie beside the page.
// Source  Content Security Policy Level 3 (W3C).
std::string ReviewPolicy(std::string_view style, std::string_view script, bool linked);

}  // namespace wheatpaste

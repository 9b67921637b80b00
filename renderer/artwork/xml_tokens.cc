#include "artwork/xml_tokens.h"

#include <algorithm>

namespace wheatpaste {
namespace {

constexpr std::string_view kSpace = " \t\r\n";
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

std::string_view TrimFront(std::string_view text) {
  text.remove_prefix(std::min(text.find_first_not_of(kSpace), text.size()));
  return text;
}

// Takes the characters up to the first of `stops` off the front of `text`.
std::string_view TakeWord(std::string_view& text, std::string_view stops) {
  const std::string_view word = text.substr(0, text.find_first_of(stops));
  text.remove_prefix(word.size());
  return word;
}

}  // namespace

XmlTokens::XmlTokens(std::string_view text) : rest_(text) {
  if (rest_.starts_with(kByteOrderMark)) rest_.remove_prefix(kByteOrderMark.size());
}

void XmlTokens::Advance(size_t count) {
  count = std::min(count, rest_.size());
  line_ += static_cast<uint32_t>(
      std::count(rest_.begin(), rest_.begin() + static_cast<ptrdiff_t>(count), '\n'));
  rest_.remove_prefix(count);
}

std::string_view XmlTokens::TakeUntil(std::string_view end) {
  const size_t at = rest_.find(end);
  const std::string_view inner = rest_.substr(0, at);
  Advance(at == std::string_view::npos ? rest_.size() : at + end.size());
  return inner;
}

// Up to the '>' that closes the document type: outside quotes, brackets and comments.
std::string_view XmlTokens::TakeDoctype() {
  char quote = 0;
  bool subset = false;
  size_t at = 0;
  for (; at < rest_.size(); ++at) {
    const char c = rest_[at];
    if (quote != 0) {
      if (c == quote) quote = 0;
    } else if (rest_.substr(at).starts_with("<!--")) {
      at = rest_.find("-->", at);
      if (at == std::string_view::npos) break;
      at += 2;
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '[') {
      subset = true;
    } else if (c == ']') {
      subset = false;
    } else if (c == '>' && !subset) {
      break;
    }
  }
  const std::string_view inner = rest_.substr(0, at);
  Advance(at == std::string_view::npos ? rest_.size() : at + 1);
  return inner;
}

void XmlTokens::TakeTag(XmlToken& token) {
  // The end of the tag is the first '>' outside quotes.
  char quote = 0;
  size_t end = 1;
  for (; end < rest_.size(); ++end) {
    const char c = rest_[end];
    if (quote != 0) {
      if (c == quote) quote = 0;
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '>') {
      break;
    }
  }
  std::string_view inner = rest_.substr(1, end - 1);
  Advance(end + 1);
  token.kind = XmlToken::Kind::kStart;
  if (inner.starts_with("/")) {
    token.kind = XmlToken::Kind::kEnd;
    inner.remove_prefix(1);
  } else if (inner.ends_with("/")) {
    token.kind = XmlToken::Kind::kEmpty;
    inner.remove_suffix(1);
  }
  token.name = TakeWord(inner, " \t\r\n/");
  while (true) {
    inner = TrimFront(inner);
    if (inner.empty()) return;
    XmlAttribute attribute;
    attribute.name = TakeWord(inner, " \t\r\n=");
    inner = TrimFront(inner);
    if (!inner.starts_with("=")) {
      if (attribute.name.empty()) return;
      continue;
    }
    inner = TrimFront(inner.substr(1));
    if (inner.empty() || (inner[0] != '"' && inner[0] != '\'')) continue;
    const size_t close = inner.find(inner[0], 1);
    attribute.value = inner.substr(1, close == std::string_view::npos ? close : close - 1);
    inner.remove_prefix(std::min(close, inner.size() - 1) + 1);
    token.attributes.push_back(attribute);
  }
}

bool XmlTokens::Next(XmlToken& token) {
  while (!rest_.empty()) {
    token = XmlToken{};
    token.line = line_;
    if (rest_[0] != '<') {
      token.text = rest_.substr(0, rest_.find('<'));
      Advance(token.text.size());
      return true;
    }
    if (rest_.starts_with("<!--")) {
      Advance(4);
      TakeUntil("-->");
      continue;
    }
    if (rest_.starts_with("<![CDATA[")) {
      Advance(9);
      token.text = TakeUntil("]]>");
      return true;
    }
    if (rest_.starts_with("<!")) {
      Advance(2);
      token.kind = XmlToken::Kind::kDoctype;
      token.text = TakeDoctype();
      return true;
    }
    if (rest_.starts_with("<?")) {
      Advance(2);
      token.kind = XmlToken::Kind::kInstruction;
      token.text = TakeUntil("?>");
      token.name = token.text.substr(0, token.text.find_first_of(kSpace));
      return true;
    }
    TakeTag(token);
    return true;
  }
  return false;
}

std::string_view LocalName(std::string_view name) {
  const size_t colon = name.rfind(':');
  return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

}  // namespace wheatpaste

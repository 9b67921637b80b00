#include "artwork/style_text.h"

#include <algorithm>
#include <vector>

namespace wheatpaste {
namespace {

constexpr std::string_view kSpace = " \t\r\n\f";

// Where the comment or quoted text that starts at `at` ends; `at` itself where none starts there.
size_t PastQuoted(std::string_view text, size_t at) {
  if (text.substr(at).starts_with("/*")) {
    const size_t end = text.find("*/", at + 2);
    return end == std::string_view::npos ? text.size() : end + 2;
  }
  const char quote = text[at];
  if (quote != '"' && quote != '\'') return at;
  for (size_t i = at + 1; i < text.size(); ++i) {
    if (text[i] == '\\') {
      ++i;
    } else if (text[i] == quote || text[i] == '\n') {
      return i + 1;
    }
  }
  return text.size();
}

// Without white space and comments before it.
std::string_view TrimComments(std::string_view text) {
  text = TrimSpace(text);
  while (text.starts_with("/*")) {
    text.remove_prefix(std::min(PastQuoted(text, 0), text.size()));
    text = TrimSpace(text);
  }
  return text;
}

bool IsWord(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
         c == '_' || c == '#' || c == '.' || c == '%' || static_cast<unsigned char>(c) >= 0x80;
}

}  // namespace

std::string_view TrimSpace(std::string_view text) {
  const size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

std::string LowerCase(std::string_view text) {
  std::string lower(text);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return lower;
}

void ForEachDeclaration(std::string_view text, bool in_block,
                        const std::function<void(const StyleDeclaration&)>& see) {
  std::vector<std::string_view> selectors;  // of the blocks that are open
  if (in_block) selectors.emplace_back();
  size_t start = 0, brackets = 0;
  const auto end_piece = [&](size_t end) {
    const std::string_view piece = TrimComments(text.substr(start, end - start));
    start = end + 1;
    brackets = 0;
    return piece;
  };
  const auto end_declaration = [&](size_t end) {
    const std::string_view piece = end_piece(end);
    const size_t colon = piece.find(':');
    if (selectors.empty() || colon == std::string_view::npos) return;
    std::string_view property = piece.substr(0, colon);
    property = TrimSpace(property.substr(0, property.find("/*")));
    see({selectors.back(), property, piece.substr(colon + 1)});
  };
  for (size_t at = 0; at < text.size();) {
    if (const size_t past = PastQuoted(text, at); past != at) {
      at = past;
      continue;
    }
    const char c = text[at];
    if (c == '(') ++brackets;
    if (c == ')' && brackets > 0) --brackets;
    if (c == '{') {
      selectors.push_back(end_piece(at));
    } else if (c == '}') {
      end_declaration(at);
      if (!selectors.empty()) selectors.pop_back();
    } else if (c == ';' && brackets == 0) {
      end_declaration(at);
    }
    ++at;
  }
  if (start < text.size()) end_declaration(text.size());
}

void ForEachValueToken(std::string_view value, const std::function<void(std::string_view)>& see) {
  for (size_t at = 0; at < value.size();) {
    if (const size_t past = PastQuoted(value, at); past != at) {
      at = past;
      continue;
    }
    size_t end = at;
    while (end < value.size() && IsWord(value[end])) ++end;
    if (end == at) {
      ++at;
      continue;
    }
    if (end < value.size() && value[end] == '(') {
      while (end < value.size() && value[end] != ')') {
        end = std::max(PastQuoted(value, end), end + 1);
      }
      end = std::min(end + 1, value.size());
    }
    see(value.substr(at, end - at));
    at = end;
  }
}

}  // namespace wheatpaste

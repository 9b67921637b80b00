// style_text.h - cuts a style sheet, or a style attribute, into selectors and declarations.
//
// Model   pieces between { } and ; that stand outside comments, quotes and round brackets (CSS Syntax
//         Module Level 3, 5). A piece before { is a selector (or an at-rule, whose block is read like
//         any other); one with a colon inside a block is a declaration. What is not well formed gives
//         pieces as far as they can be told.
// Time    linear in the text.
#pragma once

#include <functional>
#include <string>
#include <string_view>

namespace wheatpaste {

struct StyleDeclaration {
  std::string_view selector;  // of the innermost rule; "" in a style attribute
  std::string_view property;  // as written, without space and comments around it
  std::string_view value;     // part of the text, from behind the colon to the piece's end
};

// in_block  true for a style attribute, false for a sheet.
void ForEachDeclaration(std::string_view text, bool in_block,
                        const std::function<void(const StyleDeclaration&)>& see);

// Tokens of one value: words (#123456, navy, 12px), functions with all between their brackets, and
// nothing of what is quoted or commented. url(...) is one function.
void ForEachValueToken(std::string_view value, const std::function<void(std::string_view)>& see);

// Without white space at both ends.
std::string_view TrimSpace(std::string_view text);
// A to Z as a to z.
std::string LowerCase(std::string_view text);

}  // namespace wheatpaste

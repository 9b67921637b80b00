// xml_tokens.h - cuts XML text into tags, instructions, document type and character data.
//
// Model   what ScanSvg needs and no more: names and attribute values as written (character
//         references unresolved), the line each token starts on. Text that is not well formed gives
//         tokens as far as they can be told; the XML reader proper refuses it afterwards.
// Time    linear; no memory but the attributes of one tag.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace wheatpaste {

struct XmlAttribute {
  std::string_view name;   // with its prefix
  std::string_view value;  // between the quotes
};

struct XmlToken {
  enum class Kind { kStart, kEmpty, kEnd, kInstruction, kDoctype, kText };
  Kind kind = Kind::kText;
  std::string_view name;  // of a tag or instruction, with its prefix
  std::string_view text;  // of an instruction, document type, character data or CDATA section
  std::vector<XmlAttribute> attributes;
  uint32_t line = 1;
};

class XmlTokens {
 public:
  explicit XmlTokens(std::string_view text);
  // False at the end of the text. Comments are passed over.
  bool Next(XmlToken& token);

 private:
  std::string_view TakeUntil(std::string_view end);
  std::string_view TakeDoctype();
  void TakeTag(XmlToken& token);
  void Advance(size_t count);

  std::string_view rest_;
  uint32_t line_ = 1;
};

// The part after the last ':'.
std::string_view LocalName(std::string_view name);

}  // namespace wheatpaste

#include "artwork/scan_svg.h"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>

#include <fmt/format.h>

#include "artwork/place_error.h"
#include "artwork/xml_tokens.h"
#include "base/files.h"
#include "base/read_log.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxErrors = 20;
constexpr size_t kMaxEntities = 1000;
constexpr size_t kMaxTarget = 4096;  // bytes of a reference that are looked at
constexpr std::string_view kSpace = " \t\r\n";

std::string_view Trim(std::string_view text) {
  const size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

bool StartsWithNoCase(std::string_view text, std::string_view lower) {
  if (text.size() < lower.size()) return false;
  for (size_t i = 0; i < lower.size(); ++i) {
    const char c = text[i];
    if ((c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c) != lower[i]) return false;
  }
  return true;
}

size_t FindNoCase(std::string_view text, std::string_view lower, size_t from) {
  for (size_t i = from; i + lower.size() <= text.size(); ++i) {
    if (StartsWithNoCase(text.substr(i), lower)) return i;
  }
  return std::string_view::npos;
}

std::string FromPercent(std::string_view text) {
  std::string plain;
  for (size_t i = 0; i < text.size(); ++i) {
    unsigned code = 0;
    const auto digit = [&](char c) {
      if (c >= '0' && c <= '9') return c - '0';
      if (c >= 'a' && c <= 'f') return c - 'a' + 10;
      if (c >= 'A' && c <= 'F') return c - 'A' + 10;
      return -1;
    };
    if (text[i] == '%' && i + 2 < text.size() && digit(text[i + 1]) >= 0 &&
        digit(text[i + 2]) >= 0) {
      code = static_cast<unsigned>(digit(text[i + 1]) * 16 + digit(text[i + 2]));
      plain += static_cast<char>(code);
      i += 2;
    } else {
      plain += text[i];
    }
  }
  return plain;
}

class Scanner {
 public:
  Scanner(std::string_view text, const std::string& base_file, const Placed<std::string>& path)
      : tokens_(text), base_file_(base_file), path_(path) {}

  Result<SvgFacts> Scan() {
    XmlToken token;
    while (errors_.size() < kMaxErrors && tokens_.Next(token)) See(token);
    if (!errors_.empty()) return std::move(errors_);
    return facts_;
  }

 private:
  void Fail(uint32_t line, const std::string& message) {
    errors_.push_back(ArtworkError(path_, fmt::format("line {}: {}", line, message)));
  }
  void FailReference(uint32_t line, std::string_view target) {
    Fail(line, fmt::format("external reference \"{}\" is not loaded; embed it",
                           PrintableText(target, 80)));
  }

  void See(const XmlToken& token) {
    switch (token.kind) {
      case XmlToken::Kind::kStart:
        if (++depth_ == kMaxSvgDepth + 1) {
          Fail(token.line, fmt::format("elements are nested more than {} deep", kMaxSvgDepth));
        }
        in_style_ = LocalName(token.name) == "style";
        SeeTag(token);
        return;
      case XmlToken::Kind::kEmpty:
        SeeTag(token);
        return;
      case XmlToken::Kind::kEnd:
        --depth_;
        in_style_ = false;
        return;
      case XmlToken::Kind::kInstruction:
        if (token.name == "xml-stylesheet") FailReference(token.line, "xml-stylesheet");
        return;
      case XmlToken::Kind::kDoctype:
        SeeDoctype(token);
        return;
      case XmlToken::Kind::kText:
        if (in_style_) SeeStyle(token.text, token.line);
        return;
    }
  }

  void SeeTag(const XmlToken& token) {
    const std::string_view element = LocalName(token.name);
    const bool picture = element == "image" || element == "feImage";
    if (element == "text") facts_.has_text = true;
    if (element == "pattern") facts_.has_patterns = true;
    if (picture) facts_.has_pictures = true;
    const bool include = element == "include" && token.name != element;
    for (const XmlAttribute& attribute : token.attributes) {
      const std::string_view name = LocalName(attribute.name);
      if (name == "href" && element != "a") {
        const std::string target = Resolve(attribute.value);
        if (include || !IsLoaded(target, picture)) FailReference(token.line, target);
        continue;
      }
      SeeStyle(attribute.value, token.line);
      SeeProperty(name, attribute.value);
      if (name == "style") SeeDeclarations(attribute.value);
    }
  }

  void SeeProperty(std::string_view name, std::string_view value) {
    value = Trim(value);
    if ((name == "opacity" && value != "1") ||
        ((name == "filter" || name == "mask") && value != "none") ||
        (name == "mix-blend-mode" && value != "normal") || name == "isolation") {
      facts_.has_layers = true;
    }
  }

  // name: value; name: value
  void SeeDeclarations(std::string_view style) {
    while (!style.empty()) {
      const std::string_view one = style.substr(0, style.find(';'));
      const size_t colon = one.find(':');
      if (colon != std::string_view::npos) {
        SeeProperty(Trim(one.substr(0, colon)), one.substr(colon + 1));
      }
      style.remove_prefix(std::min(one.size() + 1, style.size()));
    }
  }

  void SeeStyle(std::string_view style, uint32_t line) {
    if (in_style_) {
      for (const std::string_view word : {"opacity", "filter", "mask", "blend", "isolation"}) {
        if (style.find(word) != std::string_view::npos) facts_.has_layers = true;
      }
      if (const size_t at = FindNoCase(style, "@import", 0); at != std::string_view::npos) {
        FailReference(line, Trim(style.substr(at, style.find_first_of(";\n", at) - at)));
      }
    }
    for (size_t at = style.find('('); at != std::string_view::npos; at = style.find('(', at + 1)) {
      if (at < 3 || !StartsWithNoCase(style.substr(at - 3), "url")) continue;
      const std::string_view inner = style.substr(at + 1, kMaxTarget);
      std::string target = Resolve(inner.substr(0, inner.find(')')));
      std::erase_if(target, [](char c) { return c == '"' || c == '\''; });
      if (!IsLoaded(Trim(target), false)) FailReference(line, Trim(target));
    }
  }

  void SeeDoctype(const XmlToken& token) {
    // <!ENTITY name "value"> and <!ENTITY [%] name SYSTEM|PUBLIC ...>
    const std::string_view text = token.text;
    uint32_t line = token.line;
    size_t counted = 0;
    for (size_t at = text.find("<!ENTITY"); at != std::string_view::npos;
         at = text.find("<!ENTITY", at + 8)) {
      for (; counted < at; ++counted) line += text[counted] == '\n';
      facts_.has_entities = true;
      std::string_view rest = Trim(text.substr(at + 8, kMaxTarget));
      if (rest.starts_with("%")) rest = Trim(rest.substr(1));
      const std::string_view name = rest.substr(0, rest.find_first_of(kSpace));
      rest = Trim(rest.substr(name.size()));
      if (rest.starts_with("SYSTEM") || rest.starts_with("PUBLIC")) {
        FailReference(line, fmt::format("entity {}", name));
      } else if (!rest.empty() && (rest[0] == '"' || rest[0] == '\'')) {
        if (entities_.size() < kMaxEntities) {
          entities_[std::string(name)] = std::string(rest.substr(1, rest.find(rest[0], 1) - 1));
        }
      }
      if (errors_.size() >= kMaxErrors) return;
    }
  }

  // Character references and the file's own entities (one level) replaced, spaces trimmed.
  std::string Resolve(std::string_view value) const {
    value = Trim(value);
    if (value.starts_with("data:")) return "data:";
    value = value.substr(0, kMaxTarget);
    std::string plain;
    for (size_t i = 0; i < value.size() && plain.size() < kMaxTarget; ++i) {
      const size_t end = value[i] == '&' ? value.find(';', i) : std::string_view::npos;
      if (end == std::string_view::npos) {
        plain += value[i];
        continue;
      }
      plain += Replacement(value.substr(i + 1, end - i - 1));
      i = end;
    }
    return std::string(Trim(plain));
  }

  std::string Replacement(std::string_view reference) const {
    static const std::map<std::string_view, std::string> kPredefined = {
        {"amp", "&"}, {"lt", "<"}, {"gt", ">"}, {"quot", "\""}, {"apos", "'"}};
    if (reference.starts_with("#")) {
      const bool hex = reference.size() > 1 && (reference[1] == 'x' || reference[1] == 'X');
      const std::string digits(reference.substr(hex ? 2 : 1));
      const unsigned long code = std::strtoul(digits.c_str(), nullptr, hex ? 16 : 10);
      return std::string(1, code > 0 && code < 128 ? static_cast<char>(code) : '?');
    }
    if (const auto known = kPredefined.find(reference); known != kPredefined.end()) {
      return known->second;
    }
    if (const auto own = entities_.find(std::string(reference)); own != entities_.end()) {
      return own->second;
    }
    return "?";
  }

  bool IsLoaded(std::string_view target, bool picture) const {
    if (target.empty() || target.starts_with("#") || StartsWithNoCase(target, "data:")) return true;
    return picture && IsBitmapBeside(FromPercent(target));
  }

  // A regular file in the SVG's folder or below it, links followed, that is not itself XML.
  bool IsBitmapBeside(const std::string& name) const {
    namespace fs = std::filesystem;
    if (base_file_.empty() || name.empty() || name.size() > 1024 || name[0] == '/' ||
        name.find(':') != std::string::npos || name.find('\0') != std::string::npos) {
      return false;
    }
    std::error_code failed;
    const fs::path folder = fs::canonical(FolderOf(base_file_), failed);
    if (failed) return false;
    const fs::path file = fs::canonical(folder / name, failed);
    if (failed || !fs::is_regular_file(file, failed)) return false;
    const fs::path relative = file.lexically_relative(folder);
    if (relative.empty() || *relative.begin() == "..") return false;
    std::array<char, 256> start{};
    std::ifstream(file, std::ios::binary).read(start.data(), start.size());
    if (Trim(std::string_view(start.data(), start.size())).starts_with("<")) return false;
    ReadLog::NoteFile(file.string());
    return true;
  }

  XmlTokens tokens_;
  const std::string& base_file_;
  const Placed<std::string>& path_;
  SvgFacts facts_;
  Errors errors_;
  std::map<std::string, std::string> entities_;
  int depth_ = 0;
  bool in_style_ = false;
};

}  // namespace

bool LooksLikeSvg(std::string_view text) {
  XmlTokens tokens(text);
  XmlToken token;
  while (tokens.Next(token)) {
    if (token.kind == XmlToken::Kind::kText && !Trim(token.text).empty()) return false;
    if (token.kind == XmlToken::Kind::kStart || token.kind == XmlToken::Kind::kEmpty) {
      return LocalName(token.name) == "svg";
    }
  }
  return false;
}

Result<SvgFacts> ScanSvg(std::string_view text, const std::string& base_file,
                         const Placed<std::string>& path) {
  return Scanner(text, base_file, path).Scan();
}

}  // namespace wheatpaste

#include "artwork/recolour.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "artwork/place_error.h"
#include "artwork/style_text.h"
#include "artwork/svg_colour.h"
#include "artwork/svg_survey.h"
#include "artwork/xml_tokens.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxErrors = 20;
constexpr size_t kMostListed = 24;
constexpr Srgb8 kBlack{0, 0, 0}, kWhite{255, 255, 255};

// Colours that every child takes over from its parent; the rest belong to one element alone.
constexpr std::array<std::string_view, 3> kInherited = {"fill", "stroke", "color"};
enum Inherited { kFill, kStroke, kColor };
constexpr std::array<std::string_view, 6> kProperties = {
    "fill", "stroke", "color", "stop-color", "flood-color", "lighting-color"};

// Elements with a colour of their own, and what it is where none is stated (SVG 2, 14.2.4; Filter
// Effects Module Level 1, 9.11, 9.13, 15.3).
struct OwnColour {
  std::string_view element, property;
  Srgb8 initial;
};
constexpr std::array<OwnColour, 5> kOwnColours = {
    {{"stop", "stop-color", kBlack},
     {"feFlood", "flood-color", kBlack},
     {"feDropShadow", "flood-color", kBlack},
     {"feDiffuseLighting", "lighting-color", kWhite},
     {"feSpecularLighting", "lighting-color", kWhite}}};
constexpr std::array<std::string_view, 8> kShapes = {"path",     "rect",    "circle", "ellipse",
                                                     "polyline", "polygon", "text",   "line"};
constexpr std::array<std::string_view, 4> kColourFilters = {"feColorMatrix", "feComponentTransfer",
                                                            "feTurbulence", "feConvolveMatrix"};

template <typename List>
bool Holds(const List& list, std::string_view name) {
  return std::find(list.begin(), list.end(), name) != list.end();
}

// Entities that cannot stand for a colour or for punctuation around one.
bool IsPlain(std::string_view style) {
  for (size_t at = style.find('&'); at != std::string_view::npos; at = style.find('&', at + 1)) {
    const std::string_view rest = style.substr(at + 1);
    const bool known = rest.starts_with("quot;") || rest.starts_with("apos;") ||
                       rest.starts_with("amp;") || rest.starts_with("lt;") ||
                       rest.starts_with("gt;");
    if (!known) return false;
  }
  return true;
}

// What an open element passes on.
struct Frame {
  std::array<std::string_view, 3> inherited;  // kInherited as last stated; "" where nothing was
  bool filled = false;                        // some fill is stated here or above
  bool coloured = false;                      // some color is
  bool covering = false;                      // its colours are coverage
  bool part = false;                          // in defs or a symbol: drawn where it is used
  bool style = false;                         // a style sheet
};

class Recolourer {
 public:
  Recolourer(std::string_view text, const Recolouring& recolouring, const Placed<std::string>& path)
      : text_(text),
        recolouring_(recolouring),
        path_(path),
        survey_(SurveySvg(text)),
        tokens_(text) {
    out_.svg.reserve(text.size() + text.size() / 16);
  }

  Result<RecolouredSvg> Recolour() {
    if (survey_.holds_markup_entities) {
      Fail(survey_.entity_line,
           "entities that hold elements or entities cannot be recoloured; write them out");
    }
    XmlToken token;
    while (errors_.size() < kMaxErrors && tokens_.Next(token)) See(token);
    if (!errors_.empty()) return std::move(errors_);
    CopyUpTo(text_.data() + text_.size());
    if (open_shape_ || (open_use_ && open_part_)) out_.colours.insert(kBlack);
    Note();
    return std::move(out_);
  }

 private:
  void Fail(uint32_t line, const std::string& message) {
    errors_.push_back(ArtworkError(path_, fmt::format("line {}: {}", line, message)));
  }

  void Note() {
    if (pictures_) out_.notes.emplace_back("pictures inside the artwork keep their colours");
    if (!filters_.empty()) {
      out_.notes.push_back(
          fmt::format("filters that make colours of their own ({}) are not recoloured",
                      fmt::join(filters_, ", ")));
    }
    if (survey_.shared_by_mask || (survey_.has_masks && sheet_changed_)) {
      out_.notes.emplace_back(
          "a mask shares its colours with what is seen; what it lets through may have changed");
    }
  }

  void CopyUpTo(const char* end) {
    const char* from = text_.data() + copied_;
    out_.svg.insert(out_.svg.end(), from, end);
    copied_ = static_cast<size_t>(end - text_.data());
  }
  void Insert(const std::string& text) {
    out_.svg.insert(out_.svg.end(), text.begin(), text.end());
  }
  void Replace(std::string_view old, const std::string& by) {
    CopyUpTo(old.data());
    Insert(by);
    copied_ += old.size();
  }

  void See(const XmlToken& token) {
    switch (token.kind) {
      case XmlToken::Kind::kStart:
        frames_.push_back(Enter(token));
        return;
      case XmlToken::Kind::kEmpty:
        Enter(token);
        return;
      case XmlToken::Kind::kEnd:
        if (!frames_.empty()) frames_.pop_back();
        return;
      case XmlToken::Kind::kText:
        if (!frames_.empty() && frames_.back().style) SeeSheet(token);
        return;
      case XmlToken::Kind::kDoctype:
      case XmlToken::Kind::kInstruction:
        return;
    }
  }

  Frame Enter(const XmlToken& token) {
    const std::string_view element = LocalName(token.name);
    const Frame parent = frames_.empty() ? Frame{} : frames_.back();
    Frame frame = parent;
    frame.style = element == "style";
    if (const XmlAttribute* id = FindAttribute(token, "id")) {
      frame.covering |= survey_.covering_ids.contains(id->value);
    }
    frame.covering |= IsCoveringElement(element);
    if (element == "defs" || element == "symbol") {
      frame.part = true;
      frame.filled = frame.coloured = false;
    }
    // What the element states itself, before anything is written: stated defaults come first in the tag.
    stated_.clear();
    for (const XmlAttribute& attribute : token.attributes) {
      State(attribute.name, attribute.value, frame);
    }
    if (const XmlAttribute* style = FindAttribute(token, "style")) {
      ForEachDeclaration(style->value, true, [&](const StyleDeclaration& one) {
        State(LowerCase(one.property), one.value, frame);
      });
    }
    frame.filled |= FilledBySheet(token, element);
    StateDefaults(token, element, parent, frame);
    if (!frame.covering) {
      Look(element, frame);
      for (const XmlAttribute& attribute : token.attributes) Rewrite(attribute, token.line);
    }
    return frame;
  }

  void State(std::string_view property, std::string_view value, Frame& frame) {
    if (!Holds(kProperties, property)) return;
    stated_.emplace(property);
    for (size_t i = 0; i < kInherited.size(); ++i) {
      if (kInherited[i] == property) frame.inherited[i] = TrimSpace(value);
    }
    if (property == "fill" && TrimSpace(value) != "inherit") frame.filled = true;
    if (property == "color" && TrimSpace(value) != "inherit") frame.coloured = true;
  }

  bool FilledBySheet(const XmlToken& token, std::string_view element) const {
    if (survey_.filled_elements.contains(element) || survey_.filled_elements.contains("*")) {
      return true;
    }
    if (const XmlAttribute* id = FindAttribute(token, "id")) {
      if (survey_.filled_ids.contains(id->value)) return true;
    }
    const XmlAttribute* classes = FindAttribute(token, "class");
    if (!classes || survey_.filled_classes.empty()) return false;
    std::string_view rest = TrimSpace(classes->value);
    while (!rest.empty()) {
      const std::string_view one = rest.substr(0, rest.find_first_of(" \t\r\n"));
      if (survey_.filled_classes.contains(one)) return true;
      rest = TrimSpace(rest.substr(one.size()));
    }
    return false;
  }

  // Attributes that must be there so that what was left unsaid changes, or stays, as it should.
  void StateDefaults(const XmlToken& token, std::string_view element, const Frame& parent,
                     const Frame& frame) {
    std::string stated;
    const auto state = [&](std::string_view property, std::string_view value) {
      if (!Holds(stated_, property)) stated += fmt::format(" {}=\"{}\"", property, value);
    };
    if (frames_.empty() && !root_seen_) {
      root_seen_ = true;
      if (const Srgb8 black = recolouring_.Of(kBlack); black != kBlack) {
        state("fill", HexOf(black));
        state("color", HexOf(black));
      }
    }
    if (!frame.covering) {
      for (const OwnColour& own : kOwnColours) {
        const Srgb8 after = recolouring_.Of(own.initial);
        if (own.element == element && after != own.initial) state(own.property, HexOf(after));
      }
    } else if (!parent.covering && element != "clipPath" &&
               (element == "mask" || element == "pattern" || element == "marker")) {
      // What it would take over from elements around it, in the colour that had.
      for (size_t i = 0; i < kInherited.size(); ++i) {
        const std::string_view before = parent.inherited[i];
        if (before.empty() && i != kStroke && recolouring_.Of(kBlack) != kBlack) {
          state(kInherited[i], HexOf(kBlack));
        } else if (Changes(before) && before.find_first_of("\"'<&") == std::string_view::npos) {
          state(kInherited[i], before);
        }
      }
    }
    if (stated.empty()) return;
    CopyUpTo(token.name.data() + token.name.size());
    Insert(stated);
  }

  bool Changes(std::string_view value) const {
    bool changes = false;
    ForEachValueToken(value, [&](std::string_view word) {
      const auto colour = ParseColour(word);
      changes |= colour && recolouring_.Of(colour->colour) != colour->colour;
    });
    return changes;
  }

  // Colours that are shown without being written, and what cannot be recoloured.
  void Look(std::string_view element, const Frame& frame) {
    const bool current = LowerCase(frame.inherited[kFill]) == "currentcolor" ||
                         LowerCase(frame.inherited[kStroke]) == "currentcolor";
    if (!frame.filled || (current && !frame.coloured)) {
      if (element == "use") open_use_ = true;
      if (Holds(kShapes, element)) (frame.part ? open_part_ : open_shape_) = true;
    }
    for (const OwnColour& own : kOwnColours) {
      if (own.element == element && !Holds(stated_, own.property)) {
        out_.colours.insert(own.initial);
      }
    }
    if (element == "image" || element == "feImage") pictures_ = true;
    if (Holds(kColourFilters, element)) filters_.emplace(element);
  }

  void Rewrite(const XmlAttribute& attribute, uint32_t line) {
    if (attribute.name == "style") {
      if (!IsPlain(attribute.value)) return FailEntity(line, "style");
      ForEachDeclaration(attribute.value, true, [this](const StyleDeclaration& one) {
        if (Holds(kProperties, LowerCase(one.property))) RewriteValue(one.value);
      });
    } else if (Holds(kProperties, attribute.name)) {
      if (attribute.value.find('&') != std::string_view::npos) {
        return FailEntity(line, attribute.name);
      }
      RewriteValue(attribute.value);
    }
  }

  void FailEntity(uint32_t line, std::string_view name) {
    Fail(line, fmt::format("{} is written with entities, which cannot be recoloured; write plain "
                           "characters",
                           name));
  }

  void SeeSheet(const XmlToken& token) {
    if (!IsPlain(token.text)) return FailEntity(token.line, "a style sheet");
    ForEachDeclaration(token.text, false, [this](const StyleDeclaration& one) {
      if (Holds(kProperties, LowerCase(one.property))) sheet_changed_ |= RewriteValue(one.value);
    });
  }

  bool RewriteValue(std::string_view value) {
    bool changed = false;
    ForEachValueToken(value, [&](std::string_view word) {
      const auto colour = ParseColour(word);
      if (!colour) return;
      out_.colours.insert(colour->colour);
      const Srgb8 after = recolouring_.Of(colour->colour);
      if (after == colour->colour) return;
      Replace(word, WriteColour(after, *colour));
      changed = true;
    });
    return changed;
  }

  std::string_view text_;
  const Recolouring& recolouring_;
  const Placed<std::string>& path_;
  const SvgSurvey survey_;
  XmlTokens tokens_;
  std::vector<Frame> frames_;
  std::set<std::string, std::less<>> stated_;  // by the element at hand
  std::set<std::string, std::less<>> filters_;
  bool root_seen_ = false, pictures_ = false, sheet_changed_ = false;
  bool open_shape_ = false, open_use_ = false, open_part_ = false;
  size_t copied_ = 0;  // bytes of text_ that are written, or replaced
  RecolouredSvg out_;
  Errors errors_;
};

}  // namespace

Srgb8 Recolouring::Of(const Srgb8& colour) const {
  const auto found = exact.find(colour);
  return found != exact.end() ? found->second : others.value_or(colour);
}

Result<RecolouredSvg> RecolourSvg(std::string_view text, const Recolouring& recolouring,
                                  const Placed<std::string>& path) {
  return Recolourer(text, recolouring, path).Recolour();
}

std::string ListOfColours(const std::set<Srgb8>& colours) {
  std::vector<std::string> shown;
  for (const Srgb8& colour : colours) {
    if (shown.size() < kMostListed) shown.push_back(HexOf(colour));
  }
  if (shown.empty()) return "none";
  std::string list = fmt::format("{}", fmt::join(shown, ", "));
  if (colours.size() > kMostListed)
    list += fmt::format(" and {} more", colours.size() - kMostListed);
  return list;
}

}  // namespace wheatpaste

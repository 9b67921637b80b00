#include "artwork/svg_survey.h"

#include <algorithm>
#include <array>
#include <map>

#include "artwork/style_text.h"

namespace wheatpaste {
namespace {

// Elements that are drawn only where something refers to them.
constexpr std::array<std::string_view, 9> kUndrawn = {"clipPath",       "defs",           "filter",
                                                      "linearGradient", "marker",         "mask",
                                                      "pattern",        "radialGradient", "symbol"};

constexpr size_t kLongestReference = 4096;  // bytes that are looked at

// What draws what, from the picture, the masks and the clip paths down to parts with ids.
class Graph {
 public:
  enum Node : size_t { kPicture, kMask, kClip, kNowhere, kFirstNamed };

  size_t Named(std::string_view id) {
    const auto [found, is_new] = nodes_.try_emplace(std::string(id), draws_.size());
    if (is_new) draws_.emplace_back();
    return found->second;
  }
  void Add(size_t from, size_t to) { draws_[from].push_back(to); }

  std::vector<bool> Reached(size_t from) const {
    std::vector<bool> reached(draws_.size());
    std::vector<size_t> open{from};
    reached[from] = true;
    while (!open.empty()) {
      const size_t node = open.back();
      open.pop_back();
      for (const size_t next : draws_[node]) {
        if (!reached[next]) open.push_back(next);
        reached[next] = true;
      }
    }
    return reached;
  }
  const std::map<std::string, size_t, std::less<>>& named() const { return nodes_; }

 private:
  std::map<std::string, size_t, std::less<>> nodes_;
  std::vector<std::vector<size_t>> draws_ = std::vector<std::vector<size_t>>(kFirstNamed);
};

class Surveyor {
 public:
  explicit Surveyor(std::string_view text) : tokens_(text) {}

  SvgSurvey Survey() {
    XmlToken token;
    while (tokens_.Next(token)) See(token);
    const std::vector<bool> shown = graph_.Reached(Graph::kPicture);
    const std::vector<bool> masks = graph_.Reached(Graph::kMask);
    const std::vector<bool> clips = graph_.Reached(Graph::kClip);
    for (const auto& [id, node] : graph_.named()) {
      if (masks[node] && shown[node]) survey_.shared_by_mask = true;
      if ((masks[node] || clips[node]) && !shown[node]) survey_.covering_ids.insert(id);
    }
    return std::move(survey_);
  }

 private:
  void See(const XmlToken& token) {
    switch (token.kind) {
      case XmlToken::Kind::kStart:
      case XmlToken::Kind::kEmpty: {
        const size_t node = Enter(token);
        if (token.kind == XmlToken::Kind::kStart) {
          owners_.push_back(node);
          in_style_ = LocalName(token.name) == "style";
        }
        return;
      }
      case XmlToken::Kind::kEnd:
        if (!owners_.empty()) owners_.pop_back();
        in_style_ = false;
        return;
      case XmlToken::Kind::kText:
        if (in_style_) SeeSheet(token.text);
        return;
      case XmlToken::Kind::kDoctype:
        SeeDoctype(token);
        return;
      case XmlToken::Kind::kInstruction:
        return;
    }
  }

  // The node that draws what stands in the element.
  size_t Enter(const XmlToken& token) {
    const std::string_view element = LocalName(token.name);
    const size_t parent = owners_.empty() ? size_t{Graph::kPicture} : owners_.back();
    const bool undrawn = std::find(kUndrawn.begin(), kUndrawn.end(), element) != kUndrawn.end();
    size_t node = undrawn ? size_t{Graph::kNowhere} : parent;
    if (element == "mask") {
      node = Graph::kMask;
      survey_.has_masks = true;
    } else if (element == "clipPath") {
      node = Graph::kClip;
    } else if (const XmlAttribute* id = FindAttribute(token, "id"); id && element != "defs") {
      node = graph_.Named(id->value);
      if (!undrawn) graph_.Add(parent, node);
    }
    for (const XmlAttribute& attribute : token.attributes) SeeReferences(attribute, node);
    return node;
  }

  void SeeReferences(const XmlAttribute& attribute, size_t from) {
    if (LocalName(attribute.name) == "href") {
      const std::string_view target = TrimSpace(attribute.value);
      if (target.starts_with('#')) graph_.Add(from, graph_.Named(target.substr(1)));
      return;
    }
    constexpr std::string_view kOpen = "url(";
    const std::string_view value = attribute.value;
    for (size_t at = value.find(kOpen); at != std::string_view::npos;
         at = value.find(kOpen, at + 1)) {
      const std::string_view rest = value.substr(at + kOpen.size(), kLongestReference);
      const size_t hash = rest.find('#');
      const size_t close = rest.find(')');
      if (hash == std::string_view::npos || close == std::string_view::npos || close < hash)
        continue;
      std::string_view id = TrimSpace(rest.substr(hash + 1, close - hash - 1));
      while (!id.empty() && (id.back() == '"' || id.back() == '\'')) id.remove_suffix(1);
      graph_.Add(from, graph_.Named(id));
    }
  }

  void SeeSheet(std::string_view sheet) {
    ForEachDeclaration(sheet, false, [this](const StyleDeclaration& one) {
      if (LowerCase(one.property) == "fill") SeeSelectors(one.selector);
    });
  }

  // Of "g .leaf, path.dark > text" the last parts: .leaf, text.
  void SeeSelectors(std::string_view selectors) {
    while (!selectors.empty()) {
      const std::string_view one = selectors.substr(0, selectors.find(','));
      selectors.remove_prefix(std::min(one.size() + 1, selectors.size()));
      std::string_view last = TrimSpace(one);
      if (const size_t at = last.find_last_of(" \t\r\n>+~"); at != std::string_view::npos) {
        last.remove_prefix(at + 1);
      }
      while (!last.empty()) {
        const size_t end = last.find_first_of(".#:[", 1);
        const std::string_view part = last.substr(0, end);
        last.remove_prefix(part.size());
        if (part.starts_with('.')) {
          survey_.filled_classes.emplace(part.substr(1));
        } else if (part.starts_with('#')) {
          survey_.filled_ids.emplace(part.substr(1));
        } else if (!part.starts_with(':') && !part.starts_with('[')) {
          survey_.filled_elements.emplace(part);
        }
      }
    }
  }

  void SeeDoctype(const XmlToken& token) {
    constexpr std::string_view kEntity = "<!ENTITY";
    const std::string_view text = token.text;
    for (size_t at = text.find(kEntity); at != std::string_view::npos;) {
      at += kEntity.size();
      const size_t next = text.find(kEntity, at);
      const std::string_view one = text.substr(at, next == text.npos ? next : next - at);
      const size_t open = one.find_first_of("\"'");
      if (open != std::string_view::npos) {
        const std::string_view value =
            one.substr(open + 1, one.find(one[open], open + 1) - open - 1);
        if (value.find_first_of("<&") != std::string_view::npos) {
          survey_.holds_markup_entities = true;
          survey_.entity_line = token.line;
        }
      }
      at = next;
    }
  }

  XmlTokens tokens_;
  SvgSurvey survey_;
  Graph graph_;
  std::vector<size_t> owners_;  // of the elements that are open
  bool in_style_ = false;
};

}  // namespace

SvgSurvey SurveySvg(std::string_view text) { return Surveyor(text).Survey(); }

bool IsCoveringElement(std::string_view local_name) {
  return local_name == "mask" || local_name == "clipPath";
}

const XmlAttribute* FindAttribute(const XmlToken& token, std::string_view name) {
  for (const XmlAttribute& attribute : token.attributes) {
    if (attribute.name == name) return &attribute;
  }
  return nullptr;
}

}  // namespace wheatpaste

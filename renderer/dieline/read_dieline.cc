#include "dieline/read_dieline.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <memory>

#include <fmt/format.h>
#include <libxml/parser.h>
#include <libxml/tree.h>

#include "base/files.h"
#include "dieline/svg_path.h"
#include "dieline/svg_values.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

constexpr size_t kMostNames = 2000, kMostElements = 200000;
constexpr size_t kMostPoints = 400000;  // of all lines
constexpr size_t kMostNameCharacters = 40;

std::string_view NameOf(const xmlNode* node) { return reinterpret_cast<const char*>(node->name); }

std::optional<std::string> Attribute(const xmlNode* node, const char* name) {
  for (const xmlAttr* at = node->properties; at != nullptr; at = at->next) {
    if (std::string_view(reinterpret_cast<const char*>(at->name)) != name) continue;
    xmlChar* value = xmlNodeListGetString(node->doc, at->children, 1);
    std::string text = value ? reinterpret_cast<const char*>(value) : "";
    xmlFree(value);
    return text;
  }
  return std::nullopt;
}

std::string ContentOf(xmlNode* node) {
  xmlChar* content = xmlNodeGetContent(node);
  std::string text = content ? reinterpret_cast<const char*>(content) : "";
  xmlFree(content);
  return text;
}

enum class Meaning { kNone, kCut, kCrease, kGlue, kBleed, kPanel };

// What an element has from the groups around it.
struct Inherited {
  Meaning meaning = Meaning::kNone;
  Eigen::Affine2d mm_from_user = Eigen::Affine2d::Identity();
  std::string stroke;
  std::optional<double> angle;
  std::optional<int> order;
};

class DielineReader {
 public:
  DielineReader(const Placed<std::string>& path, const DielineMarks& marks)
      : path_(path), marks_(marks) {}

  Result<DielineDrawing> Read(xmlDoc* document) {
    xmlNode* root = xmlDocGetRootElement(document);
    if (root == nullptr || NameOf(root) != "svg") return Mistake("expected an SVG");
    for (const xmlNode* node = document->intSubset ? document->intSubset->children : nullptr;
         node != nullptr; node = node->next) {
      if (node->type == XML_ENTITY_DECL)
        return Mistake("expected an SVG that declares no entities");
    }
    const auto page =
        SvgPageOf(Attribute(root, "width"), Attribute(root, "height"), Attribute(root, "viewBox"));
    if (!page) return Mistake("expected an SVG with width and height in mm, or another length");
    drawing_.page = page->size;
    FindStyleSheets(root);
    Inherited around;
    around.mm_from_user = page->mm_from_user;
    for (xmlNode* child = root->children; child != nullptr; child = child->next) {
      Visit(child, around);
    }
    if (!errors_.empty()) return std::move(errors_);
    const bool cuts = std::any_of(drawing_.lines.begin(), drawing_.lines.end(),
                                  [](const DielineLine& line) { return line.cut; });
    if (!cuts) {
      return Mistake(fmt::format("expected cut lines: none is in a class or layer \"{}\"{}",
                                 marks_.cut ? PrintableText(marks_.cut->value) : "cut",
                                 marks_.cut ? ", or drawn in that colour" : ""));
    }
    return std::move(drawing_);
  }

 private:
  Error Mistake(const std::string& message) const {
    return {path_.place, fmt::format("{} = \"{}\"", path_.key, PrintableText(path_.value)),
            message};
  }
  void Add(const std::string& message) {
    constexpr size_t kMostMistakes = 10;
    if (errors_.size() < kMostMistakes) errors_.push_back(Mistake(message));
  }

  void FindStyleSheets(xmlNode* node) {
    for (xmlNode* child = node->children; child != nullptr; child = child->next) {
      if (child->type != XML_ELEMENT_NODE) continue;
      if (NameOf(child) == "style") {
        for (auto& [name, look] : ReadStyleSheet(ContentOf(child))) looks_[name] = look;
      } else {
        FindStyleSheets(child);
      }
    }
  }

  // A mark of the scene, or the plain word.
  bool Says(const std::optional<Placed<std::string>>& mark, const char* word,
            const std::string& name) const {
    return mark ? name == mark->value : name == word;
  }
  Meaning MeaningOf(const std::string& name) const {
    if (Says(marks_.cut, "cut", name)) return Meaning::kCut;
    if (Says(marks_.crease, "crease", name)) return Meaning::kCrease;
    if (name == "glue") return Meaning::kGlue;
    if (name == "bleed") return Meaning::kBleed;
    if (name == "panel") return Meaning::kPanel;
    return Meaning::kNone;
  }

  void ReadLook(const xmlNode* node, Inherited& own, bool& hidden) const {
    const auto classes = Words(Attribute(node, "class").value_or(""));
    const std::string style = Attribute(node, "style").value_or("");
    if (const auto stroke = Attribute(node, "stroke")) own.stroke = *stroke;
    hidden = Attribute(node, "display").value_or("") == "none";
    for (const std::string& name : classes) {
      const auto look = looks_.find(name);
      if (look == looks_.end()) continue;
      if (!look->second.stroke.empty()) own.stroke = look->second.stroke;
      hidden = hidden || look->second.hidden;
    }
    if (const std::string stroke = StyleValue(style, "stroke"); !stroke.empty())
      own.stroke = stroke;
    hidden = hidden || StyleValue(style, "display") == "none";

    Meaning meaning = Meaning::kNone;
    for (const std::string& name : classes) {
      if (meaning == Meaning::kNone) meaning = MeaningOf(name);
    }
    for (const char* name : {"label", "id"}) {
      if (meaning == Meaning::kNone) meaning = MeaningOf(Attribute(node, name).value_or(""));
    }
    if (meaning != Meaning::kNone) own.meaning = meaning;
  }

  // By its colour only where no class or layer says what it is.
  Meaning MeaningOf(const Inherited& own) const {
    if (own.meaning != Meaning::kNone) return own.meaning;
    const std::string colour = SvgColour(own.stroke);
    const auto is = [&](const std::optional<Placed<std::string>>& mark) {
      return mark && !colour.empty() && SvgColour(mark->value) == colour &&
             Trimmed(mark->value).substr(0, 1) == "#";
    };
    if (is(marks_.cut)) return Meaning::kCut;
    if (is(marks_.crease)) return Meaning::kCrease;
    return Meaning::kNone;
  }

  void Visit(xmlNode* node, const Inherited& around) {
    if (node->type != XML_ELEMENT_NODE || ++elements_ > kMostElements) return;
    const std::string_view name = NameOf(node);
    for (const char* aside : {"defs", "symbol", "clipPath", "mask", "pattern", "marker", "style",
                              "metadata", "title", "desc"}) {
      if (name == aside) return;
    }
    Inherited own = around;
    bool hidden = false;
    ReadLook(node, own, hidden);
    if (hidden) return;
    if (const auto text = Attribute(node, "transform")) {
      const auto transform = SvgTransform(*text);
      if (!transform) {
        return Add(fmt::format("line {}: transform = \"{}\": expected SVG's transforms",
                               xmlGetLineNo(node), PrintableText(*text, 60)));
      }
      own.mm_from_user = around.mm_from_user * *transform;
    }
    ReadHints(node, own);
    if (name == "use") {
      return Add(
          fmt::format("line {}: expected lines themselves, not `use` of others; unlink clones "
                      "in the drawing",
                      xmlGetLineNo(node)));
    }
    if (name == "text") return ReadText(node, own);
    if (name == "g" || name == "svg" || name == "a" || name == "switch") {
      for (xmlNode* child = node->children; child != nullptr; child = child->next) {
        Visit(child, own);
      }
      return;
    }
    ReadShape(node, name, own);
  }

  void ReadHints(const xmlNode* node, Inherited& own) {
    const auto number = [&](const char* name, double least, double most) -> std::optional<double> {
      const auto text = Attribute(node, name);
      if (!text) return std::nullopt;
      std::string_view rest = Trimmed(*text);
      double value = 0;
      if (TakeSvgNumber(rest, value) && rest.empty() && value >= least && value <= most)
        return value;
      Add(fmt::format("line {}: {} = \"{}\": expected a number from {} to {}", xmlGetLineNo(node),
                      name, PrintableText(*text, 60), least, most));
      return std::nullopt;
    };
    if (const auto angle = number("data-angle", -180, 180)) own.angle = angle;
    if (const auto order = number("data-order", 1, 1000)) own.order = static_cast<int>(*order);
  }

  void ReadShape(xmlNode* node, std::string_view name, const Inherited& own) {
    const Meaning meaning = MeaningOf(own);
    if (meaning == Meaning::kNone) return;
    std::vector<SvgSubpath> paths;
    std::string mistake;
    bool known = true;
    const auto number = [&](const char* key) {
      const auto text = Attribute(node, key);
      if (!text) return 0.0;
      const auto value = SvgUserUnits(*text);
      if (!value && mistake.empty()) {
        mistake = fmt::format("{} = \"{}\": expected a length", key, PrintableText(*text, 60));
      }
      return value.value_or(0);
    };
    const Eigen::Affine2d& map = own.mm_from_user;
    if (name == "path") {
      paths = ReadSvgPath(Attribute(node, "d").value_or(""), map, mistake);
    } else if (name == "line") {
      paths = {
          {{map * Vector2d(number("x1"), number("y1")), map * Vector2d(number("x2"), number("y2"))},
           false}};
    } else if (name == "polyline" || name == "polygon") {
      const std::string points = Attribute(node, "points").value_or("");
      if (!Trimmed(points).empty()) paths = ReadSvgPath("M" + points, map, mistake);
      if (name == "polygon" && !paths.empty()) paths.front().closed = true;
    } else if (name == "rect") {
      const double x = number("x"), y = number("y"), w = number("width"), h = number("height");
      if (w > 0 && h > 0) {
        paths = {{{map * Vector2d(x, y), map * Vector2d(x + w, y), map * Vector2d(x + w, y + h),
                   map * Vector2d(x, y + h)},
                  true}};
      }
    } else if (name == "circle" || name == "ellipse") {
      const double rx = number(name == "circle" ? "r" : "rx"),
                   ry = number(name == "circle" ? "r" : "ry");
      if (rx > 0 && ry > 0) paths = {SvgEllipse({number("cx"), number("cy")}, rx, ry, map)};
    } else {
      known = false;
    }
    if (!known) return;
    if (!mistake.empty()) return Add(fmt::format("line {}: {}", xmlGetLineNo(node), mistake));
    for (SvgSubpath& path : paths) AddPath(node, std::move(path), meaning, own);
  }

  void AddPath(xmlNode* node, SvgSubpath path, Meaning meaning, const Inherited& own) {
    points_ += path.points.size();
    if (points_ > kMostPoints) return Add(fmt::format("expected at most {} points", kMostPoints));
    for (const Vector2d& p : path.points) {
      if (!(std::abs(p.x()) < 1e6 && std::abs(p.y()) < 1e6)) {
        return Add(fmt::format("line {}: expected points on the page", xmlGetLineNo(node)));
      }
    }
    switch (meaning) {
      case Meaning::kGlue:
      case Meaning::kBleed:
        if (path.points.size() < 3) return;
        (meaning == Meaning::kGlue ? drawing_.glue : drawing_.bleed)
            .push_back(std::move(path.points));
        return;
      case Meaning::kPanel: {
        Vector2d middle(0, 0);
        for (const Vector2d& p : path.points) middle += p / static_cast<double>(path.points.size());
        std::string name;
        for (xmlNode* child = node->children; child != nullptr; child = child->next) {
          if (child->type == XML_ELEMENT_NODE && NameOf(child) == "title") name = ContentOf(child);
        }
        if (name.empty()) name = Attribute(node, "id").value_or("");
        return AddName(name, middle, own, true);
      }
      default:
        break;
    }
    if (path.points.size() < 2) return;
    if (path.closed) path.points.push_back(path.points.front());
    drawing_.lines.push_back(
        {meaning == Meaning::kCut, std::move(path.points), own.angle, own.order});
  }

  void ReadText(xmlNode* node, const Inherited& own) {
    std::string content = ContentOf(node);
    // The place is the text's own, or that of its first part that has one.
    std::optional<Vector2d> at;
    const std::function<void(const xmlNode*)> look = [&](const xmlNode* part) {
      const auto first = [&](const char* key) -> std::optional<double> {
        const auto words = Words(Attribute(part, key).value_or(""));
        return words.empty() ? std::nullopt : SvgUserUnits(words.front());
      };
      const auto x = first("x"), y = first("y");
      if (!at && (x || y)) at = Vector2d(x.value_or(0), y.value_or(0));
      for (const xmlNode* child = part->children; child != nullptr && !at; child = child->next) {
        if (child->type == XML_ELEMENT_NODE) look(child);
      }
    };
    look(node);
    AddName(content, own.mm_from_user * at.value_or(Vector2d(0, 0)), own,
            own.meaning == Meaning::kPanel);
  }

  void AddName(const std::string& text, const Vector2d& at, const Inherited& own, bool meant) {
    std::string name;
    for (const std::string& word : Words(text)) name += (name.empty() ? "" : "_") + word;
    const bool plain = !name.empty() && name.size() <= kMostNameCharacters &&
                       std::isalpha(static_cast<unsigned char>(name[0])) &&
                       name.find_first_not_of(
                           "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") ==
                           std::string::npos;
    if (!plain || name == "flat" || name.rfind("panel_", 0) == 0) {
      if (meant) {
        Add(
            fmt::format("panel \"{}\": expected a name of letters, digits, _ and -, other than "
                        "\"flat\" and \"panel_...\"",
                        PrintableText(text, 60)));
      }
      return;
    }
    if (drawing_.names.size() == kMostNames) return;
    Vector2d up = own.mm_from_user.linear() * Vector2d(0, -1);
    if (!(up.norm() > 0) || !at.allFinite()) return;
    up.normalize();
    // Nearly upright is upright.
    for (double* part : {&up.x(), &up.y()}) {
      if (std::abs(*part) < 1e-9) *part = 0;
    }
    drawing_.names.push_back({name, at, up.normalized(), meant});
  }

  const Placed<std::string>& path_;
  const DielineMarks& marks_;
  std::map<std::string, ClassLook> looks_;
  DielineDrawing drawing_;
  Errors errors_;
  size_t elements_ = 0, points_ = 0;
};

}  // namespace

Result<DielineDrawing> ParseDieline(std::string_view text, const Placed<std::string>& path,
                                    const DielineMarks& marks) {
  const auto mistake = [&](const std::string& message) {
    return Error{path.place, fmt::format("{} = \"{}\"", path.key, PrintableText(path.value)),
                 message};
  };
  if (static_cast<int64_t>(text.size()) > kMostDielineBytes) {
    return mistake(fmt::format("expected a file of at most {} MiB", kMostDielineBytes >> 20));
  }
  static const bool is_ready = (xmlInitParser(), true);  // once, before threads meet in it
  WHEATPASTE_CHECK(is_ready);
  const std::unique_ptr<xmlParserCtxt, decltype(&xmlFreeParserCtxt)> context(xmlNewParserCtxt(),
                                                                             &xmlFreeParserCtxt);
  WHEATPASTE_CHECK(context != nullptr);
  const std::unique_ptr<xmlDoc, decltype(&xmlFreeDoc)> document(
      xmlCtxtReadMemory(context.get(), text.data(), static_cast<int>(text.size()), "", nullptr,
                        XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING),
      &xmlFreeDoc);
  if (document == nullptr) {
    const auto* fault = xmlCtxtGetLastError(context.get());
    const std::string why =
        fault != nullptr && fault->message != nullptr
            ? fmt::format(": line {}: {}", fault->line,
                          PrintableText(Trimmed(std::string_view(fault->message)), 120))
            : "";
    return mistake("expected an SVG" + why);
  }
  return DielineReader(path, marks).Read(document.get());
}

Result<DielineDrawing> ReadDieline(const Placed<std::string>& path, const DielineMarks& marks) {
  const auto bytes = ReadWholeFile(path, kMostDielineBytes);
  if (!bytes) return bytes.errors();
  return ParseDieline({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path, marks);
}

}  // namespace wheatpaste

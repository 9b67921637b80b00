#include "present/page_text.h"

#include <algorithm>
#include <utility>

#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>

#include "base/check.h"
#include "base/plain_text.h"

namespace wheatpaste {
namespace {

// Far more than any block shows; keeps a hostile title from being shaped for minutes.
constexpr size_t kMostCharacters = 2000;

template <typename T>
struct Unref {
  void operator()(T* object) const { g_object_unref(object); }
};
template <typename T>
using Owned = std::unique_ptr<T, Unref<T>>;

struct FreeDescription {
  void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
using FontDescription = std::unique_ptr<PangoFontDescription, FreeDescription>;

double MmOf(int pango_units) { return pango_units_to_double(pango_units); }

FontDescription DescriptionOf(const TextStyle& style) {
  FontDescription font(pango_font_description_new());
  pango_font_description_set_family(font.get(), style.family.c_str());
  pango_font_description_set_weight(font.get(), static_cast<PangoWeight>(style.weight));
  pango_font_description_set_style(font.get(),
                                   style.italic ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
  pango_font_description_set_absolute_size(font.get(), style.size_pt * kMmPerPoint * PANGO_SCALE);
  return font;
}

// A context of `page`, whose unit is a mm: nothing is rounded to it.
Owned<PangoContext> ContextOf(cairo_t* cairo) {
  Owned<PangoContext> context(pango_cairo_create_context(cairo));
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(context.get(), options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(context.get(), FALSE);
  return context;
}

// Height of a capital above its baseline, mm.
double CapHeight(PangoContext* context, const PangoFontDescription* font) {
  Owned<PangoLayout> layout(pango_layout_new(context));
  pango_layout_set_font_description(layout.get(), font);
  pango_layout_set_text(layout.get(), "H", -1);
  PangoRectangle ink{};
  pango_layout_line_get_extents(pango_layout_get_line_readonly(layout.get(), 0), &ink, nullptr);
  return MmOf(PANGO_ASCENT(ink));
}

}  // namespace

struct PageText::Layout {
  cairo_t* cairo;
  TextStyle style;
  double width;
  Owned<PangoLayout> pango;
  double cap_height = 0;
  bool empty = false;

  double leading() const { return style.leading_pt * kMmPerPoint; }
  PangoLayoutLine* line(int index) const {
    return pango_layout_get_line_readonly(pango.get(), index);
  }
  double LineWidth(int index) const {
    PangoRectangle logical{};
    pango_layout_line_get_extents(line(index), nullptr, &logical);
    return MmOf(logical.width);
  }
};

PageText::PageText(const Page& page, std::string_view text, const TextStyle& style, double width) {
  WHEATPASTE_CHECK_OP(width, >, 0.0);
  std::string plain;
  for (const char32_t character : PlainCharacters(text, kMostCharacters)) {
    AppendUtf8(plain, character);
  }
  const Owned<PangoContext> context = ContextOf(page.context());
  const FontDescription font = DescriptionOf(style);
  layout_ = std::make_unique<Layout>(
      Layout{page.context(), style, width, Owned<PangoLayout>(pango_layout_new(context.get()))});
  layout_->cap_height = CapHeight(context.get(), font.get());
  layout_->empty = plain.empty();
  PangoLayout* const pango = layout_->pango.get();
  pango_layout_set_font_description(pango, font.get());
  pango_layout_set_single_paragraph_mode(pango, TRUE);
  pango_layout_set_wrap(pango, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_ellipsize(pango, PANGO_ELLIPSIZE_END);
  pango_layout_set_width(pango, pango_units_from_double(width));
  pango_layout_set_height(pango, -style.most_lines);
  PangoAttrList* attributes = pango_attr_list_new();
  // A name that is broken inside must not look as if it had a hyphen there.
  pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
  if (style.tabular) {
    pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum=1"));
  }
  pango_layout_set_attributes(pango, attributes);
  pango_attr_list_unref(attributes);
  pango_layout_set_text(pango, plain.data(), static_cast<int>(plain.size()));
}

PageText::~PageText() = default;
PageText::PageText(PageText&&) noexcept = default;

int PageText::lines() const {
  return layout_->empty ? 0 : pango_layout_get_line_count(layout_->pango.get());
}

double PageText::height() const {
  return lines() == 0 ? 0 : layout_->cap_height + (lines() - 1) * layout_->leading();
}

double PageText::width() const {
  double widest = 0;
  for (int i = 0; i < lines(); ++i) widest = std::max(widest, layout_->LineWidth(i));
  return widest;
}

bool PageText::cut() const { return pango_layout_is_ellipsized(layout_->pango.get()) != FALSE; }

void PageText::Draw(double x, double top) const {
  const Srgb8& colour = layout_->style.colour;
  cairo_t* const cairo = layout_->cairo;
  cairo_set_source_rgb(cairo, colour.r / 255.0, colour.g / 255.0, colour.b / 255.0);
  for (int i = 0; i < lines(); ++i) {
    const double room = layout_->width - layout_->LineWidth(i);
    const double indent = layout_->style.align == TextStyle::kLeft     ? 0
                          : layout_->style.align == TextStyle::kCentre ? room / 2
                                                                       : room;
    cairo_move_to(cairo, x + indent, top + layout_->cap_height + i * layout_->leading());
    pango_cairo_show_layout_line(cairo, layout_->line(i));
  }
  cairo_new_path(cairo);
}

double DrawText(const Page& page, std::string_view text, const TextStyle& style, double x,
                double top, double width) {
  const PageText block(page, text, style, width);
  block.Draw(x, top);
  return block.height();
}

std::optional<std::string> FontInPlaceOf(const std::string& family) {
  // Any of a font's family names counts; pango tells only the first.
  FcPattern* const wanted =
      FcPatternBuild(nullptr, FC_FAMILY, FcTypeString, family.c_str(), nullptr);
  FcObjectSet* const nothing = FcObjectSetBuild(FC_FAMILY, nullptr);
  FcFontSet* const found = FcFontList(nullptr, wanted, nothing);
  const bool there = found != nullptr && found->nfont > 0;
  if (found != nullptr) FcFontSetDestroy(found);
  FcObjectSetDestroy(nothing);
  FcPatternDestroy(wanted);
  if (there) return {};
  PangoFontMap* const map = pango_cairo_font_map_get_default();
  const Owned<PangoContext> context(pango_font_map_create_context(map));
  TextStyle style;
  style.family = family;
  const Owned<PangoFont> font(
      pango_font_map_load_font(map, context.get(), DescriptionOf(style).get()));
  if (font == nullptr) return "none";
  const FontDescription taken(pango_font_describe(font.get()));
  return pango_font_description_get_family(taken.get());
}

}  // namespace wheatpaste

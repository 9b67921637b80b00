// page_text.h - lines of real text on a page: shaped, wrapped, cut with an ellipsis, measured.
//
// Model   pango's layout without hinting, so that a page of pixels breaks its lines as a PDF does. The block that is
//         measured and placed is what the eye aligns: from the top of the first line's capitals to the last line's
//         baseline; letters that hang below lie outside it. Baselines stand exactly a leading apart.
// Text    is never markup. Tabs and line ends become spaces, other control characters go (base/plain_text.h); it is one
//         paragraph in its own direction, right to left too, and wraps inside a word that is wider than the block.
// Fonts   by family name through fontconfig, which takes another where one is missing (FontInPlaceOf).
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "present/page.h"

namespace wheatpaste {

inline constexpr double kMmPerPoint = 25.4 / 72;

struct TextStyle {
  enum Align { kLeft, kCentre, kRight };
  std::string family;
  double size_pt = 10;
  double leading_pt = 13;  // from baseline to baseline
  int weight = 400;        // 100 to 900
  bool italic = false;
  Srgb8 colour;
  Align align = kLeft;
  int most_lines = 1;    // what does not fit ends in an ellipsis
  bool tabular = false;  // figures of one width, for columns
};

class PageText {
 public:
  // width  of the block, mm; above 0.
  PageText(const Page& page, std::string_view text, const TextStyle& style, double width);
  ~PageText();
  PageText(PageText&&) noexcept;
  PageText& operator=(PageText&&) = delete;

  int lines() const;
  double height() const;  // mm; of text with no characters 0
  double width() const;   // mm, of the longest line
  bool cut() const;       // ends in an ellipsis

  // x, top  of the block, mm.
  void Draw(double x, double top) const;

 private:
  struct Layout;
  std::unique_ptr<Layout> layout_;
};

// Makes and draws the block; returns its height.
double DrawText(const Page& page, std::string_view text, const TextStyle& style, double x,
                double top, double width);

// The family that is taken in place of `family`; none where `family` is there.
std::optional<std::string> FontInPlaceOf(const std::string& family);

}  // namespace wheatpaste

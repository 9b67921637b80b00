// theme.h - how pages look: fonts, colours, margins, logo, the words at the foot.
//
// Form    TOML; shared/themes/plain.toml shows every key. What a file leaves out is as there.
// Rule    a colour of text needs a contrast of 4.5 to the ground (colour/contrast.h), else the file is refused: what
//         nobody can read is no caption.
// Limits  of text: kMaxThemeText bytes; margins from 0 to 100 mm, the logo from 2 to 100 mm high.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "colour/srgb.h"
#include "present/page_text.h"
#include "scene/sizes.h"

namespace wheatpaste {

inline constexpr size_t kMaxThemeText = 200;

struct ThemeLogo {
  Placed<std::string> file;  // resolved against the theme's folder
  double height_mm = 0;
};

struct Theme {
  std::string heading_font, text_font;
  Srgb8 ground, text, quiet, accent;
  struct {
    double top = 0, right = 0, bottom = 0, left = 0;
  } margins;
  Placed<std::string> size;  // of slides, as it is written
  std::string footer;        // none: empty
  std::optional<ThemeLogo> logo;
};

// path         of a theme; none: shared/themes/plain.toml.
// errors       every mistake in the file.
Result<Theme> ReadTheme(const std::optional<std::string>& path, const std::string& data_folder);

// The size of the theme's, or `text`'s, pages: of a screen's px the shape, 338.7 mm (13 1/3 in) wide.
// errors  as ReadPictureSize; not between 1.2 and 2.4 times as wide as high, or not from 150 to 1500 mm wide.
Result<SizeMm> ReadPageSize(const Placed<std::string>& text, const std::string& data_folder);

// A line for each font of the theme that is not on this machine, and what is taken for it.
std::vector<std::string> FontNotes(const Theme& theme);

}  // namespace wheatpaste

// contact_sheet.h - every preview of a batch, small, with captions, sorted and in groups: pages of a PDF, or one picture.
//
// Model   contact_sheet_plan.h. Pictures are reduced in linear light to what their place needs: kSheetPdfPpi on paper, a px
//         a px in a picture. A picture of its own is as wide as asked for, or as suits, and as high as it must be.
// Trust   a picture that is missing, damaged or not the one that the manifest speaks of leaves its place empty and is named.
// Threads reads pictures side by side; the bytes do not depend on their number.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/units.h"
#include "present/preview_set.h"
#include "present/theme.h"

namespace wheatpaste {

inline constexpr double kSheetPdfPpi = 200;
inline constexpr size_t kMostSheetColumns = 40;

enum class SheetOrder { kScene, kArtwork, kColourway };

struct ContactSheetOptions {
  Theme theme;
  SheetOrder order = SheetOrder::kScene;
  std::optional<size_t> columns;  // 1 to kMostSheetColumns
  std::optional<SizeMm> page;     // none: A4 landscape; of a picture as suits
  Ppi ppi{150};                   // of a picture
  std::string program;            // that made it: "wheatpaste 0.1.0"
};

struct ContactSheetMade {
  size_t pages = 0, pictures = 0;
  int64_t bytes = 0;
  std::vector<std::string> missing;  // pictures, and why
};

// path    ends in .pdf, .png or .jpg.
// errors  columns too narrow to hold a picture; a picture too large for its format; `path` cannot be written.
Result<ContactSheetMade> WriteContactSheet(const PreviewSet& set,
                                           const ContactSheetOptions& options,
                                           const std::string& path);

}  // namespace wheatpaste

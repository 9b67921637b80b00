#include "present/contact_sheet_pictures.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"

namespace wheatpaste {

std::vector<std::optional<JpegPicture>> SheetPictures::Read(
    const std::vector<WantedPicture>& wanted) {
  std::vector<std::optional<JpegPicture>> pictures(wanted.size());
  std::vector<std::string> complaints(wanted.size());
  ParallelFor(static_cast<int64_t>(wanted.size()), [&](int64_t index) {
    const auto i = static_cast<size_t>(index);
    const JobRecord& record = *wanted[i].record;
    const auto file = PictureFile::Read(folder_, record);
    if (!file) {
      complaints[i] = file.errors().front().message;
    } else {
      JpegLimits limits;
      limits.max_side_px =
          std::max<int64_t>(1, std::llround(wanted[i].longer_side_mm / kMmPerInch * ppi_.value));
      limits.only_srgb = true;  // cairo's PDF passes over a JPEG's profile
      pictures[i] = file->Jpeg(limits);
    }
  });
  for (size_t i = 0; i < wanted.size(); ++i) {
    if (complaints[i].empty()) continue;
    missing_.push_back(fmt::format("{}: {}", PrintableText(wanted[i].record->file), complaints[i]));
  }
  return pictures;
}

std::vector<std::string> SheetPictures::TakeMissing() {
  std::sort(missing_.begin(), missing_.end());
  missing_.erase(std::unique(missing_.begin(), missing_.end()), missing_.end());
  return std::move(missing_);
}

void DrawSheetPicture(const Page& page, const SheetLook& look,
                      const std::optional<JpegPicture>& picture, const std::string& id,
                      const RectMm& rect) {
  const PageTag tag(page, PageTag::kFigure);
  if (picture) {
    DrawPicture(page, *picture, id, rect);
    return;
  }
  page.Frame(rect, look.Scaled(0.2), look.line());
  TextStyle style = look.Facts();
  style.align = TextStyle::kCentre;
  DrawText(page, "picture missing", style, rect.x, rect.y + rect.height / 2, rect.width);
}

}  // namespace wheatpaste

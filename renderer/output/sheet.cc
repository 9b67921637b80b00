#include "output/sheet.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace wheatpaste {
namespace {

RectPx Moved(const RectPx& rect, int64_t by) {
  return {rect.x0 + by, rect.y0 + by, rect.x1 + by, rect.y1 + by};
}

// Eight lines: at each corner of the cut one along either side.
std::vector<RectPx> MarksOf(const RectPx& trim, const RectPx& bleed, int64_t gap, int64_t length,
                            int64_t width) {
  std::vector<RectPx> marks;
  for (const int64_t x : {trim.x0 - width, trim.x1}) {
    marks.push_back({x, bleed.y0 - gap - length, x + width, bleed.y0 - gap});
    marks.push_back({x, bleed.y1 + gap, x + width, bleed.y1 + gap + length});
  }
  for (const int64_t y : {trim.y0 - width, trim.y1}) {
    marks.push_back({bleed.x0 - gap - length, y, bleed.x0 - gap, y + width});
    marks.push_back({bleed.x1 + gap, y, bleed.x1 + gap + length, y + width});
  }
  return marks;
}

// One pixel in which every channel holds its highest code, or none anything.
Bytes EveryChannel(const Profile& profile, int depth, bool highest) {
  const int channels = ChannelCount(profile.model());
  return Bytes(static_cast<size_t>(channels * (depth / 8)), highest ? 0xff : 0x00);
}

Bytes PixelOf(const Srgb8& colour, const Profile& profile, int depth) {
  Bytes pixel = EveryChannel(profile, depth, false);
  const SceneLinear light = LinearFromSrgb(colour);
  CodesFromWorking(profile, depth).Convert(&light.r, &light.g, &light.b, 1, pixel.data());
  return pixel;
}

}  // namespace

SheetLayout LayOutSheet(SizePx with_bleed, const RectPx& trim, const RectPx& picture,
                        std::optional<Ppi> marks) {
  SheetLayout layout;
  int64_t margin = 0;
  if (marks) {
    const auto px = [&](double mm) -> int64_t {
      return std::llround(mm / kMmPerInch * marks->value);
    };
    const int64_t gap = px(kMarkGapMm), length = std::max<int64_t>(1, px(kMarkLengthMm));
    const int64_t width =
        std::max<int64_t>(1, std::llround(kMarkWidthPoints / kPointsPerInch * marks->value));
    margin = gap + length + px(kMarkMarginMm);
    layout.marks =
        MarksOf(Moved(trim, margin), Moved(WholeOf(with_bleed), margin), gap, length, width);
  }
  layout.canvas = {with_bleed.width + 2 * margin, with_bleed.height + 2 * margin};
  layout.bleed = Moved(WholeOf(with_bleed), margin);
  layout.trim = Moved(trim, margin);
  layout.picture = Moved(picture, margin);
  return layout;
}

SheetRows::SheetRows(SheetLayout layout, int depth, const Profile& profile, const Srgb8& ground,
                     RowSource picture)
    : layout_(std::move(layout)), picture_(std::move(picture)) {
  const bool inks = profile.model() == ColourModel::kCmyk;
  paper_ = EveryChannel(profile, depth, !inks);
  mark_ = EveryChannel(profile, depth, inks);
  ground_ = ground == Srgb8{255, 255, 255} ? paper_ : PixelOf(ground, profile, depth);
}

const uint8_t* SheetRows::Rows(int64_t y0, int64_t y1) {
  const auto pixel_bytes = static_cast<int64_t>(paper_.size());
  const int64_t row_bytes = layout_.canvas.width * pixel_bytes;
  band_.resize(static_cast<size_t>((y1 - y0) * row_bytes));
  const RectPx& picture = layout_.picture;
  const int64_t first = std::max(y0, picture.y0), last = std::min(y1, picture.y1);
  const uint8_t* rows = first < last ? picture_(first - picture.y0, last - picture.y0) : nullptr;
  if (first < last && rows == nullptr) return nullptr;
  for (int64_t y = y0; y < y1; ++y) {
    uint8_t* row = band_.data() + (y - y0) * row_bytes;
    Fill(WholeOf(layout_.canvas), y, paper_, row);
    Fill(layout_.bleed, y, ground_, row);
    for (const RectPx& mark : layout_.marks) Fill(mark, y, mark_, row);
    if (y < first || y >= last) continue;
    const int64_t bytes = picture.width() * pixel_bytes;
    std::memcpy(row + picture.x0 * pixel_bytes, rows + (y - first) * bytes,
                static_cast<size_t>(bytes));
  }
  return band_.data();
}

void SheetRows::Fill(const RectPx& rect, int64_t y, const Bytes& pixel, uint8_t* row) const {
  if (y < rect.y0 || y >= rect.y1 || rect.empty()) return;
  const size_t step = pixel.size();
  uint8_t* const start = row + rect.x0 * static_cast<int64_t>(step);
  for (int64_t x = 0; x < rect.width(); ++x) {
    std::memcpy(start + x * static_cast<int64_t>(step), pixel.data(), step);
  }
}

}  // namespace wheatpaste

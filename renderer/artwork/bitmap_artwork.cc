#include "artwork/bitmap_artwork.h"

#include <algorithm>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "artwork/place_error.h"
#include "base/parallel.h"
#include "image/read_bitmap.h"
#include "image/resample.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;
constexpr int64_t kMaxSidePx = 60'000;

uint32_t CodeAt(const Bitmap& bitmap, const uint8_t* row, int64_t index) {
  if (bitmap.depth == 8) return row[index];
  uint16_t code;
  std::memcpy(&code, row + 2 * index, 2);
  return code;
}

// `count` codes a pixel at 16 bits without alpha: gray spread to RGB where `spread`, alpha divided
// out where the file multiplied it in.
void WidenRow(const Bitmap& bitmap, int64_t y, bool spread, std::vector<uint16_t>& out) {
  const uint8_t* row = bitmap.row(y);
  const int colours = ChannelCount(bitmap.model);
  const uint32_t top = bitmap.depth == 8 ? 255 : 65535;
  out.clear();
  for (int64_t x = 0; x < bitmap.size.width; ++x) {
    const int64_t pixel = x * bitmap.channels();
    uint64_t whole = top;
    if (bitmap.alpha_premultiplied) whole = CodeAt(bitmap, row, pixel + colours);
    for (int c = 0; c < colours; ++c) {
      const uint64_t code = CodeAt(bitmap, row, pixel + c);
      const uint64_t wide =
          whole == 0 ? 0 : std::min<uint64_t>(65535, (code * 65535 + whole / 2) / whole);
      for (int copy = 0; copy < (spread ? 3 : 1); ++copy)
        out.push_back(static_cast<uint16_t>(wide));
    }
  }
}

Image<LinearPremul> CopyOf(ImageView<LinearPremul> view) {
  Image<LinearPremul> copy(view.size());
  copy.Put(0, view);
  return copy;
}

class BitmapArtwork final : public Artwork {
 public:
  // assumed  what its colours were taken as, where the file does not say; else empty.
  BitmapArtwork(Image<LinearPremul> picture, std::string colour_description, std::string assumed)
      : picture_(std::move(picture)),
        colour_description_(std::move(colour_description)),
        assumed_(std::move(assumed)) {}

  double aspect() const override {
    return static_cast<double>(picture_.width()) / static_cast<double>(picture_.height());
  }
  bool is_vector() const override { return false; }
  SizePx pixels() const override { return picture_.size(); }
  const std::string& colour_description() const override { return colour_description_; }
  std::vector<std::string> notes() const override {
    if (assumed_.empty()) return {};
    return {"the artwork's file names no colour profile; its colours are taken as " + assumed_};
  }

  Status RasteriseRows(SizePx size, const RectPx& part, const TakeRows& take) const override {
    const bool as_it_is = size == picture_.size();
    if (size.width < 1 || size.height < 1 ||
        (!as_it_is && std::max(size.width, size.height) > kMaxSidePx)) {
      return Error{{},
                   "artwork",
                   fmt::format("cannot be resized to {} x {} px, expected 1 to {} px a side",
                               size.width, size.height, kMaxSidePx)};
    }
    WHEATPASTE_CHECK(!part.empty() && Intersect(part, WholeOf(size)) == part);
    std::vector<TapRow> columns, rows_down;
    if (!as_it_is) {
      const auto taps_of = [](int64_t in, int64_t out) {
        return MakeTaps(in, 0, static_cast<double>(in), out, Kernel::kCatmullRom);
      };
      columns = taps_of(picture_.width(), size.width);
      rows_down = taps_of(picture_.height(), size.height);
    }
    const auto some = [](const std::vector<TapRow>& taps, int64_t from, int64_t to) {
      return std::span(taps).subspan(static_cast<size_t>(from), static_cast<size_t>(to - from));
    };
    ParallelRows(part.height(), kBandRows, [&](int64_t from, int64_t to) {
      const RectPx rows{part.x0, part.y0 + from, part.x1, part.y0 + to};
      if (as_it_is) return take(rows.y0, CopyOf(picture_.view().Part(rows)));
      Image<LinearPremul> sized = Resample(picture_.view(), 0, 0, some(columns, rows.x0, rows.x1),
                                           some(rows_down, rows.y0, rows.y1));
      // The kernel overshoots at hard edges; coverage beyond none or all has no meaning.
      for (int64_t y = 0; y < sized.height(); ++y) {
        float* alpha = sized.row(3, y);
        for (int64_t x = 0; x < sized.width(); ++x) alpha[x] = std::clamp(alpha[x], 0.f, 1.f);
      }
      take(rows.y0, std::move(sized));
    });
    return Done{};
  }

 private:
  Image<LinearPremul> picture_;
  std::string colour_description_;
  std::string assumed_;
};

}  // namespace

Result<Image<LinearPremul>> LinearFromBitmap(const Bitmap& bitmap,
                                             const Placed<std::string>& path) {
  const bool needs_profile =
      bitmap.model == ColourModel::kCmyk || bitmap.model == ColourModel::kLab;
  if (!bitmap.profile && needs_profile) {
    return ArtworkError(path,
                        fmt::format("{} without a profile: expected an embedded ICC profile{}",
                                    NameOf(bitmap.model),
                                    bitmap.model == ColourModel::kCmyk
                                        ? ", or a print condition that stands in for it"
                                        : ""));
  }
  const Profile profile = bitmap.profile ? *bitmap.profile : Profile::Srgb();
  const bool spread = !bitmap.profile && bitmap.model == ColourModel::kGray;
  const bool widened = spread || bitmap.alpha_premultiplied;
  const WorkingFromCodes convert(profile, widened ? 16 : bitmap.depth);
  const int colours = ChannelCount(bitmap.model);
  const float top = bitmap.depth == 8 ? 255.f : 65535.f;
  Image<LinearPremul> picture(bitmap.size);
  ParallelRows(bitmap.size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    std::vector<uint16_t> wide;
    for (int64_t y = y0; y < y1; ++y) {
      float* const r = picture.row(0, y);
      float* const g = picture.row(1, y);
      float* const b = picture.row(2, y);
      float* const a = picture.row(3, y);
      if (widened) {
        WidenRow(bitmap, y, spread, wide);
        convert.Convert(wide.data(), bitmap.size.width, spread ? 3 : colours, r, g, b);
      } else {
        convert.Convert(bitmap.row(y), bitmap.size.width, bitmap.channels(), r, g, b);
      }
      for (int64_t x = 0; x < bitmap.size.width; ++x) {
        const uint32_t alpha = bitmap.has_alpha
                                   ? CodeAt(bitmap, bitmap.row(y), x * bitmap.channels() + colours)
                                   : static_cast<uint32_t>(top);
        a[x] = static_cast<float>(alpha) / top;
        r[x] *= a[x];
        g[x] *= a[x];
        b[x] *= a[x];
      }
    }
  });
  return picture;
}

Result<std::shared_ptr<const Artwork>> MakeBitmapArtwork(const Bytes& bytes,
                                                         const Placed<std::string>& path,
                                                         const AssumedInks* press) {
  auto bitmap = DecodeBitmap(bytes, path);
  if (!bitmap) return bitmap.errors();
  std::string assumed;
  if (!bitmap->profile) {
    assumed = "sRGB";
    if (bitmap->model == ColourModel::kLab) {
      assumed = "CIE Lab, D50";
      bitmap->profile = Profile::LabD50();
    } else if (bitmap->model == ColourModel::kCmyk && press != nullptr) {
      assumed = press->name;
      bitmap->profile = press->profile;
    }
  }
  auto picture = LinearFromBitmap(*bitmap, path);
  if (!picture) return picture.errors();
  std::string description =
      assumed.empty() ? bitmap->profile->description() : assumed + " (assumed)";
  return std::shared_ptr<const Artwork>(std::make_shared<BitmapArtwork>(
      std::move(*picture), std::move(description), std::move(assumed)));
}

}  // namespace wheatpaste

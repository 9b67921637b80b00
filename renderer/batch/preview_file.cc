#include "batch/preview_file.h"

#include <fmt/format.h>

#include "batch/row_maker.h"
#include "output/vision_rows.h"
#include "output/write_picture.h"

namespace wheatpaste {
namespace {

// Less of what must be seen than this is cut, not rounded away.
constexpr double kAllSeen = 0.999;

TiffCompression CompressionOf(Compression compression) {
  switch (compression) {
    case Compression::kNone:
      return TiffCompression::kNone;
    case Compression::kLzw:
      return TiffCompression::kLzw;
    case Compression::kDeflate:
      return TiffCompression::kDeflate;
  }
  CheckFailed(__FILE__, __LINE__, "the compression is one of three", "");
}

// 8-bit rows as 16-bit ones: the same values, 257 v.
class WideRows {
 public:
  WideRows(RowSource rows, int64_t codes_per_row)
      : rows_(std::move(rows)), codes_per_row_(codes_per_row) {}
  const uint8_t* Rows(int64_t y0, int64_t y1) {
    const uint8_t* narrow = rows_(y0, y1);
    if (narrow == nullptr) return nullptr;
    wide_.resize(static_cast<size_t>((y1 - y0) * codes_per_row_));
    for (size_t i = 0; i < wide_.size(); ++i) wide_[i] = static_cast<uint16_t>(narrow[i] * 257);
    return reinterpret_cast<const uint8_t*>(wide_.data());
  }

 private:
  RowSource rows_;
  int64_t codes_per_row_;
  std::vector<uint16_t> wide_;
};

std::optional<FrameOnSheet> OnSheet(const OutputSpec& spec, const SolvedScene& solved) {
  const auto sheet = SheetSizeOf(spec);
  if (!sheet) return {};
  return FrameOnto(*sheet, spec.fit, solved.photo.size, solved.must_see);
}

}  // namespace

SheetLayout LayoutOf(const OutputSpec& spec, const PreparedScene& prepared) {
  const SizePx size = prepared.frame.size;
  const auto framed = OnSheet(spec, prepared.solved);
  // Without a size the picture is the whole canvas.
  if (!framed) return LayOutSheet(size, WholeOf(size), WholeOf(size), {});
  WHEATPASTE_CHECK(framed->size == size);
  const auto sheet = SheetSizeOf(spec);
  const std::optional<Ppi> marks = spec.crop_marks ? std::optional(DensityOf(spec)) : std::nullopt;
  return LayOutSheet(sheet->with_bleed, TrimWithin(*sheet), framed->picture, marks);
}

PictureWish WishOf(const OutputSpec& spec, const SolvedScene& solved) {
  const auto framed = OnSheet(spec, solved);
  if (!framed) return {{}, {}, spec.sharp_artwork};
  return {framed->size, framed->window, spec.sharp_artwork};
}

Result<PreviewWritten> WritePreview(const std::string& path, const RenderedScene& rendered,
                                    const OutputSpec& spec, const Profile* profile,
                                    const PreviewFacts* about) {
  const BasePicture& base = rendered.scene->base;
  const auto format = PictureFormatOf("a." + spec.format.value);
  WHEATPASTE_CHECK(format.ok());
  PreviewWritten written;
  written.sheet = LayoutOf(spec, *rendered.scene);
  written.depth = DepthFor(*format, spec.depth.value_or(base.depth));
  PictureFacts facts;
  facts.size = written.sheet.canvas;
  facts.depth = written.depth;
  facts.density = DensityOf(spec);
  facts.profile = profile != nullptr ? profile : &base.profile;
  facts.quality = spec.quality.value_or(kUsualQuality);
  facts.compression = CompressionOf(spec.compression);
  facts.tiles = spec.tiles;
  facts.jpeg_in_pdf = spec.quality.has_value();
  if (about != nullptr) {
    facts.xmp = MakeXmp(*about);
    facts.title = about->title;
  }
  facts.trim = written.sheet.trim;
  facts.bleed = written.sheet.bleed;

  // In the photo's own profile there are no more bits than the photo's.
  const bool converted = facts.profile->bytes() != base.profile.bytes();
  const bool widened = !converted && written.depth > base.depth;
  std::optional<VisionRows> vision;
  if (spec.vision) {
    vision.emplace(base.profile, base.depth, spec.vision->deficiency, spec.vision->severity);
  }
  RowMaker maker(rendered, widened ? base.depth : written.depth, facts.profile,
                 vision ? &*vision : nullptr);
  RowSource rows = [&maker](int64_t y0, int64_t y1) { return maker.Rows(y0, y1); };
  std::optional<WideRows> wide;
  if (widened) {
    wide.emplace(std::move(rows), base.size.width * 3);
    rows = [&wide](int64_t y0, int64_t y1) { return wide->Rows(y0, y1); };
  }
  std::optional<SheetRows> sheet;
  if (written.sheet.picture != WholeOf(written.sheet.canvas)) {
    sheet.emplace(written.sheet, written.depth, *facts.profile, spec.ground, std::move(rows));
    rows = [&sheet](int64_t y0, int64_t y1) { return sheet->Rows(y0, y1); };
  }
  const auto bytes = WritePicture(path, *format, facts, rows);
  if (!maker.errors().empty()) return maker.errors();
  if (!bytes) return bytes.errors();
  written.bytes = *bytes;
  return written;
}

std::vector<std::string> OutputNotes(const OutputSpec& spec, const RenderedScene& rendered) {
  std::vector<std::string> notes;
  const auto framed = OnSheet(spec, rendered.scene->solved);
  if (framed && framed->seen < kAllSeen) {
    notes.push_back(fmt::format(
        "the scene's frame is cut: {:.0f} % of it is on the sheet, as the photo ends before a "
        "picture of this shape{} would; contain shows all of it",
        100 * framed->seen, spec.bleed_mm > 0 ? " and its bleed" : ""));
  }
  if (framed && framed->bleed_ends) {
    notes.push_back(
        "the photo ends before the bleed does, which is filled with the ground: a cut that is off "
        "shows a line of it; cover has none");
  }
  if (spec.depth == 16 && rendered.scene->base.depth == 8) {
    notes.push_back("the photo has 8 bits a channel: the 16 bits of the file hold no more shades");
  }
  return notes;
}

}  // namespace wheatpaste

#include "output/write_picture.h"

#include <fmt/format.h>

#include "output/write_formats.h"

namespace wheatpaste {
namespace {

struct FormatRow {
  PictureFormat format;
  const char* name;
  int64_t largest_side_px;
  int depth;
  bool inks;  // CMYK as well as RGB
  Status (*encode)(PictureSink&, const PictureFacts&, const RowSource&);
};

const FormatRow& RowOf(PictureFormat format) {
  static constexpr FormatRow kRows[] = {
      {PictureFormat::kPng, "PNG", kMaxPngSidePx, 16, false, EncodePng},
      {PictureFormat::kJpeg, "JPEG", kMaxJpegSidePx, 8, false, EncodeJpeg},
      {PictureFormat::kTiff, "TIFF", kMaxTiffSidePx, 16, true, EncodeTiff},
      {PictureFormat::kWebp, "WebP", kMaxWebpSidePx, 8, false, EncodeWebp},
      {PictureFormat::kPdf, "PDF", kMaxPdfSidePx, 8, true, EncodePdf},
  };
  for (const FormatRow& row : kRows) {
    if (row.format == format) return row;
  }
  CheckFailed(__FILE__, __LINE__, "the format is one of the five", "");
}

}  // namespace

Result<PictureFormat> PictureFormatOf(const std::string& path) {
  const std::string ending = EndingOf(path);
  if (ending == "png") return PictureFormat::kPng;
  if (ending == "jpg" || ending == "jpeg") return PictureFormat::kJpeg;
  if (ending == "tif" || ending == "tiff") return PictureFormat::kTiff;
  if (ending == "webp") return PictureFormat::kWebp;
  if (ending == "pdf") return PictureFormat::kPdf;
  return Error{
      {PrintableText(path)}, "", "expected a name ending in .png, .jpg, .tif, .webp or .pdf"};
}

int DepthFor(PictureFormat format, int wanted_depth) {
  return wanted_depth == 16 ? RowOf(format).depth : 8;
}

bool PictureSink::Write(const void* data, size_t size) {
  if (failed()) return false;
  if (memory_ != nullptr) {
    const auto* const bytes = static_cast<const uint8_t*>(data);
    memory_->insert(memory_->end(), bytes, bytes + size);
  } else if (auto written = file_->Write(data, size); !written) {
    errors_ = std::move(written).errors();
  }
  written_ += static_cast<int64_t>(size);
  return !failed();
}

bool PictureSink::Seek(int64_t offset) {
  WHEATPASTE_CHECK(file_ != nullptr);
  if (failed()) return false;
  if (auto moved = file_->Seek(offset); !moved) errors_ = std::move(moved).errors();
  return !failed();
}

Status PictureSink::Failure(const char* format, const char* words) const {
  if (failed()) return errors_;
  return Error{{file_ == nullptr ? "" : PrintableText(file_->path())},
               "",
               fmt::format("cannot write as {}: {}", format, PrintableText(words))};
}

Status CheckHolds(const std::string& path, PictureFormat format, const Profile& profile) {
  if (profile.model() == ColourModel::kRgb) return Done{};
  if (profile.model() == ColourModel::kCmyk && RowOf(format).inks) return Done{};
  return Error{
      {PrintableText(path)},
      "",
      fmt::format(
          "{} is written in RGB; expected a name ending in .tif or .pdf for {} in the profile "
          "\"{}\"",
          RowOf(format).name, NameOf(profile.model()), profile.description())};
}

int ChannelsOf(const PictureFacts& facts) {
  return facts.profile == nullptr ? 3 : ChannelCount(facts.profile->model());
}

int64_t RowBytes(const PictureFacts& facts) {
  return facts.size.width * ChannelsOf(facts) * (facts.depth / 8);
}

Result<int64_t> WritePicture(const std::string& path, PictureFormat format,
                             const PictureFacts& facts, const RowSource& rows) {
  const FormatRow& row = RowOf(format);
  WHEATPASTE_CHECK_OP(facts.depth, ==, DepthFor(format, facts.depth));
  if (facts.profile != nullptr) {
    if (auto holds = CheckHolds(path, format, *facts.profile); !holds) return holds.errors();
  }
  const SizePx size = facts.size;
  const bool jpeg_in_pdf = format == PictureFormat::kPdf && facts.jpeg_in_pdf;
  const int64_t largest = jpeg_in_pdf ? kMaxJpegSidePx : row.largest_side_px;
  if (size.width < 1 || size.height < 1 || size.width > largest || size.height > largest) {
    return Error{{PrintableText(path)},
                 "",
                 fmt::format("is {} x {} px, expected 1 to {} px a side for {}", size.width,
                             size.height, largest, jpeg_in_pdf ? "JPEG in PDF" : row.name)};
  }
  auto file = PendingFile::Create(path);
  if (!file) return file.errors();
  PictureSink sink(*file);
  // Encoders need not know that rows can fail: what they make of the rest is thrown away.
  bool made = true;
  Bytes none;
  const RowSource guarded = [&](int64_t y0, int64_t y1) {
    const uint8_t* const codes = made ? rows(y0, y1) : nullptr;
    if (codes != nullptr) return codes;
    made = false;
    none.resize(static_cast<size_t>((y1 - y0) * RowBytes(facts)));
    return static_cast<const uint8_t*>(none.data());
  };
  if (auto encoded = row.encode(sink, facts, guarded); !encoded) return encoded.errors();
  if (!made) return Error{{PrintableText(path)}, "", "its rows could not be made"};
  return file->Commit();
}

Bytes MakeJpeg(const PictureFacts& facts, const RowSource& rows) {
  WHEATPASTE_CHECK_OP(facts.depth, ==, 8);
  WHEATPASTE_CHECK_OP(std::max(facts.size.width, facts.size.height), <=, kMaxJpegSidePx);
  Bytes bytes;
  PictureSink sink(bytes);
  const auto encoded = EncodeJpeg(sink, facts, rows);
  WHEATPASTE_CHECK(encoded.ok());  // memory refuses nothing, and the facts are right
  return bytes;
}

}  // namespace wheatpaste

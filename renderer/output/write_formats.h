// write_formats.h - the encoders behind write_picture.h; for this folder only.
//
// Rules   an encoder puts its bytes into a PendingFile that the caller commits, or into memory; it prints nothing.
//         Functions that a library may leave by longjmp hold no object with a destructor.
#pragma once

#include <algorithm>

#include "base/check.h"
#include "base/files.h"
#include "output/write_picture.h"

namespace wheatpaste {

// Where bytes go, and the first mistake that stopped them.
class PictureSink {
 public:
  explicit PictureSink(PendingFile& file) : file_(&file) {}
  // For encoders that neither seek nor ask for the descriptor.
  explicit PictureSink(Bytes& memory) : memory_(&memory) {}
  // Once a write failed, every later one fails too.
  bool Write(const void* data, size_t size);
  bool Seek(int64_t offset);
  int64_t written() const { return written_; }
  bool failed() const { return !errors_.empty(); }
  int descriptor() const {
    WHEATPASTE_CHECK(file_ != nullptr);
    return file_->descriptor();
  }
  // What the system said, else a fault named by the words of the library.
  Status Failure(const char* format, const char* words) const;

 private:
  PendingFile* file_ = nullptr;
  Bytes* memory_ = nullptr;
  int64_t written_ = 0;  // bytes, wherever they went
  Errors errors_;
};

Status EncodePng(PictureSink& sink, const PictureFacts& facts, const RowSource& rows);
Status EncodeJpeg(PictureSink& sink, const PictureFacts& facts, const RowSource& rows);
Status EncodeTiff(PictureSink& sink, const PictureFacts& facts, const RowSource& rows);
Status EncodeWebp(PictureSink& sink, const PictureFacts& facts, const RowSource& rows);
Status EncodePdf(PictureSink& sink, const PictureFacts& facts, const RowSource& rows);

// Codes alone, RGB or CMYK, 0 for no ink: profile and XMP are the page's.
Status EncodeJpegInPdf(PictureSink& sink, const PictureFacts& facts, const RowSource& rows);

int ChannelsOf(const PictureFacts& facts);

// Bytes of one row as a RowSource gives it.
int64_t RowBytes(const PictureFacts& facts);

// Calls `encode(band, y0, y1)` for bands of at most `band_rows` rows until it returns false.
template <typename Encode>
bool ForEachBand(const PictureFacts& facts, const RowSource& rows, int64_t band_rows,
                 const Encode& encode) {
  for (int64_t y0 = 0; y0 < facts.size.height; y0 += band_rows) {
    const int64_t y1 = std::min(y0 + band_rows, facts.size.height);
    if (!encode(rows(y0, y1), y0, y1)) return false;
  }
  return true;
}

inline constexpr int64_t kBandRows = 64;

}  // namespace wheatpaste

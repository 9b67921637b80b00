// deflate.h - rows of codes to DEFLATE, in pieces that may run side by side; for this folder only.
//
// Model   each code minus the one to its left (TIFF 6.0, section 14, which PDF calls predictor 2), then DEFLATE. No
//         piece looks at another, so the bytes are the same however many threads make them.
// Source  RFC 1950 and 1951; libdeflate makes complete streams, zlib pieces. Pieces that end on a whole byte may be joined: RFC 1951, 3.2.3 and 3.2.4.
#pragma once

#include "base/files.h"
#include "output/write_picture.h"

namespace wheatpaste {

inline constexpr int kDeflateLevel = 3;  // of complete streams

// Before compression.
inline constexpr int64_t kPieceBytes = int64_t{256} << 10;
inline constexpr int64_t kPiecesAtOnce = 16;

// As many rows as a piece takes, at least one.
int64_t RowsPerPiece(int64_t row_bytes);

// Rows of `width` pixels of the facts' channels and depth, tightly packed, changed in place.
void TakeDifferences(const PictureFacts& facts, int64_t width, int64_t rows, uint8_t* codes);

// A complete zlib stream.
Bytes ZlibStream(const uint8_t* data, size_t size);

// One zlib stream out of pieces in order: Head, pieces, the last of them marked, Tail.
class JoinedStream {
 public:
  struct Piece {
    Bytes deflated;
    uint32_t check = 0;
    int64_t size = 0;  // before
  };
  static Piece Deflate(const uint8_t* data, size_t size, bool last);
  static Bytes Head();
  void Count(const Piece& piece);
  Bytes Tail() const;  // of the pieces counted

 private:
  uint32_t check_ = 1;
};

}  // namespace wheatpaste

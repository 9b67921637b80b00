#include "output/deflate.h"

#include <algorithm>
#include <memory>

#include <libdeflate.h>
#include <zlib.h>

#include "output/write_formats.h"

namespace wheatpaste {
namespace {

// Of zlib, which alone can join. 9933 x 14043 px, RGB: level 1 takes 4.6 s of one core and 117 MB, level 2 5.5 s and
// 114 MB, level 3 9.2 s and 111 MB (zlib 1.2.13).
constexpr int kJoinedLevel = 1;
constexpr int kBareWindowBits = -15;  // 32 KiB, without head and tail
constexpr int kMemoryLevel = 8;

Bytes DeflateBare(const uint8_t* data, size_t size, int flush) {
  z_stream stream{};
  WHEATPASTE_CHECK(deflateInit2(&stream, kJoinedLevel, Z_DEFLATED, kBareWindowBits, kMemoryLevel,
                                Z_DEFAULT_STRATEGY) == Z_OK);
  // The bound is for Z_FINISH; an empty stored block, which ends other pieces, takes at most five bytes and a few bits.
  constexpr size_t kEmptyBlock = 8;
  Bytes deflated(deflateBound(&stream, static_cast<uLong>(size)) + kEmptyBlock);
  stream.next_in = const_cast<Bytef*>(data);  // zlib only reads
  stream.avail_in = static_cast<uInt>(size);
  stream.next_out = deflated.data();
  stream.avail_out = static_cast<uInt>(deflated.size());
  const int result = deflate(&stream, flush);
  WHEATPASTE_CHECK(result == (flush == Z_FINISH ? Z_STREAM_END : Z_OK) && stream.avail_in == 0);
  deflated.resize(deflated.size() - stream.avail_out);
  deflateEnd(&stream);
  return deflated;
}

template <typename Code>
void TakeDifferencesOf(int64_t samples, int channels, int64_t rows, Code* codes) {
  for (int64_t y = 0; y < rows; ++y, codes += samples) {
    for (int64_t i = samples - 1; i >= channels; --i) {
      codes[i] = static_cast<Code>(codes[i] - codes[i - channels]);
    }
  }
}

}  // namespace

int64_t RowsPerPiece(int64_t row_bytes) { return std::max<int64_t>(1, kPieceBytes / row_bytes); }

void TakeDifferences(const PictureFacts& facts, int64_t width, int64_t rows, uint8_t* codes) {
  const int channels = ChannelsOf(facts);
  if (facts.depth == 8) return TakeDifferencesOf(width * channels, channels, rows, codes);
  TakeDifferencesOf(width * channels, channels, rows, reinterpret_cast<uint16_t*>(codes));
}

Bytes ZlibStream(const uint8_t* data, size_t size) {
  const std::unique_ptr<libdeflate_compressor, decltype(&libdeflate_free_compressor)> compressor(
      libdeflate_alloc_compressor(kDeflateLevel), libdeflate_free_compressor);
  WHEATPASTE_CHECK(compressor != nullptr);
  Bytes deflated(libdeflate_zlib_compress_bound(compressor.get(), size));
  deflated.resize(
      libdeflate_zlib_compress(compressor.get(), data, size, deflated.data(), deflated.size()));
  WHEATPASTE_CHECK(!deflated.empty());
  return deflated;
}

JoinedStream::Piece JoinedStream::Deflate(const uint8_t* data, size_t size, bool last) {
  return {DeflateBare(data, size, last ? Z_FINISH : Z_SYNC_FLUSH),
          static_cast<uint32_t>(adler32(1, data, static_cast<uInt>(size))),
          static_cast<int64_t>(size)};
}

// Window of 32 KiB, "fastest" (a remark, no instruction); a multiple of 31.
Bytes JoinedStream::Head() { return {0x78, 0x01}; }

void JoinedStream::Count(const Piece& piece) {
  check_ = static_cast<uint32_t>(adler32_combine(check_, piece.check, piece.size));
}

Bytes JoinedStream::Tail() const {
  Bytes tail;
  for (int shift = 24; shift >= 0; shift -= 8)
    tail.push_back(static_cast<uint8_t>(check_ >> shift));
  return tail;
}

}  // namespace wheatpaste

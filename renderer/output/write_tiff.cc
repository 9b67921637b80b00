// TIFF by libtiff: strips or tiles; plain, LZW or DEFLATE, the latter two with the horizontal predictor.
#include <algorithm>
#include <cstring>

#include "base/parallel.h"
#include "output/deflate.h"
#include "output/tiff_to_sink.h"

namespace wheatpaste {
namespace {

constexpr int64_t kTileSide = 256;

// How the picture is cut: strips are as wide as it is and end with it, tiles are all of one size.
struct Grid {
  int64_t width, rows;   // of a block
  int64_t across;        // blocks side by side
  int64_t rows_at_once;  // asked for together
};

Grid GridOf(const PictureFacts& facts) {
  if (facts.tiles) {
    return {kTileSide, kTileSide, (facts.size.width + kTileSide - 1) / kTileSide, kTileSide};
  }
  const int64_t rows = RowsPerPiece(RowBytes(facts));
  return {facts.size.width, rows, 1, rows * kPiecesAtOnce};
}

void SetFields(TIFF* tiff, const PictureFacts& facts, const Grid& grid) {
  SetSize(tiff, facts.size);
  if (facts.tiles) {
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, static_cast<uint32_t>(grid.width));
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, static_cast<uint32_t>(grid.rows));
  } else {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, static_cast<uint32_t>(grid.rows));
  }
  switch (facts.compression) {
    case TiffCompression::kNone:
      TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_NONE);
      break;
    case TiffCompression::kLzw:
      SetCompression(tiff, COMPRESSION_LZW, PREDICTOR_HORIZONTAL);
      break;
    case TiffCompression::kDeflate:
      SetCompression(tiff, COMPRESSION_ADOBE_DEFLATE, PREDICTOR_HORIZONTAL);
      break;
  }
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, facts.depth);
  const bool inks = ChannelsOf(facts) == 4;
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, ChannelsOf(facts));
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, inks ? PHOTOMETRIC_SEPARATED : PHOTOMETRIC_RGB);
  if (inks) TIFFSetField(tiff, TIFFTAG_INKSET, INKSET_CMYK);
  TIFFSetField(tiff, TIFFTAG_XRESOLUTION, facts.density.value);
  TIFFSetField(tiff, TIFFTAG_YRESOLUTION, facts.density.value);
  TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
  if (facts.profile != nullptr) {
    TIFFSetField(tiff, TIFFTAG_ICCPROFILE, static_cast<uint32_t>(facts.profile->bytes().size()),
                 facts.profile->bytes().data());
  }
  if (!facts.description.empty()) {
    TIFFSetField(tiff, TIFFTAG_IMAGEDESCRIPTION, facts.description.c_str());
  }
  if (!facts.xmp.empty()) {
    TIFFSetField(tiff, TIFFTAG_XMLPACKET, static_cast<uint32_t>(facts.xmp.size()),
                 facts.xmp.data());
  }
}

// Block `column` of those that begin with the band's row `top`, out of `band_rows` rows; what a tile has beyond the
// picture is 0.
Bytes CutBlock(const PictureFacts& facts, const Grid& grid, const uint8_t* band, int64_t band_rows,
               int64_t column, int64_t top) {
  const int64_t row_bytes = RowBytes(facts), pixel = row_bytes / facts.size.width;
  const int64_t x0 = column * grid.width, rows = std::min(grid.rows, band_rows - top);
  const auto used = static_cast<size_t>(std::min(grid.width, facts.size.width - x0) * pixel);
  Bytes block(static_cast<size_t>((facts.tiles ? grid.rows : rows) * grid.width * pixel));
  for (int64_t y = 0; y < rows; ++y) {
    std::memcpy(block.data() + y * grid.width * pixel, band + (top + y) * row_bytes + x0 * pixel,
                used);
  }
  return block;
}

bool PutBlock(TIFF* tiff, const PictureFacts& facts, uint32_t index, Bytes& block) {
  const auto size = static_cast<tmsize_t>(block.size());
  // DEFLATE is made here, block beside block; libtiff's own codecs run one at a time, and change what they are given.
  const bool made = facts.compression == TiffCompression::kDeflate;
  const auto put = facts.tiles ? (made ? TIFFWriteRawTile : TIFFWriteEncodedTile)
                               : (made ? TIFFWriteRawStrip : TIFFWriteEncodedStrip);
  return put(tiff, index, block.data(), size) == size;
}

}  // namespace

Status EncodeTiff(PictureSink& sink, const PictureFacts& facts, const RowSource& rows) {
  TiffJob job;
  job.sink = &sink;
  const TiffHandle tiff = OpenTiff(job, RowBytes(facts) * facts.size.height);
  if (!tiff) return sink.Failure("TIFF", job.words);
  const Grid grid = GridOf(facts);
  SetFields(tiff.get(), facts, grid);
  uint32_t index = 0;
  const auto put_band = [&](const uint8_t* band, int64_t y0, int64_t y1) {
    const int64_t down = (y1 - y0 + grid.rows - 1) / grid.rows;
    std::vector<Bytes> blocks(static_cast<size_t>(down * grid.across));
    ParallelFor(down * grid.across, [&](int64_t i) {
      const int64_t top = i / grid.across * grid.rows;
      Bytes block = CutBlock(facts, grid, band, y1 - y0, i % grid.across, top);
      if (facts.compression == TiffCompression::kDeflate) {
        const auto row = static_cast<size_t>(RowBytes(facts) / facts.size.width * grid.width);
        TakeDifferences(facts, grid.width, static_cast<int64_t>(block.size() / row), block.data());
        block = ZlibStream(block.data(), block.size());
      }
      blocks[static_cast<size_t>(i)] = std::move(block);
    });
    return std::all_of(blocks.begin(), blocks.end(),
                       [&](Bytes& block) { return PutBlock(tiff.get(), facts, index++, block); });
  };
  const bool written =
      ForEachBand(facts, rows, grid.rows_at_once, put_band) && TIFFFlush(tiff.get()) == 1;
  if (!written || sink.failed() || job.words[0] != 0) return sink.Failure("TIFF", job.words);
  return Done{};
}

}  // namespace wheatpaste

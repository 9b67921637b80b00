// TIFF bytes in memory for libtiff, and its pixels strip by strip or tile by tile.
#include <algorithm>
#include <cstdarg>
#include <cstdio>
#include <cstring>

#include "image/read_tiff.h"

namespace wheatpaste {
namespace {

// libtiff may ask for this much at once beyond the size of the file: strip tables, not pixels.
constexpr size_t kMaxTableBytes = size_t{64} << 20;

TiffSource& SourceOf(thandle_t handle) { return *static_cast<TiffSource*>(handle); }

tmsize_t ReadBytes(thandle_t handle, void* to, tmsize_t size) {
  TiffSource& source = SourceOf(handle);
  const size_t left = source.size - std::min(source.at, source.size);
  const size_t count = std::min(left, static_cast<size_t>(size));
  if (count > 0) std::memcpy(to, source.data + source.at, count);
  source.at += count;
  return static_cast<tmsize_t>(count);
}

tmsize_t RefuseWrite(thandle_t, void*, tmsize_t) { return 0; }

toff_t SeekTo(thandle_t handle, toff_t offset, int whence) {
  TiffSource& source = SourceOf(handle);
  if (whence == SEEK_CUR) offset += source.at;
  if (whence == SEEK_END) offset += source.size;
  source.at = offset;
  return offset;
}

int CloseNothing(thandle_t) { return 0; }
toff_t SizeOf(thandle_t handle) { return SourceOf(handle).size; }

int MapBytes(thandle_t handle, void** base, toff_t* size) {
  // libtiff reads from a mapping only, though its type does not say so.
  *base = const_cast<uint8_t*>(SourceOf(handle).data);
  *size = SourceOf(handle).size;
  return 1;
}

void UnmapNothing(thandle_t, void*, toff_t) {}

int KeepError(TIFF*, void* user, const char*, const char* format, va_list values) {
  auto* source = static_cast<TiffSource*>(user);
  if (source->complaint[0] == 0) {
    std::vsnprintf(source->complaint, sizeof source->complaint, format, values);
  }
  return 1;
}

int KeepWarning(TIFF* tiff, void* user, const char* module, const char* format, va_list values) {
  if (static_cast<TiffSource*>(user)->strict) KeepError(tiff, user, module, format, values);
  return 1;
}

bool ReadStrips(TIFF* tiff, const TiffSource& source, const TiffLayout& layout, Bitmap& bitmap) {
  uint32_t rows_per_strip = 0;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_ROWSPERSTRIP, &rows_per_strip);
  const int64_t height = bitmap.size.height;
  const int64_t band = std::min<int64_t>(rows_per_strip, height);
  const int64_t stored_row = TIFFScanlineSize(tiff);
  if (band <= 0 || stored_row <= 0) return false;
  const bool direct = layout.direct() && stored_row == bitmap.row_bytes();
  Bytes strip(direct ? 0 : static_cast<size_t>(band * stored_row));
  const int planes = layout.separate ? layout.samples : 1;
  for (int plane = 0; plane < planes; ++plane) {
    for (int64_t y0 = 0; y0 < height; y0 += band) {
      const int64_t rows = std::min(band, height - y0);
      const uint32_t index =
          TIFFComputeStrip(tiff, static_cast<uint32_t>(y0), static_cast<uint16_t>(plane));
      uint8_t* to = direct ? bitmap.row(y0) : strip.data();
      if (TIFFReadEncodedStrip(tiff, index, to, rows * stored_row) != rows * stored_row) {
        return false;
      }
      // Some decoders fill up what is missing and only warn.
      if (source.complaint[0] != 0) return false;
      for (int64_t y = 0; y < rows && !direct; ++y) {
        PlaceSamples(layout, bitmap, strip.data() + y * stored_row, plane, bitmap.size.width,
                     bitmap.row(y0 + y));
      }
    }
  }
  return true;
}

bool ReadTiles(TIFF* tiff, const TiffSource& source, const TiffLayout& layout, Bitmap& bitmap) {
  uint32_t tile_width = 0, tile_height = 0;
  TIFFGetField(tiff, TIFFTAG_TILEWIDTH, &tile_width);
  TIFFGetField(tiff, TIFFTAG_TILELENGTH, &tile_height);
  const int64_t tile_row = TIFFTileRowSize(tiff);
  const int64_t tile_bytes = TIFFTileSize(tiff);
  if (tile_width == 0 || tile_height == 0 || tile_row <= 0 || tile_bytes <= 0) return false;
  Bytes tile(static_cast<size_t>(tile_bytes));
  const int planes = layout.separate ? layout.samples : 1;
  const int pixel_bytes = bitmap.channels() * bitmap.depth / 8;
  const SizePx size = bitmap.size;
  for (int plane = 0; plane < planes; ++plane) {
    for (int64_t y0 = 0; y0 < size.height; y0 += tile_height) {
      for (int64_t x0 = 0; x0 < size.width; x0 += tile_width) {
        const uint32_t index =
            TIFFComputeTile(tiff, static_cast<uint32_t>(x0), static_cast<uint32_t>(y0), 0,
                            static_cast<uint16_t>(plane));
        if (TIFFReadEncodedTile(tiff, index, tile.data(), tile_bytes) != tile_bytes) return false;
        if (source.complaint[0] != 0) return false;
        const int64_t rows = std::min<int64_t>(tile_height, size.height - y0);
        const int64_t columns = std::min<int64_t>(tile_width, size.width - x0);
        for (int64_t y = 0; y < rows; ++y) {
          PlaceSamples(layout, bitmap, tile.data() + y * tile_row, plane, columns,
                       bitmap.row(y0 + y) + x0 * pixel_bytes);
        }
      }
    }
  }
  return true;
}

}  // namespace

TiffHandle OpenTiff(TiffSource& source) {
  TIFFOpenOptions* options = TIFFOpenOptionsAlloc();
  if (options == nullptr) return nullptr;
  TIFFOpenOptionsSetErrorHandlerExtR(options, KeepError, &source);
  TIFFOpenOptionsSetWarningHandlerExtR(options, KeepWarning, &source);
  TIFFOpenOptionsSetMaxSingleMemAlloc(options, static_cast<tmsize_t>(kMaxTableBytes + source.size));
  TiffHandle tiff(TIFFClientOpenExt("picture", "rM", &source, ReadBytes, RefuseWrite, SeekTo,
                                    CloseNothing, SizeOf, MapBytes, UnmapNothing, options));
  TIFFOpenOptionsFree(options);
  return tiff;
}

bool ReadTiffPixels(TIFF* tiff, TiffSource& source, const TiffLayout& layout, Bitmap& bitmap) {
  source.strict = true;
  source.complaint[0] = 0;
  const bool whole = TIFFIsTiled(tiff) ? ReadTiles(tiff, source, layout, bitmap)
                                       : ReadStrips(tiff, source, layout, bitmap);
  source.strict = false;
  if (!whole || source.complaint[0] != 0) return false;
  for (int64_t y = 0; y < bitmap.size.height; ++y) {
    SettleCodes(layout, bitmap, bitmap.size.width, bitmap.row(y));
  }
  return true;
}

}  // namespace wheatpaste

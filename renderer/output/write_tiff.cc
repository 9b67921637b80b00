// TIFF by libtiff: strips, DEFLATE with the horizontal predictor.
#include <algorithm>
#include <cstring>

#include "output/tiff_to_sink.h"
#include "output/write_formats.h"

namespace wheatpaste {
namespace {

void SetFields(TIFF* tiff, const PictureFacts& facts, int64_t rows_per_strip) {
  SetStripFields(tiff, facts.size, rows_per_strip, PREDICTOR_HORIZONTAL);
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
}

}  // namespace

Status EncodeTiff(PictureSink& sink, const PictureFacts& facts, const RowSource& rows) {
  TiffJob job;
  job.sink = &sink;
  const int64_t row_bytes = RowBytes(facts);
  const TiffHandle tiff = OpenTiff(job, row_bytes * facts.size.height);
  if (!tiff) return sink.Failure("TIFF", job.words);
  const int64_t rows_per_strip = std::max<int64_t>(1, kStripBytes / row_bytes);
  SetFields(tiff.get(), facts, rows_per_strip);
  // The predictor changes its input in place, so a strip is copied out of the caller's band first.
  Bytes strip(static_cast<size_t>(rows_per_strip * row_bytes));
  uint32_t index = 0;
  const bool written =
      ForEachBand(facts, rows, rows_per_strip,
                  [&](const uint8_t* band, int64_t y0, int64_t y1) {
                    const int64_t size = (y1 - y0) * row_bytes;
                    std::memcpy(strip.data(), band, static_cast<size_t>(size));
                    return TIFFWriteEncodedStrip(tiff.get(), index++, strip.data(), size) == size;
                  }) &&
      TIFFFlush(tiff.get()) == 1;
  if (!written || sink.failed() || job.words[0] != 0) return sink.Failure("TIFF", job.words);
  return Done{};
}

}  // namespace wheatpaste

#include "output/write_float_tiff.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "output/deflate.h"
#include "output/tiff_to_sink.h"

namespace wheatpaste {
namespace {

constexpr float kMost16 = 65535;

void SetFields(TIFF* tiff, const FloatFacts& facts, int64_t rows_per_strip) {
  const bool floats = facts.samples == TiffSamples::kFloat32;
  SetSize(tiff, facts.size);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, static_cast<uint32_t>(rows_per_strip));
  SetCompression(tiff, COMPRESSION_ADOBE_DEFLATE,
                 floats ? PREDICTOR_FLOATINGPOINT : PREDICTOR_NONE);
  TIFFSetField(tiff, TIFFTAG_ZIPQUALITY, kDeflateLevel);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, floats ? 32 : 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, floats ? SAMPLEFORMAT_IEEEFP : SAMPLEFORMAT_UINT);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, facts.bands);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC,
               facts.bands == 3 ? PHOTOMETRIC_RGB : PHOTOMETRIC_MINISBLACK);
  if (facts.bands == 2) {
    const uint16_t kinds[] = {EXTRASAMPLE_UNSPECIFIED};
    TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, 1, kinds);
  }
  TIFFSetField(tiff, TIFFTAG_IMAGEDESCRIPTION, facts.description.c_str());
}

}  // namespace

Status WriteFloatTiff(PendingFile& file, const FloatFacts& facts, const FloatRows& rows) {
  WHEATPASTE_CHECK(facts.bands >= 1 && facts.bands <= 3);
  PictureSink sink(file);
  TiffJob job;
  job.sink = &sink;
  const int64_t row_samples = facts.size.width * facts.bands;
  const int64_t sample_bytes = facts.samples == TiffSamples::kFloat32 ? 4 : 2;
  const int64_t row_bytes = row_samples * sample_bytes;
  const TiffHandle tiff = OpenTiff(job, row_bytes * facts.size.height);
  if (!tiff) return sink.Failure("TIFF", job.words);
  const int64_t rows_per_strip = RowsPerPiece(row_bytes);
  SetFields(tiff.get(), facts, rows_per_strip);
  std::vector<float> strip(static_cast<size_t>(rows_per_strip * row_samples));
  std::vector<uint16_t> whole(facts.samples == TiffSamples::kWhole16 ? strip.size() : 0);
  uint32_t index = 0;
  bool written = true;
  for (int64_t y0 = 0; y0 < facts.size.height && written; y0 += rows_per_strip) {
    const int64_t y1 = std::min(facts.size.height, y0 + rows_per_strip);
    rows(y0, y1, strip.data());
    const auto count = static_cast<size_t>((y1 - y0) * row_samples);
    void* data = strip.data();
    if (!whole.empty()) {
      std::transform(
          strip.begin(), strip.begin() + static_cast<int64_t>(count), whole.begin(), [](float v) {
            return static_cast<uint16_t>(std::lround(std::clamp(v, 0.0f, 1.0f) * kMost16));
          });
      data = whole.data();
    }
    const auto bytes = static_cast<int64_t>(count) * sample_bytes;
    // The predictor changes `data` in place; it is made anew for the next strip.
    written = TIFFWriteEncodedStrip(tiff.get(), index++, data, bytes) == bytes;
  }
  written = written && TIFFFlush(tiff.get()) == 1;
  if (!written || sink.failed() || job.words[0] != 0) return sink.Failure("TIFF", job.words);
  return Done{};
}

}  // namespace wheatpaste

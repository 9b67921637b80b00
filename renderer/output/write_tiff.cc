// TIFF by libtiff: strips, DEFLATE with the horizontal predictor.
#include <algorithm>
#include <cerrno>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <memory>
#include <new>

#include <sys/stat.h>
#include <unistd.h>

#include <tiffio.h>

#include "output/write_formats.h"

namespace wheatpaste {
namespace {

constexpr int kDeflateLevel = 3;
constexpr int64_t kStripBytes = int64_t{256} << 10;
// Plain TIFF has 32-bit offsets; room is kept for a little growth, the tables and the profile.
constexpr int64_t kMaxPlainTiffBytes = int64_t{3900} << 20;

struct Job {
  PictureSink* sink = nullptr;
  char words[256] = "";
};

Job& JobOf(thandle_t handle) { return *static_cast<Job*>(handle); }

tmsize_t ReadBytes(thandle_t handle, void* to, tmsize_t size) {
  return read(JobOf(handle).sink->descriptor(), to, static_cast<size_t>(size));
}

tmsize_t PutBytes(thandle_t handle, void* data, tmsize_t size) {
  return JobOf(handle).sink->Write(data, static_cast<size_t>(size)) ? size : -1;
}

toff_t SeekTo(thandle_t handle, toff_t offset, int whence) {
  const off_t at = lseek(JobOf(handle).sink->descriptor(), static_cast<off_t>(offset), whence);
  return static_cast<toff_t>(at);
}

int CloseNothing(thandle_t) { return 0; }

toff_t SizeOf(thandle_t handle) {
  struct stat status {};
  return fstat(JobOf(handle).sink->descriptor(), &status) == 0 ? static_cast<toff_t>(status.st_size)
                                                               : 0;
}

int MapNothing(thandle_t, void**, toff_t*) { return 0; }
void UnmapNothing(thandle_t, void*, toff_t) {}

int KeepError(TIFF*, void* user, const char*, const char* format, va_list values) {
  Job& job = *static_cast<Job*>(user);
  if (job.words[0] == 0) std::vsnprintf(job.words, sizeof job.words, format, values);
  return 1;
}

int IgnoreWarning(TIFF*, void*, const char*, const char*, va_list) { return 1; }

struct CloseTiff {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
using TiffHandle = std::unique_ptr<TIFF, CloseTiff>;

TiffHandle OpenTiff(Job& job, bool big) {
  TIFFOpenOptions* options = TIFFOpenOptionsAlloc();
  if (options == nullptr) return nullptr;
  TIFFOpenOptionsSetErrorHandlerExtR(options, KeepError, &job);
  TIFFOpenOptionsSetWarningHandlerExtR(options, IgnoreWarning, &job);
  TiffHandle tiff(TIFFClientOpenExt("picture", big ? "wl8" : "wl", &job, ReadBytes, PutBytes,
                                    SeekTo, CloseNothing, SizeOf, MapNothing, UnmapNothing,
                                    options));
  TIFFOpenOptionsFree(options);
  return tiff;
}

void SetFields(TIFF* tiff, const PictureFacts& facts, int64_t rows_per_strip) {
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, static_cast<uint32_t>(facts.size.width));
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, static_cast<uint32_t>(facts.size.height));
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, facts.depth);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 3);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, static_cast<uint32_t>(rows_per_strip));
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
  TIFFSetField(tiff, TIFFTAG_PREDICTOR, PREDICTOR_HORIZONTAL);
  TIFFSetField(tiff, TIFFTAG_ZIPQUALITY, kDeflateLevel);
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
  Job job;
  job.sink = &sink;
  const int64_t row_bytes = RowBytes(facts);
  const TiffHandle tiff = OpenTiff(job, row_bytes * facts.size.height > kMaxPlainTiffBytes);
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

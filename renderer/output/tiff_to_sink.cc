#include "output/tiff_to_sink.h"

#include <cstdarg>
#include <cstdio>

#include <sys/stat.h>
#include <unistd.h>

namespace wheatpaste {
namespace {

// Plain TIFF has 32-bit offsets; room is kept for a little growth, the tables and the profile.
constexpr int64_t kMaxPlainTiffBytes = int64_t{3900} << 20;

TiffJob& JobOf(thandle_t handle) { return *static_cast<TiffJob*>(handle); }

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
  TiffJob& job = *static_cast<TiffJob*>(user);
  if (job.words[0] == 0) std::vsnprintf(job.words, sizeof job.words, format, values);
  return 1;
}

int IgnoreWarning(TIFF*, void*, const char*, const char*, va_list) { return 1; }

}  // namespace

TiffHandle OpenTiff(TiffJob& job, int64_t data_bytes) {
  const bool big = data_bytes > kMaxPlainTiffBytes;
  TIFFOpenOptions* options = TIFFOpenOptionsAlloc();
  if (options == nullptr) return nullptr;
  TIFFOpenOptionsSetErrorHandlerExtR(options, KeepError, &job);
  TIFFOpenOptionsSetWarningHandlerExtR(options, IgnoreWarning, &job);
  // Without "l" or "b" numbers are in the machine's own order, as rows are.
  TiffHandle tiff(TIFFClientOpenExt("picture", big ? "w8" : "w", &job, ReadBytes, PutBytes, SeekTo,
                                    CloseNothing, SizeOf, MapNothing, UnmapNothing, options));
  TIFFOpenOptionsFree(options);
  return tiff;
}

void SetSize(TIFF* tiff, SizePx size) {
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, static_cast<uint32_t>(size.width));
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, static_cast<uint32_t>(size.height));
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT);
}

void SetCompression(TIFF* tiff, int compression, int predictor) {
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, compression);
  TIFFSetField(tiff, TIFFTAG_PREDICTOR, predictor);
}

}  // namespace wheatpaste

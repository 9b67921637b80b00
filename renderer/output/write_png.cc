// PNG by libpng.
#include <algorithm>
#include <bit>
#include <cmath>
#include <csetjmp>
#include <cstdio>

#include <png.h>

#include "output/write_formats.h"

namespace wheatpaste {
namespace {

// Measured on a photograph of 1920 x 1080 px, libpng 1.6.39: this takes 142 ms and 3.28 MB; all
// filters tried at level 6 take 845 ms and 3.12 MB, and always choose this filter.
constexpr int kDeflateLevel = 2;
constexpr int kFilters = PNG_FILTER_PAETH;
constexpr size_t kChunkBytes = size_t{256} << 10;

// Everything libpng needs, with no object that has a destructor of its own: its error exit jumps.
struct Job {
  png_structp writer = nullptr;
  png_infop info = nullptr;
  PictureSink* sink = nullptr;
  jmp_buf jump;
  char words[256] = "";
};

[[noreturn]] void Leave(png_structp writer, png_const_charp words) {
  auto* job = static_cast<Job*>(png_get_error_ptr(writer));
  std::snprintf(job->words, sizeof job->words, "%s", words);
  std::longjmp(job->jump, 1);
}

void IgnoreWarning(png_structp, png_const_charp) {}

void PutBytes(png_structp writer, png_bytep data, size_t size) {
  auto* job = static_cast<Job*>(png_get_io_ptr(writer));
  if (!job->sink->Write(data, size)) png_error(writer, "cannot write");
}

void FlushNothing(png_structp) {}

bool WriteHeader(Job* job, const PictureFacts& facts) {
  constexpr double kInchesPerMetre = 1000 / kMmPerInch;
  if (setjmp(job->jump) != 0) return false;
  job->writer = png_create_write_struct(PNG_LIBPNG_VER_STRING, job, Leave, IgnoreWarning);
  if (job->writer == nullptr) return false;
  job->info = png_create_info_struct(job->writer);
  if (job->info == nullptr) return false;
  // Otherwise libpng leaves out a profile that it finds fault with, and says nothing.
  png_set_benign_errors(job->writer, 0);
  png_set_write_fn(job->writer, job, PutBytes, FlushNothing);
  png_set_compression_level(job->writer, kDeflateLevel);
  png_set_compression_buffer_size(job->writer, kChunkBytes);
  png_set_filter(job->writer, PNG_FILTER_TYPE_BASE, kFilters);
  png_set_user_limits(job->writer, kMaxPngSidePx, kMaxPngSidePx);
  png_set_IHDR(job->writer, job->info, static_cast<png_uint_32>(facts.size.width),
               static_cast<png_uint_32>(facts.size.height), facts.depth, PNG_COLOR_TYPE_RGB,
               PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  const auto density = static_cast<png_uint_32>(std::lround(facts.density.value * kInchesPerMetre));
  png_set_pHYs(job->writer, job->info, density, density, PNG_RESOLUTION_METER);
  if (facts.profile != nullptr) {
    // The name in the chunk is of no use beside the profile's own description.
    png_set_iCCP(job->writer, job->info, "ICC profile", PNG_COMPRESSION_TYPE_DEFAULT,
                 facts.profile->bytes().data(),
                 static_cast<png_uint_32>(facts.profile->bytes().size()));
  }
  if (!facts.xmp.empty()) {
    // libpng takes a copy; its types do not say that it leaves these alone.
    png_text text{};
    text.compression = PNG_ITXT_COMPRESSION_NONE;
    text.key = const_cast<char*>("XML:com.adobe.xmp");
    text.text = const_cast<char*>(facts.xmp.c_str());
    text.itxt_length = facts.xmp.size();
    png_set_text(job->writer, job->info, &text, 1);
  }
  png_write_info(job->writer, job->info);
  if (facts.depth == 16 && std::endian::native == std::endian::little) png_set_swap(job->writer);
  return true;
}

bool WriteRows(Job* job, const uint8_t* band, int64_t count, int64_t row_bytes) {
  if (setjmp(job->jump) != 0) return false;
  for (int64_t y = 0; y < count; ++y) png_write_row(job->writer, band + y * row_bytes);
  return true;
}

bool WriteEnd(Job* job) {
  if (setjmp(job->jump) != 0) return false;
  png_write_end(job->writer, nullptr);
  return true;
}

}  // namespace

Status EncodePng(PictureSink& sink, const PictureFacts& facts, const RowSource& rows) {
  Job job;
  job.sink = &sink;
  struct Owner {
    Job& job;
    ~Owner() { png_destroy_write_struct(&job.writer, &job.info); }
  } const owner{job};
  const bool written = WriteHeader(&job, facts) &&
                       ForEachBand(facts, rows, kBandRows,
                                   [&](const uint8_t* band, int64_t y0, int64_t y1) {
                                     return WriteRows(&job, band, y1 - y0, RowBytes(facts));
                                   }) &&
                       WriteEnd(&job);
  if (!written) return sink.Failure("PNG", job.words);
  return Done{};
}

}  // namespace wheatpaste

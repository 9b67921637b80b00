// JPEG by libjpeg-turbo.
#include <algorithm>
#include <cmath>
#include <csetjmp>
#include <cstdio>

#include <jpeglib.h>

#include "output/write_formats.h"
#include "output/xmp.h"

namespace wheatpaste {
namespace {

constexpr size_t kBufferBytes = size_t{64} << 10;
constexpr int kMaxDensity = 65535;  // JFIF 1.02 stores 16 bits
constexpr char kXmpName[] =
    "http://ns.adobe.com/xap/1.0/";  // its 0 included; XMP Specification Part 3, "JPEG"

enum class JpegUse { kFile, kInPdf };

// Everything libjpeg needs, with no object that has a destructor of its own: its error exit jumps.
struct Job {
  jpeg_compress_struct codec;
  jpeg_error_mgr errors;
  jpeg_destination_mgr target;
  PictureSink* sink;
  jmp_buf jump;
  char words[JMSG_LENGTH_MAX];
  JOCTET buffer[kBufferBytes];
};

Job& JobOf(j_common_ptr codec) { return *static_cast<Job*>(codec->client_data); }
Job& JobOf(j_compress_ptr codec) { return *static_cast<Job*>(codec->client_data); }

[[noreturn]] void Leave(j_common_ptr codec) {
  Job& job = JobOf(codec);
  codec->err->format_message(codec, job.words);
  std::longjmp(job.jump, 1);
}

void IgnoreWarning(j_common_ptr, int) {}
void IgnoreOutput(j_common_ptr) {}

void StartBuffer(j_compress_ptr codec) {
  codec->dest->next_output_byte = JobOf(codec).buffer;
  codec->dest->free_in_buffer = kBufferBytes;
}

void PutBytes(Job& job, size_t size) {
  if (!job.sink->Write(job.buffer, size)) std::longjmp(job.jump, 1);
}

boolean FlushBuffer(j_compress_ptr codec) {
  PutBytes(JobOf(codec), kBufferBytes);
  StartBuffer(codec);
  return TRUE;
}

void FlushRest(j_compress_ptr codec) {
  PutBytes(JobOf(codec), kBufferBytes - codec->dest->free_in_buffer);
}

// xmp  the segment's bytes; empty: none.
bool WriteHeader(Job* job, const PictureFacts& facts, JpegUse use, const std::string& xmp) {
  jpeg_compress_struct& codec = job->codec;
  codec.err = jpeg_std_error(&job->errors);
  codec.client_data = job;
  job->errors.error_exit = Leave;
  job->errors.emit_message = IgnoreWarning;
  job->errors.output_message = IgnoreOutput;
  if (setjmp(job->jump) != 0) return false;
  jpeg_create_compress(&codec);
  job->target = {nullptr, 0, StartBuffer, FlushBuffer, FlushRest};
  codec.dest = &job->target;
  codec.image_width = static_cast<JDIMENSION>(facts.size.width);
  codec.image_height = static_cast<JDIMENSION>(facts.size.height);
  codec.input_components = ChannelsOf(facts);
  codec.in_color_space = codec.input_components == 4 ? JCS_CMYK : JCS_RGB;
  jpeg_set_defaults(&codec);
  // Where this marker is, readers take CMYK codes as turned round, 255 for no ink.
  codec.write_Adobe_marker = FALSE;
  jpeg_set_quality(&codec, facts.quality, TRUE);
  for (int i = 0; i < codec.num_components; ++i) {
    codec.comp_info[i].h_samp_factor = 1;
    codec.comp_info[i].v_samp_factor = 1;
  }
  const double density = std::clamp<double>(std::round(facts.density.value), 1, kMaxDensity);
  codec.density_unit = 1;  // dots per inch
  codec.X_density = static_cast<UINT16>(density);
  codec.Y_density = codec.X_density;
  jpeg_start_compress(&codec, TRUE);
  if (use == JpegUse::kInPdf) return true;
  if (!xmp.empty()) {
    jpeg_write_marker(&codec, JPEG_APP0 + 1, reinterpret_cast<const JOCTET*>(xmp.data()),
                      static_cast<unsigned>(xmp.size()));
  }
  if (facts.profile != nullptr) {
    // Cuts the profile into as many APP2 segments as it needs.
    jpeg_write_icc_profile(&codec, facts.profile->bytes().data(),
                           static_cast<unsigned>(facts.profile->bytes().size()));
  }
  return true;
}

bool WriteRows(Job* job, const uint8_t* band, unsigned count, size_t row_bytes) {
  if (setjmp(job->jump) != 0) return false;
  // libjpeg does not write to its input, though its type does not say so.
  auto* codes = const_cast<JSAMPLE*>(band);
  JSAMPROW rows[kBandRows];
  for (unsigned i = 0; i < count; ++i) rows[i] = codes + i * row_bytes;
  for (unsigned done = 0; done < count;) {
    done += jpeg_write_scanlines(&job->codec, rows + done, count - done);
  }
  return true;
}

bool WriteEnd(Job* job) {
  if (setjmp(job->jump) != 0) return false;
  jpeg_finish_compress(&job->codec);
  return true;
}

struct JobOwner {
  Job job{};
  ~JobOwner() { jpeg_destroy_compress(&job.codec); }
};

Status Encode(PictureSink& sink, const PictureFacts& facts, const RowSource& rows, JpegUse use) {
  WHEATPASTE_CHECK_OP(static_cast<int64_t>(facts.xmp.size()), <=, kMaxXmpBytes);
  const std::string xmp =
      facts.xmp.empty() ? "" : std::string(kXmpName, sizeof kXmpName) + facts.xmp;
  JobOwner owner;
  Job& job = owner.job;
  job.sink = &sink;
  const bool written = WriteHeader(&job, facts, use, xmp) &&
                       ForEachBand(facts, rows, kBandRows,
                                   [&](const uint8_t* band, int64_t y0, int64_t y1) {
                                     return WriteRows(&job, band, static_cast<unsigned>(y1 - y0),
                                                      static_cast<size_t>(RowBytes(facts)));
                                   }) &&
                       WriteEnd(&job);
  if (!written) return sink.Failure("JPEG", job.words);
  return Done{};
}

}  // namespace

Status EncodeJpeg(PictureSink& sink, const PictureFacts& facts, const RowSource& rows) {
  return Encode(sink, facts, rows, JpegUse::kFile);
}

Status EncodeJpegInPdf(PictureSink& sink, const PictureFacts& facts, const RowSource& rows) {
  return Encode(sink, facts, rows, JpegUse::kInPdf);
}

}  // namespace wheatpaste

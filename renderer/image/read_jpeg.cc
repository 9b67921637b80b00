// JPEG by libjpeg-turbo.
#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <jpeglib.h>
#include <jerror.h>

#include <fmt/format.h>

#include "base/units.h"
#include "image/exif.h"
#include "image/read_formats.h"

namespace wheatpaste {
namespace {

constexpr int kExifMarker = JPEG_APP0 + 1;
constexpr int kProfileMarker = JPEG_APP0 + 2;
constexpr int kEndOfImage = 0xD9;
// Some cameras pad the last block; more than this before the end is lost picture.
constexpr int kMaxPaddingBytes = 16;
// A scan costs a pass over the whole picture. Usual progressive files have about ten.
constexpr int kMaxScans = 100;
// Huffman coding spends at least one bit on the DC value of each 8 x 8 block of luma.
constexpr uint64_t kMaxPxPerByte = 8 * 64;

// Everything libjpeg needs, with no object that has a destructor of its own: its error exit jumps.
struct Job {
  jpeg_decompress_struct codec;
  jpeg_error_mgr errors;
  jpeg_progress_mgr progress;
  jmp_buf jump;
  char words[JMSG_LENGTH_MAX];
  JOCTET* profile = nullptr;
  unsigned profile_bytes = 0;
};

[[noreturn]] void Leave(j_common_ptr codec) {
  auto* job = static_cast<Job*>(codec->client_data);
  codec->err->format_message(codec, job->words);
  std::longjmp(job->jump, 1);
}

// libjpeg warns and goes on with gray where data are missing; here that ends the reading.
void Complain(j_common_ptr codec, int level) {
  if (level >= 0) return;
  const jpeg_error_mgr& errors = *codec->err;
  if (errors.msg_code == JWRN_ADOBE_XFORM || errors.msg_code == JWRN_JFIF_MAJOR) return;
  if (errors.msg_code == JWRN_EXTRANEOUS_DATA && errors.msg_parm.i[0] <= kMaxPaddingBytes &&
      errors.msg_parm.i[1] == kEndOfImage) {
    return;
  }
  Leave(codec);
}

void CountScans(j_common_ptr codec) {
  auto* job = static_cast<Job*>(codec->client_data);
  if (codec->is_decompressor == 0 || job->codec.input_scan_number <= kMaxScans) return;
  std::snprintf(job->words, sizeof job->words, "more than %d scans", kMaxScans);
  std::longjmp(job->jump, 1);
}

void IgnoreOutput(j_common_ptr) {}

bool ReadHeader(Job* job, const uint8_t* data, size_t size) {
  job->codec.err = jpeg_std_error(&job->errors);
  job->codec.client_data = job;
  job->errors.error_exit = Leave;
  job->errors.emit_message = Complain;
  job->errors.output_message = IgnoreOutput;
  if (setjmp(job->jump) != 0) return false;
  jpeg_create_decompress(&job->codec);
  job->progress.progress_monitor = CountScans;
  job->codec.progress = &job->progress;
  jpeg_mem_src(&job->codec, data, size);
  jpeg_save_markers(&job->codec, kExifMarker, 0xFFFF);
  jpeg_save_markers(&job->codec, kProfileMarker, 0xFFFF);
  jpeg_read_header(&job->codec, TRUE);
  jpeg_read_icc_profile(&job->codec, &job->profile, &job->profile_bytes);
  return true;
}

bool ReadRows(Job* job, uint8_t* codes, size_t row_bytes) {
  if (setjmp(job->jump) != 0) return false;
  jpeg_start_decompress(&job->codec);
  constexpr unsigned kRows = 16;
  JSAMPROW rows[kRows];
  while (job->codec.output_scanline < job->codec.output_height) {
    const size_t first = job->codec.output_scanline;
    const size_t left = job->codec.output_height - first;
    const unsigned count = left < kRows ? static_cast<unsigned>(left) : kRows;
    for (unsigned i = 0; i < count; ++i) rows[i] = codes + (first + i) * row_bytes;
    jpeg_read_scanlines(&job->codec, rows, count);
  }
  // Reads on to the end marker, so that a file without it is found out.
  jpeg_finish_decompress(&job->codec);
  return true;
}

struct JobOwner {
  Job job{};
  ~JobOwner() {
    jpeg_destroy_decompress(&job.codec);
    std::free(job.profile);
  }
};

double DensityOf(const jpeg_decompress_struct& codec) {
  if (!codec.saw_JFIF_marker) return 0;
  if (codec.density_unit == 1) return codec.X_density;
  if (codec.density_unit == 2) return codec.X_density * kMmPerInch / 10;
  return 0;
}

void ReadMarkers(const jpeg_decompress_struct& codec, Bitmap& bitmap) {
  bitmap.ppi = DensityOf(codec);
  for (auto* marker = codec.marker_list; marker != nullptr; marker = marker->next) {
    if (marker->marker != kExifMarker || marker->data_length < 6) continue;
    if (std::memcmp(marker->data, "Exif\0", 6) != 0) continue;
    const ExifContent content = ReadExif(marker->data, marker->data_length);
    bitmap.exif = content.facts;
    if (bitmap.ppi == 0) bitmap.ppi = content.ppi;
    return;
  }
}

}  // namespace

Result<Bitmap> DecodeJpeg(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px) {
  JobOwner owner;
  Job& job = owner.job;
  jpeg_decompress_struct& codec = job.codec;
  if (!ReadHeader(&job, bytes.data(), bytes.size())) return DamagedError(path, "JPEG", job.words);
  auto size = CheckBitmapSize(path, max_px, codec.image_width, codec.image_height);
  if (!size) return size.errors();

  Bitmap bitmap;
  bitmap.size = {codec.image_width, codec.image_height};
  switch (codec.num_components) {
    case 1:
      bitmap.model = ColourModel::kGray;
      codec.out_color_space = JCS_GRAYSCALE;
      break;
    case 3:
      bitmap.model = ColourModel::kRgb;
      codec.out_color_space = JCS_RGB;
      break;
    case 4:
      bitmap.model = ColourModel::kCmyk;
      codec.out_color_space = JCS_CMYK;
      break;
    default:
      return BitmapError(path,
                         fmt::format("is a JPEG of {} channels, expected 1 (gray), 3 (RGB) or "
                                     "4 (CMYK)",
                                     codec.num_components));
  }
  if (codec.arith_code == 0) {
    const auto pixels = static_cast<uint64_t>(bitmap.size.area());
    auto suffices = CheckBytesSuffice(path, bytes.size(), pixels, kMaxPxPerByte);
    if (!suffices) return suffices.errors();
  }
  ReadMarkers(codec, bitmap);
  if (job.profile != nullptr) {
    auto embedded = EmbedProfile(bitmap, Bytes(job.profile, job.profile + job.profile_bytes), path);
    if (!embedded) return embedded.errors();
  }
  auto memory = AllocateCodes(bitmap, path);
  if (!memory) return memory.errors();
  if (!ReadRows(&job, bitmap.codes.data(), static_cast<size_t>(bitmap.row_bytes()))) {
    return DamagedError(path, "JPEG", job.words);
  }
  if (bitmap.model == ColourModel::kCmyk && codec.saw_Adobe_marker) {
    // Files with this marker store 255 for no ink.
    for (uint8_t& code : bitmap.codes) code = static_cast<uint8_t>(255 - code);
  }
  return bitmap;
}

}  // namespace wheatpaste

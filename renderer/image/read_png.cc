// PNG by libspng.
#include <memory>
#include <string_view>

#include <spng.h>

#include <fmt/format.h>

#include "base/units.h"
#include "image/exif.h"
#include "image/read_bitmap.h"
#include "image/read_formats.h"

namespace wheatpaste {
namespace {

// Chunks other than pixels, unfolded, one alone and all together: stops a profile or a text that
// unfolds to gigabytes.
constexpr size_t kMaxChunkBytes = static_cast<size_t>(kMaxProfileBytes);
constexpr size_t kMaxChunksBytes = kMaxChunkBytes * 3 / 2;
// DEFLATE: at best 258 bytes for two bits (RFC 1951, 3.2.5).
constexpr uint64_t kMaxDeflateRatio = 1032;
constexpr uint8_t kGray = 0, kGrayAlpha = 4, kRgbAlpha = 6;

struct FreeContext {
  void operator()(spng_ctx* context) const { spng_ctx_free(context); }
};
using Context = std::unique_ptr<spng_ctx, FreeContext>;

// What the chunk list says, read without unfolding anything.
struct ChunkFacts {
  uint64_t pixel_bytes = 0;  // in all IDAT chunks
  bool has_profile = false;
  bool has_transparency = false;
  bool has_end = false;  // whole, with its checksum, which libspng does not ask for
};

ChunkFacts ListChunks(const Bytes& bytes) {
  constexpr size_t kSignature = 8, kAround = 12;
  ChunkFacts facts;
  for (size_t at = kSignature; at + kAround <= bytes.size();) {
    const size_t length = size_t{bytes[at]} << 24 | size_t{bytes[at + 1]} << 16 |
                          size_t{bytes[at + 2]} << 8 | bytes[at + 3];
    const std::string_view type(reinterpret_cast<const char*>(&bytes[at + 4]), 4);
    if (type == "IDAT") facts.pixel_bytes += length;
    if (type == "iCCP") facts.has_profile = true;
    if (type == "tRNS") facts.has_transparency = true;
    at += kAround + length;
    if (type == "IEND" && at <= bytes.size()) facts.has_end = true;
  }
  return facts;
}

// Sets model, alpha and depth, and returns the layout to ask libspng for.
int ChooseLayout(const spng_ihdr& header, bool has_transparency, Bitmap& bitmap) {
  const uint8_t kind = header.color_type;
  const bool gray = kind == kGray || kind == kGrayAlpha;
  bitmap.model = gray ? ColourModel::kGray : ColourModel::kRgb;
  bitmap.has_alpha = kind == kGrayAlpha || kind == kRgbAlpha || has_transparency;
  bitmap.depth = header.bit_depth == 16 ? 16 : 8;
  if (kind == kGrayAlpha) return SPNG_FMT_PNG;
  if (bitmap.depth == 16) {
    if (!has_transparency) return SPNG_FMT_PNG;
    return gray ? SPNG_FMT_GA16 : SPNG_FMT_RGBA16;
  }
  if (gray) return has_transparency ? SPNG_FMT_GA8 : SPNG_FMT_G8;
  return bitmap.has_alpha ? SPNG_FMT_RGBA8 : SPNG_FMT_RGB8;
}

Status ReadChunks(spng_ctx* context, const ChunkFacts& facts, const Placed<std::string>& path,
                  Bitmap& bitmap) {
  spng_phys density{};
  constexpr uint8_t kMetre = 1;
  if (spng_get_phys(context, &density) == 0 && density.unit_specifier == kMetre) {
    bitmap.ppi = density.ppu_x * kMmPerInch / 1000;
  }
  spng_exif exif{};
  if (spng_get_exif(context, &exif) == 0) {
    const ExifContent content = ReadExif(reinterpret_cast<const uint8_t*>(exif.data), exif.length);
    bitmap.exif = content.facts;
    if (bitmap.ppi == 0) bitmap.ppi = content.ppi;
  }
  spng_iccp profile{};
  if (spng_get_iccp(context, &profile) == 0) {
    return EmbedProfile(bitmap, Bytes(profile.profile, profile.profile + profile.profile_len),
                        path);
  }
  if (facts.has_profile) {
    return BitmapError(path, fmt::format("its ICC profile is damaged, or unfolds to more than {} "
                                         "bytes",
                                         kMaxChunkBytes));
  }
  uint8_t intent = 0;
  if (bitmap.model == ColourModel::kRgb && spng_get_srgb(context, &intent) == 0) {
    bitmap.profile = Profile::Srgb();
  }
  return Done{};
}

}  // namespace

Result<Bitmap> DecodePng(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px) {
  const auto damaged = [&](int code) {
    if (code != SPNG_ECHUNK_LIMITS) return DamagedError(path, "PNG", spng_strerror(code));
    return BitmapError(path, fmt::format("its ICC profile and texts unfold to more than {} bytes",
                                         kMaxChunkBytes));
  };
  const Context context(spng_ctx_new(0));
  if (!context) return BitmapError(path, "cannot be read: no memory left");
  spng_set_crc_action(context.get(), SPNG_CRC_ERROR, SPNG_CRC_ERROR);
  spng_set_chunk_limits(context.get(), kMaxChunkBytes, kMaxChunksBytes);
  if (const int code = spng_set_png_buffer(context.get(), bytes.data(), bytes.size())) {
    return damaged(code);
  }
  spng_ihdr header{};
  if (const int code = spng_get_ihdr(context.get(), &header)) return damaged(code);
  if (auto size = CheckBitmapSize(path, max_px, header.width, header.height); !size)
    return size.errors();

  const ChunkFacts facts = ListChunks(bytes);
  if (!facts.has_end) return DamagedError(path, "PNG", "its end is missing");
  Bitmap bitmap;
  bitmap.size = {header.width, header.height};
  const int layout = ChooseLayout(header, facts.has_transparency, bitmap);
  size_t stored_bytes = 0;
  int code = spng_decoded_image_size(context.get(), SPNG_FMT_RAW, &stored_bytes);
  if (code != 0) return damaged(code);
  auto suffices = CheckBytesSuffice(path, facts.pixel_bytes, stored_bytes, kMaxDeflateRatio);
  if (!suffices) return suffices.errors();
  size_t layout_bytes = 0;
  code = spng_decoded_image_size(context.get(), layout, &layout_bytes);
  if (code != 0) return damaged(code);
  if (auto memory = AllocateCodes(bitmap, path); !memory) return memory.errors();
  WHEATPASTE_CHECK_OP(layout_bytes, ==, bitmap.codes.size());

  const int flags = facts.has_transparency ? SPNG_DECODE_TRNS : 0;
  code = spng_decode_image(context.get(), bitmap.codes.data(), bitmap.codes.size(), layout, flags);
  if (code != 0) return damaged(code);
  // Reads on to the end chunk, so that a file without it is found out.
  if ((code = spng_decode_chunks(context.get())) != 0) return damaged(code);
  if (auto chunks = ReadChunks(context.get(), facts, path, bitmap); !chunks) {
    return chunks.errors();
  }
  return bitmap;
}

}  // namespace wheatpaste

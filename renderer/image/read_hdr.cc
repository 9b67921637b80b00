// Radiance pictures by stb_image.
#include "image/read_hdr.h"

#include <algorithm>
#include <cstring>
#include <memory>
#include <string_view>

// Built here and nowhere else, its Radiance reader alone.
#define STB_IMAGE_IMPLEMENTATION
#define STB_IMAGE_STATIC
#define STBI_ONLY_HDR
#define STBI_NO_STDIO
#include <stb_image.h>

#include "image/read_formats.h"

namespace wheatpaste {
namespace {

// The bytes as the library asks for them. Beyond their end it is fed kFiller for ever: on zeros, its own answer to an end,
// version 2.27 turns in a circle; of these every two make up to 127 values of a row, so that it comes to an end.
struct Source {
  static constexpr int kFiller = 0xFF;
  const Bytes& bytes;
  size_t at = 0;
  bool ended_early = false;
};

int Read(void* user, char* data, int size) {
  Source& source = *static_cast<Source*>(user);
  const size_t wanted = static_cast<size_t>(size);
  const size_t count = std::min(wanted, source.bytes.size() - source.at);
  if (count > 0) std::memcpy(data, source.bytes.data() + source.at, count);
  source.at += count;
  // It asks ahead for a whole buffer, which may be less; what it asks for once nothing is left it is in need of.
  if (count > 0) return static_cast<int>(count);
  std::memset(data, Source::kFiller, wanted);
  source.ended_early = true;
  return size;
}

constexpr char kEndsEarly[] = "it ends early";

void Skip(void*, int) {}

int AtEnd(void* user) { return static_cast<Source*>(user)->ended_early ? 1 : 0; }

constexpr stbi_io_callbacks kCallbacks{Read, Skip, AtEnd};

struct FreePixels {
  void operator()(float* pixels) const { stbi_image_free(pixels); }
};

// Values that one byte of a packed row makes at most: a run of 127 takes two.
constexpr uint64_t kLargestRatio = 64;

}  // namespace

Result<Image<SceneLinear>> DecodeHdr(const Bytes& bytes, const Placed<std::string>& path) {
  const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
  if (!text.starts_with("#?")) {
    return BitmapError(path, "is no Radiance picture, expected an .hdr file");
  }
  if (bytes.size() > static_cast<size_t>(kMaxHdrBytes)) {
    return BitmapError(path, fmt::format("is larger than {} bytes", kMaxHdrBytes));
  }
  int width = 0, height = 0, planes = 0;
  if (!stbi_info_from_memory(bytes.data(), static_cast<int>(bytes.size()), &width, &height,
                             &planes)) {
    return DamagedError(path, "Radiance picture",
                        "expected FORMAT=32-bit_rle_rgbe, and a line -Y HEIGHT +X WIDTH");
  }
  const SizePx size{std::max(width, 0), std::max(height, 0)};
  const auto checked = CheckBitmapSize(path, kMaxHdrPx, static_cast<uint64_t>(size.width),
                                       static_cast<uint64_t>(size.height));
  if (!checked) return checked.errors();
  const auto suffice =
      CheckBytesSuffice(path, bytes.size(), static_cast<uint64_t>(4 * size.area()), kLargestRatio);
  if (!suffice) return suffice.errors();

  Source source{bytes};
  const std::unique_ptr<float, FreePixels> pixels(stbi_loadf_from_callbacks(
      &kCallbacks, &source, &width, &height, &planes, SceneLinear::kPlanes));
  if (source.ended_early) return DamagedError(path, "Radiance picture", kEndsEarly);
  if (!pixels) return DamagedError(path, "Radiance picture", "a row does not unpack");
  Image<SceneLinear> image(size);
  const float* from = pixels.get();
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      for (int plane = 0; plane < SceneLinear::kPlanes; ++plane) {
        const float light = *from++;
        if (light > kMaxHdrLight) {
          return BitmapError(path, fmt::format("holds light of {:g} at pixel {}, {}; expected at "
                                               "most {:g}",
                                               light, x, y, kMaxHdrLight));
        }
        image.row(plane, y)[x] = light;
      }
    }
  }
  return image;
}

Result<Image<SceneLinear>> ReadHdr(const Placed<std::string>& path) {
  const Result<Bytes> bytes = ReadWholeFile(path, kMaxHdrBytes);
  if (!bytes.ok()) return bytes.errors();
  return DecodeHdr(*bytes, path);
}

}  // namespace wheatpaste

// WebP by libwebp, with its container by libwebpdemux.
#include <memory>

#include <webp/decode.h>
#include <webp/demux.h>

#include "image/exif.h"
#include "image/read_formats.h"

namespace wheatpaste {
namespace {

struct DeleteDemuxer {
  void operator()(WebPDemuxer* demuxer) const { WebPDemuxDelete(demuxer); }
};

// The payload of the first chunk named `name`, empty where there is none.
Bytes ChunkOf(const WebPDemuxer* demuxer, const char* name) {
  Bytes payload;
  WebPChunkIterator chunk;
  if (WebPDemuxGetChunk(demuxer, name, 1, &chunk)) {
    payload.assign(chunk.chunk.bytes, chunk.chunk.bytes + chunk.chunk.size);
  }
  WebPDemuxReleaseChunkIterator(&chunk);
  return payload;
}

}  // namespace

Result<Bitmap> DecodeWebp(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px) {
  WebPBitstreamFeatures features;
  if (WebPGetFeatures(bytes.data(), bytes.size(), &features) != VP8_STATUS_OK) {
    return DamagedError(path, "WebP", "no picture header");
  }
  if (features.has_animation) {
    return BitmapError(path, "is an animated WebP, expected a still picture");
  }
  auto size = CheckBitmapSize(path, max_px, static_cast<uint64_t>(features.width),
                              static_cast<uint64_t>(features.height));
  if (!size) return size.errors();
  const WebPData data{bytes.data(), bytes.size()};
  const std::unique_ptr<WebPDemuxer, DeleteDemuxer> demuxer(WebPDemux(&data));
  if (!demuxer) return DamagedError(path, "WebP", "its list of chunks is not whole");

  Bitmap bitmap;
  bitmap.size = {features.width, features.height};
  bitmap.has_alpha = features.has_alpha != 0;
  if (WebPDemuxGetI(demuxer.get(), WEBP_FF_FORMAT_FLAGS) & ICCP_FLAG) {
    auto embedded = EmbedProfile(bitmap, ChunkOf(demuxer.get(), "ICCP"), path);
    if (!embedded) return embedded.errors();
  }
  const Bytes exif = ChunkOf(demuxer.get(), "EXIF");
  const ExifContent content = ReadExif(exif.data(), exif.size());
  bitmap.exif = content.facts;
  bitmap.ppi = content.ppi;

  if (auto memory = AllocateCodes(bitmap, path); !memory) return memory.errors();
  const auto decode = bitmap.has_alpha ? WebPDecodeRGBAInto : WebPDecodeRGBInto;
  if (decode(bytes.data(), bytes.size(), bitmap.codes.data(), bitmap.codes.size(),
             static_cast<int>(bitmap.row_bytes())) == nullptr) {
    return DamagedError(path, "WebP", "its pixels cannot be decoded");
  }
  return bitmap;
}

}  // namespace wheatpaste

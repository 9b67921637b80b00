#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "artwork/artwork.h"
#include "artwork/bitmap_artwork.h"
#include "artwork/place_error.h"
#include "artwork/read_pdf.h"
#include "artwork/scan_svg.h"
#include "artwork/svg_artwork.h"

namespace wheatpaste {
namespace {

using namespace std::string_view_literals;

constexpr size_t kPdfHeaderBytes = 1024;  // where %PDF- may start (PDF 1.7, appendix H.3, note 13)

// The first bytes of PNG, JPEG, little- and big-endian TIFF and BigTIFF, WebP.
bool LooksLikeBitmap(std::string_view text) {
  constexpr std::array kStarts = {"\x89PNG\r\n"sv, "\xFF\xD8\xFF"sv, "II*\0"sv,
                                  "MM\0*"sv,       "II+\0"sv,        "MM\0+"sv};
  for (const std::string_view start : kStarts) {
    if (text.starts_with(start)) return true;
  }
  return text.starts_with("RIFF") && text.substr(0, 12).ends_with("WEBP");
}

}  // namespace

Result<Image<LinearPremul>> Artwork::RasterisePart(SizePx size, const RectPx& part) const {
  Image<LinearPremul> raster({part.width(), part.height()});
  auto made = RasteriseRows(size, part, [&](int64_t y0, Image<LinearPremul> rows) {
    raster.Put(y0 - part.y0, rows.view());
  });
  if (!made) return made.errors();
  return raster;
}

Result<Image<LinearPremul>> Artwork::Rasterise(SizePx size) const {
  return RasterisePart(size, WholeOf(size));
}

Result<std::shared_ptr<const Artwork>> ReadArtwork(const Placed<std::string>& path) {
  return ReadArtwork(path, Recolouring{});
}

Result<std::shared_ptr<const Artwork>> ReadArtwork(const Placed<std::string>& path,
                                                   const Recolouring& recolouring,
                                                   const AssumedInks* press) {
  auto bytes = ReadWholeFile(path, kMaxArtworkBytes);
  if (!bytes) return bytes.errors();
  return DecodeArtwork(std::move(*bytes), path, recolouring, press);
}

Result<std::shared_ptr<const Artwork>> DecodeArtwork(Bytes bytes, const Placed<std::string>& path,
                                                     const Recolouring& recolouring,
                                                     const AssumedInks* press) {
  const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
  if (text.empty()) return ArtworkError(path, "is empty");
  if (text.size() > static_cast<size_t>(kMaxArtworkBytes)) {
    return ArtworkError(path, "is too large, expected at most 256 MiB");
  }
  if (LooksLikeBitmap(text)) {
    if (!recolouring.empty() && recolouring.required) {
      return ArtworkError(path,
                          "is a bitmap; expected vector artwork (SVG or PDF), whose colours can "
                          "be exchanged");
    }
    return MakeBitmapArtwork(bytes, path, press);
  }
  if (text.substr(0, kPdfHeaderBytes).find("%PDF-") != std::string_view::npos) {
    auto svg = SvgFromPdf(bytes, path);
    if (!svg) return svg.errors();
    // The SVG holds everything; it refers to no file, so it gets no folder to look in.
    return MakeSvgArtwork(std::move(*svg), path, "PDF, its colours turned to sRGB", "",
                          recolouring);
  }
  if (text.starts_with("\x1F\x8B"sv)) {
    return ArtworkError(path, "is packed with gzip; expected plain SVG: unpack it first");
  }
  if (text.starts_with("\xFF\xFE"sv) || text.starts_with("\xFE\xFF"sv)) {
    return ArtworkError(path, "is written in UTF-16; expected SVG in UTF-8");
  }
  if (LooksLikeSvg(text)) {
    return MakeSvgArtwork(std::move(bytes), path, "sRGB", path.value, recolouring);
  }
  return ArtworkError(path, "expected SVG, PDF, PNG, JPEG, TIFF or WebP; its first bytes are \"" +
                                PrintableText(text.substr(0, 16)) + "\"");
}

}  // namespace wheatpaste

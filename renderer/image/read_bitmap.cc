#include "image/read_bitmap.h"

#include <algorithm>
#include <new>
#include <string_view>

#include <fmt/format.h>

#include "image/orient.h"
#include "image/read_formats.h"

namespace wheatpaste {
namespace {

using std::literals::string_view_literals::operator""sv;

std::string SubjectOf(const Placed<std::string>& path) {
  if (path.key.empty()) return "";
  return fmt::format("{} = \"{}\"", path.key, PrintableText(path.value));
}

Place PlaceOf(const Placed<std::string>& path) {
  return path.key.empty() ? Place{PrintableText(path.value)} : path.place;
}

// What a file begins with, for those that are no picture we read.
std::string NameOfBeginning(std::string_view head) {
  struct Known {
    std::string_view magic;
    const char* name;
  };
  static constexpr Known kKnown[] = {
      {"GIF8"sv, "a GIF picture"},
      {"BM"sv, "a BMP picture"},
      {"%PDF"sv, "a PDF document"},
      {"<svg"sv, "an SVG drawing"},
      {"<?xml"sv, "an XML document, such as an SVG drawing"},
      {"\0\0\0\x0cJXL "sv, "a JPEG XL picture"},
      {"\xff\x0a"sv, "a JPEG XL picture"},
      {"\0\0\0\x0cjP  "sv, "a JPEG 2000 picture"},
      {"#?RADIANCE"sv, "a Radiance HDR picture"},
      {"v/1\x01"sv, "an OpenEXR picture"},
      {"%!PS"sv, "a PostScript document"},
      {"PK\x03\x04"sv, "a zip archive"},
      {"\x1f\x8b"sv, "a gzip archive"},
      {"RIFF"sv, "a RIFF file that is not WebP"},
  };
  for (const Known& known : kKnown) {
    if (head.starts_with(known.magic)) return known.name;
  }
  if (head.size() >= 12 && head.substr(4, 4) == "ftyp"sv) {
    return "an ISO media file, such as HEIF or AVIF";
  }
  const bool text = std::all_of(head.begin(), head.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0x20 ? byte != 0x7f : byte == '\n' || byte == '\r' || byte == '\t';
  });
  return text ? "a text" : "of no known kind";
}

}  // namespace

Error BitmapError(const Placed<std::string>& path, const std::string& message) {
  return {PlaceOf(path), SubjectOf(path), message};
}

Error DamagedError(const Placed<std::string>& path, const char* format, const std::string& words) {
  return BitmapError(
      path, fmt::format("this {} is cut short or damaged ({})", format, PrintableText(words)));
}

Status CheckBitmapSize(const Placed<std::string>& path, int64_t max_px, uint64_t width,
                       uint64_t height) {
  constexpr auto kSide = static_cast<uint64_t>(kMaxBitmapSidePx);
  const bool fits = width > 0 && height > 0 && width <= kSide && height <= kSide &&
                    width * height <= static_cast<uint64_t>(max_px);
  if (fits) return Done{};
  return BitmapError(path, fmt::format("is {} x {} px, expected 1 to {} px a side and at most {} "
                                       "pixels",
                                       width, height, kSide, max_px));
}

Status CheckBytesSuffice(const Placed<std::string>& path, uint64_t packed_bytes,
                         uint64_t picture_bytes, uint64_t largest_ratio) {
  // One more, as the last byte may be used in part.
  if ((packed_bytes + 1) * largest_ratio >= picture_bytes) return Done{};
  return BitmapError(path, fmt::format("is cut short or damaged: {} bytes of coded picture cannot "
                                       "unfold to the {} bytes its header promises",
                                       packed_bytes, picture_bytes));
}

Status EmbedProfile(Bitmap& bitmap, Bytes profile, const Placed<std::string>& path) {
  const std::string subject = SubjectOf(path);
  auto parsed = Profile::FromBytes(std::move(profile), PlaceOf(path),
                                   subject + (subject.empty() ? "" : ": ") + "its ICC profile");
  if (!parsed) return std::move(parsed).errors();
  if (parsed->model() != bitmap.model) {
    return BitmapError(path,
                       fmt::format("its ICC profile \"{}\" is for {}, expected one for {} like "
                                   "the picture itself",
                                   PrintableText(parsed->description()), NameOf(parsed->model()),
                                   NameOf(bitmap.model)));
  }
  bitmap.profile = std::move(*parsed);
  return Done{};
}

Status AllocateCodes(Bitmap& bitmap, const Placed<std::string>& path) {
  const int64_t size = bitmap.row_bytes() * bitmap.size.height;
  try {
    bitmap.codes.resize(static_cast<size_t>(size));
  } catch (const std::bad_alloc&) {
    return BitmapError(path, fmt::format("needs {} bytes of memory, more than there are", size));
  }
  return Done{};
}

Result<Bitmap> DecodeBitmap(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px) {
  const std::string_view head(reinterpret_cast<const char*>(bytes.data()),
                              std::min<size_t>(bytes.size(), 64));
  if (head.empty()) {
    return BitmapError(path, "is empty, expected a JPEG, PNG, TIFF or WebP picture");
  }
  Result<Bitmap> bitmap = [&]() -> Result<Bitmap> {
    if (head.starts_with("\xff\xd8\xff"sv)) return DecodeJpeg(bytes, path, max_px);
    if (head.starts_with("\x89PNG\r\n\x1a\n"sv)) return DecodePng(bytes, path, max_px);
    for (const auto magic : {"II*\0"sv, "MM\0*"sv, "II+\0"sv, "MM\0+"sv}) {
      if (head.starts_with(magic)) return DecodeTiff(bytes, path, max_px);
    }
    if (head.starts_with("RIFF"sv) && head.substr(0, 12).ends_with("WEBP"sv)) {
      return DecodeWebp(bytes, path, max_px);
    }
    return BitmapError(path, fmt::format("is {}, expected a JPEG, PNG, TIFF or WebP picture",
                                         NameOfBeginning(head)));
  }();
  if (bitmap) TurnUpright(*bitmap);
  return bitmap;
}

Result<Bitmap> ReadBitmap(const Placed<std::string>& path) {
  const auto bytes = ReadWholeFile(path, kMaxBitmapBytes);
  if (!bytes) return bytes.errors();
  return DecodeBitmap(*bytes, path);
}

}  // namespace wheatpaste

// TIFF by libtiff: what the first directory says, checked before any pixel is read.
#include "image/read_tiff.h"

#include <cstring>
#include <new>

#include <fmt/format.h>

#include "base/units.h"
#include "image/exif.h"
#include "image/read_bitmap.h"
#include "image/read_formats.h"

namespace wheatpaste {
namespace {

constexpr int kMaxSamples = 32;
// A tile is held whole beside the picture.
constexpr uint64_t kMaxTileBytes = uint64_t{256} << 20;

// The largest growth of one coded byte; 0 where the coding has no useful bound.
uint64_t LargestRatio(uint16_t compression) {
  switch (compression) {
    case COMPRESSION_NONE:
      return 1;
    case COMPRESSION_PACKBITS:
      return 64;  // two bytes stand for at most 128 (TIFF 6.0, section 9)
    case COMPRESSION_LZW:
      return 2731;  // 12 bits stand for at most 4096 bytes (section 13)
    case COMPRESSION_DEFLATE:
    case COMPRESSION_ADOBE_DEFLATE:
      return 1032;  // 258 bytes for two bits (RFC 1951, 3.2.5)
    default:
      return 0;
  }
}

template <typename Number>
Number FieldOf(TIFF* tiff, uint32_t tag, Number otherwise) {
  Number value{};
  return TIFFGetFieldDefaulted(tiff, tag, &value) ? value : otherwise;
}

const char* NameOfSampleFormat(uint16_t format) {
  switch (format) {
    case SAMPLEFORMAT_IEEEFP:
      return "floating-point";
    case SAMPLEFORMAT_INT:
      return "signed";
    case SAMPLEFORMAT_COMPLEXINT:
    case SAMPLEFORMAT_COMPLEXIEEEFP:
      return "complex";
    default:
      return "unknown";
  }
}

// Which kind of colour, and which model it gives. errors  kinds that hold no colour we can name.
Status ReadKind(TIFF* tiff, const Placed<std::string>& path, TiffLayout& layout, Bitmap& bitmap) {
  const auto photometric = FieldOf<uint16_t>(tiff, TIFFTAG_PHOTOMETRIC, 0xFFFF);
  const auto compression = FieldOf<uint16_t>(tiff, TIFFTAG_COMPRESSION, COMPRESSION_NONE);
  const auto set = [&](TiffKind kind, ColourModel model) -> Status {
    layout.kind = kind;
    bitmap.model = model;
    return Done{};
  };
  switch (photometric) {
    case PHOTOMETRIC_MINISBLACK:
      return set(TiffKind::kGray, ColourModel::kGray);
    case PHOTOMETRIC_MINISWHITE:
      return set(TiffKind::kGrayFromWhite, ColourModel::kGray);
    case PHOTOMETRIC_PALETTE:
      return set(TiffKind::kPalette, ColourModel::kRgb);
    case PHOTOMETRIC_RGB:
      return set(TiffKind::kRgb, ColourModel::kRgb);
    case PHOTOMETRIC_CIELAB:
      return set(TiffKind::kCieLab, ColourModel::kLab);
    case PHOTOMETRIC_ICCLAB:
      return set(TiffKind::kIccLab, ColourModel::kLab);
    case PHOTOMETRIC_YCBCR:
      if (compression != COMPRESSION_JPEG) break;
      TIFFSetField(tiff, TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
      return set(TiffKind::kRgb, ColourModel::kRgb);
    case PHOTOMETRIC_SEPARATED:
      if (FieldOf<uint16_t>(tiff, TIFFTAG_INKSET, INKSET_CMYK) != INKSET_CMYK) {
        return BitmapError(path,
                           "is a TIFF of other inks than CMYK, expected gray, RGB, CMYK or Lab");
      }
      return set(TiffKind::kCmyk, ColourModel::kCmyk);
    default:
      break;
  }
  return BitmapError(path, fmt::format("is a TIFF of colour kind {} (photometric interpretation), "
                                       "expected gray, palette, RGB, CMYK or Lab",
                                       photometric));
}

Status ReadSamples(TIFF* tiff, const Placed<std::string>& path, TiffLayout& layout,
                   Bitmap& bitmap) {
  layout.bits = FieldOf<uint16_t>(tiff, TIFFTAG_BITSPERSAMPLE, 1);
  layout.samples = FieldOf<uint16_t>(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  layout.separate =
      FieldOf<uint16_t>(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG) == PLANARCONFIG_SEPARATE;
  const auto format = FieldOf<uint16_t>(tiff, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_UINT);
  const bool lab = bitmap.model == ColourModel::kLab;
  if (format != SAMPLEFORMAT_UINT && format != SAMPLEFORMAT_VOID &&
      !(lab && format == SAMPLEFORMAT_INT)) {
    return BitmapError(path, fmt::format("is a TIFF of {} samples, expected unsigned whole numbers",
                                         NameOfSampleFormat(format)));
  }
  const bool narrow = layout.bits == 1 || layout.bits == 2 || layout.bits == 4;
  if (layout.bits != 8 && !(layout.bits == 16 && layout.kind != TiffKind::kPalette) &&
      !(narrow && !lab)) {
    return BitmapError(
        path, fmt::format("is a TIFF of {} bits a sample, expected 1, 2, 4, 8 or 16", layout.bits));
  }
  if (layout.samples < layout.colour_samples() || layout.samples > kMaxSamples) {
    return BitmapError(path, fmt::format("is a TIFF of {} samples a pixel, expected {} to {}",
                                         layout.samples, layout.colour_samples(), kMaxSamples));
  }
  bitmap.depth = layout.bits == 16 ? 16 : 8;
  uint16_t extras = 0;
  uint16_t* kinds = nullptr;
  if (TIFFGetField(tiff, TIFFTAG_EXTRASAMPLES, &extras, &kinds)) {
    // Extra samples without a stated meaning are left out: they may be a mask, a spot ink,
    // anything.
    for (int i = 0; i < extras && layout.alpha_at < 0; ++i) {
      if (kinds[i] != EXTRASAMPLE_ASSOCALPHA && kinds[i] != EXTRASAMPLE_UNASSALPHA) continue;
      if (layout.samples - extras + i < layout.colour_samples()) continue;
      layout.alpha_at = layout.samples - extras + i;
      bitmap.has_alpha = true;
      bitmap.alpha_premultiplied = kinds[i] == EXTRASAMPLE_ASSOCALPHA;
    }
  }
  return Done{};
}

Status ReadPalette(TIFF* tiff, const Placed<std::string>& path, TiffLayout& layout) {
  uint16_t *red = nullptr, *green = nullptr, *blue = nullptr;
  if (!TIFFGetField(tiff, TIFFTAG_COLORMAP, &red, &green, &blue)) {
    return BitmapError(path, "is a palette TIFF without its palette");
  }
  const int count = 1 << layout.bits;
  bool wide = false;
  for (int i = 0; i < count; ++i) wide = wide || red[i] > 255 || green[i] > 255 || blue[i] > 255;
  layout.palette.resize(static_cast<size_t>(count) * 3);
  for (int i = 0; i < count; ++i) {
    const uint16_t entry[] = {red[i], green[i], blue[i]};
    for (int k = 0; k < 3; ++k) {
      // Some old writers stored 8-bit values; a palette of nothing but near-black is not meant.
      const int code = wide ? (entry[k] + 128) / 257 : entry[k];
      layout.palette[static_cast<size_t>(i * 3 + k)] = static_cast<uint8_t>(code);
    }
  }
  return Done{};
}

// errors  strips or tiles that lie outside the file, or that cannot hold what the header promises.
Status CheckExtents(TIFF* tiff, const TiffSource& source, const Placed<std::string>& path,
                    const TiffLayout& layout, const Bitmap& bitmap) {
  const auto compression = FieldOf<uint16_t>(tiff, TIFFTAG_COMPRESSION, COMPRESSION_NONE);
  if (!TIFFIsCODECConfigured(compression)) {
    return BitmapError(
        path, fmt::format("is a TIFF of compression {}, which is not supported", compression));
  }
  const bool tiled = TIFFIsTiled(tiff) != 0;
  if (tiled && TIFFTileSize64(tiff) > kMaxTileBytes) {
    return BitmapError(path, fmt::format("is a TIFF with tiles of {} bytes, expected at most {}",
                                         TIFFTileSize64(tiff), kMaxTileBytes));
  }
  const uint32_t count = tiled ? TIFFNumberOfTiles(tiff) : TIFFNumberOfStrips(tiff);
  uint64_t packed = 0;
  for (uint32_t i = 0; i < count; ++i) {
    const uint64_t offset = TIFFGetStrileOffset(tiff, i);
    const uint64_t bytes = TIFFGetStrileByteCount(tiff, i);
    if (bytes == 0 || offset > source.size || bytes > source.size - offset) {
      return BitmapError(path, fmt::format("is cut short or damaged: {} {} of {} lies outside the "
                                           "file",
                                           tiled ? "tile" : "strip", i + 1, count));
    }
    packed += bytes;
  }
  const uint64_t ratio = LargestRatio(compression);
  if (ratio == 0) return Done{};
  const auto row_bits = static_cast<uint64_t>(bitmap.size.width * layout.samples * layout.bits);
  const uint64_t picture = (row_bits + 7) / 8 * static_cast<uint64_t>(bitmap.size.height);
  return CheckBytesSuffice(path, packed, picture, ratio);
}

double DensityOf(TIFF* tiff) {
  const auto density = FieldOf<float>(tiff, TIFFTAG_XRESOLUTION, 0);
  const auto unit = FieldOf<uint16_t>(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
  if (!(density > 0) || density > 1e6f) return 0;
  if (unit == RESUNIT_CENTIMETER) return density * kMmPerInch / 10;
  return unit == RESUNIT_INCH ? density : 0;
}

// The last thing read, as it leaves the picture's own directory.
double FocalLengthOf(TIFF* tiff) {
  toff_t offset = 0;
  uint16_t focal = 0;
  if (!TIFFGetField(tiff, TIFFTAG_EXIFIFD, &offset)) return 0;
  if (!TIFFReadEXIFDirectory(tiff, offset)) return 0;
  return TIFFGetField(tiff, EXIFTAG_FOCALLENGTHIN35MMFILM, &focal) ? focal : 0;
}

}  // namespace

Result<Bitmap> DecodeTiff(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px) {
  TiffSource source{bytes.data(), bytes.size()};
  const TiffHandle tiff = OpenTiff(source);
  if (!tiff) return DamagedError(path, "TIFF", source.complaint);
  const auto width = FieldOf<uint32_t>(tiff.get(), TIFFTAG_IMAGEWIDTH, 0);
  const auto height = FieldOf<uint32_t>(tiff.get(), TIFFTAG_IMAGELENGTH, 0);
  if (auto size = CheckBitmapSize(path, max_px, width, height); !size) return size.errors();

  Bitmap bitmap;
  TiffLayout layout;
  bitmap.size = {width, height};
  if (auto kind = ReadKind(tiff.get(), path, layout, bitmap); !kind) return kind.errors();
  if (auto samples = ReadSamples(tiff.get(), path, layout, bitmap); !samples) {
    return samples.errors();
  }
  if (layout.kind == TiffKind::kPalette) {
    if (auto palette = ReadPalette(tiff.get(), path, layout); !palette) return palette.errors();
  }
  if (auto extents = CheckExtents(tiff.get(), source, path, layout, bitmap); !extents) {
    return extents.errors();
  }
  const char* description = nullptr;
  if (TIFFGetField(tiff.get(), TIFFTAG_IMAGEDESCRIPTION, &description) && description != nullptr) {
    bitmap.description.assign(description, strnlen(description, kMaxDescriptionBytes));
  }
  bitmap.ppi = DensityOf(tiff.get());
  bitmap.exif.orientation =
      OrientationFromTag(FieldOf<uint16_t>(tiff.get(), TIFFTAG_ORIENTATION, 1));
  uint32_t profile_bytes = 0;
  const uint8_t* profile = nullptr;
  if (TIFFGetField(tiff.get(), TIFFTAG_ICCPROFILE, &profile_bytes, &profile)) {
    auto embedded = EmbedProfile(bitmap, Bytes(profile, profile + profile_bytes), path);
    if (!embedded) return embedded.errors();
  }
  if (auto memory = AllocateCodes(bitmap, path); !memory) return memory.errors();
  try {
    if (!ReadTiffPixels(tiff.get(), source, layout, bitmap)) {
      return DamagedError(path, "TIFF", source.complaint);
    }
  } catch (const std::bad_alloc&) {
    return BitmapError(path, "needs more memory than there is");
  }
  bitmap.exif.focal_35mm = FocalLengthOf(tiff.get());
  return bitmap;
}

}  // namespace wheatpaste

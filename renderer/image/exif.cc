#include "image/exif.h"

#include <algorithm>
#include <memory>

#include <libexif/exif-data.h>

#include "base/units.h"

namespace wheatpaste {
namespace {

constexpr uint8_t kHeader[] = {'E', 'x', 'i', 'f', 0, 0};
// An EXIF block lives in one JPEG segment of at most 64 KiB; larger ones hold nothing we look for.
constexpr size_t kMaxExifBytes = size_t{1} << 20;

struct DataUnref {
  void operator()(ExifData* data) const { exif_data_unref(data); }
};

// The first component of an integer entry, or `otherwise`.
int64_t IntegerOf(const ExifData& data, ExifIfd ifd, ExifTag tag, int64_t otherwise) {
  ExifEntry* entry = exif_content_get_entry(data.ifd[ifd], tag);
  if (entry == nullptr || entry->data == nullptr || entry->components < 1) return otherwise;
  const ExifByteOrder order = exif_data_get_byte_order(const_cast<ExifData*>(&data));
  if (entry->format == EXIF_FORMAT_SHORT && entry->size >= 2) {
    return exif_get_short(entry->data, order);
  }
  if (entry->format == EXIF_FORMAT_LONG && entry->size >= 4) {
    return exif_get_long(entry->data, order);
  }
  return otherwise;
}

double ResolutionOf(const ExifData& data) {
  ExifEntry* entry = exif_content_get_entry(data.ifd[EXIF_IFD_0], EXIF_TAG_X_RESOLUTION);
  if (entry == nullptr || entry->format != EXIF_FORMAT_RATIONAL || entry->size < 8) return 0;
  const ExifByteOrder order = exif_data_get_byte_order(const_cast<ExifData*>(&data));
  const ExifRational value = exif_get_rational(entry->data, order);
  if (value.denominator == 0) return 0;
  const double density = static_cast<double>(value.numerator) / value.denominator;
  constexpr int64_t kInch = 2, kCentimetre = 3;
  const int64_t unit = IntegerOf(data, EXIF_IFD_0, EXIF_TAG_RESOLUTION_UNIT, kInch);
  if (unit == kCentimetre) return density * kMmPerInch / 10;
  return unit == kInch ? density : 0;
}

}  // namespace

int OrientationFromTag(int64_t value) {
  return value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
}

ExifContent ReadExif(const uint8_t* data, size_t size) {
  ExifContent content;
  // libexif looks for the header; PNG and WebP leave it out.
  Bytes block(std::begin(kHeader), std::end(kHeader));
  if (size >= sizeof kHeader && std::equal(std::begin(kHeader), std::end(kHeader), data)) {
    block.clear();
  }
  if (size == 0 || size > kMaxExifBytes) return content;
  block.insert(block.end(), data, data + size);

  const std::unique_ptr<ExifData, DataUnref> parsed(exif_data_new());
  if (!parsed) return content;
  // Otherwise libexif adds entries that the standard asks for, such as a resolution of 72.
  exif_data_unset_option(parsed.get(), EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_load_data(parsed.get(), block.data(), static_cast<unsigned>(block.size()));
  content.facts.orientation =
      OrientationFromTag(IntegerOf(*parsed, EXIF_IFD_0, EXIF_TAG_ORIENTATION, 1));
  content.facts.focal_35mm =
      static_cast<double>(IntegerOf(*parsed, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM, 0));
  content.ppi = ResolutionOf(*parsed);
  return content;
}

}  // namespace wheatpaste

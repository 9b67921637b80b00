#include "present/jpeg_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include "base/digest.h"
#include "colour/srgb.h"
#include "image/read_bitmap.h"
#include "image/resample.h"
#include "output/write_picture.h"

namespace wheatpaste {
namespace {

constexpr int kJpegDepth = 8;

Profile ProfileOf(const Bitmap& bitmap) { return bitmap.profile.value_or(Profile::Srgb()); }

bool IsJpeg(const Bytes& bytes) {
  return bytes.size() > 2 && bytes[0] == 0xff && bytes[1] == 0xd8;  // SOI, ISO/IEC 10918-1, B.1
}

// Do its codes mean what those of sRGB mean, to a quarter of a code?
bool MeansSrgb(const Profile& profile) {
  if (profile.model() != ColourModel::kRgb) return false;
  constexpr std::array<uint8_t, 5> kLevels = {0, 64, 128, 192, 255};
  std::vector<uint8_t> codes;
  for (const uint8_t r : kLevels) {
    for (const uint8_t g : kLevels) {
      for (const uint8_t b : kLevels) codes.insert(codes.end(), {r, g, b});
    }
  }
  const auto count = static_cast<int64_t>(codes.size() / 3);
  const auto light_of = [&](const Profile& of) {
    Image<SceneLinear> light({count, 1});
    WorkingFromCodes(of, kJpegDepth)
        .Convert(codes.data(), count, 3, light.row(0, 0), light.row(1, 0), light.row(2, 0));
    return light;
  };
  const Image<SceneLinear> a = light_of(profile), b = light_of(Profile::Srgb());
  for (int band = 0; band < 3; ++band) {
    for (int64_t i = 0; i < count; ++i) {
      const double apart =
          SrgbFromLinear(double{a.row(band, 0)[i]}) - SrgbFromLinear(double{b.row(band, 0)[i]});
      if (std::abs(apart) > 0.25 / 255) return false;
    }
  }
  return true;
}

// The picture's rows at another size as codes of sRGB, a band at a time.
class ReducedRows {
 public:
  ReducedRows(const Bitmap& bitmap, SizePx size)
      : bitmap_(bitmap),
        size_(size),
        light_from_codes_(ProfileOf(bitmap), bitmap.depth),
        codes_from_light_(Profile::Srgb(), kJpegDepth) {
    const auto taps = [](int64_t in, int64_t out) {
      return MakeTaps(in, 0, static_cast<double>(in), out, Kernel::kCatmullRom);
    };
    columns_ = taps(bitmap.size.width, size.width);
    rows_ = taps(bitmap.size.height, size.height);
  }

  const uint8_t* Rows(int64_t y0, int64_t y1) {
    const auto rows =
        std::span(rows_).subspan(static_cast<size_t>(y0), static_cast<size_t>(y1 - y0));
    const RectPx part = PixelsOf(columns_, rows);
    Image<SceneLinear> light({part.width(), part.height()});
    for (int64_t y = part.y0; y < part.y1; ++y) {
      const uint8_t* const codes =
          bitmap_.row(y) + part.x0 * bitmap_.channels() * (bitmap_.depth / 8);
      const int64_t to = y - part.y0;
      light_from_codes_.Convert(codes, part.width(), bitmap_.channels(), light.row(0, to),
                                light.row(1, to), light.row(2, to));
    }
    if (size_ != bitmap_.size) light = Resample(light.view(), part.x0, part.y0, columns_, rows);
    made_.resize(static_cast<size_t>((y1 - y0) * size_.width * 3));
    for (int64_t y = 0; y < y1 - y0; ++y) {
      codes_from_light_.Convert(light.row(0, y), light.row(1, y), light.row(2, y), size_.width,
                                made_.data() + y * size_.width * 3);
    }
    return made_.data();
  }

 private:
  const Bitmap& bitmap_;
  SizePx size_;
  WorkingFromCodes light_from_codes_;
  CodesFromWorking codes_from_light_;
  std::vector<TapRow> columns_, rows_;
  Bytes made_;
};

}  // namespace

SizePx Within(SizePx size, int64_t max_side_px) {
  const int64_t longer = std::max(size.width, size.height);
  if (longer <= max_side_px) return size;
  const auto reduced = [&](int64_t side) {
    return std::max<int64_t>(1, (side * max_side_px + longer / 2) / longer);
  };
  return {reduced(size.width), reduced(size.height)};
}

Result<PictureFile> PictureFile::Read(const std::string& path) {
  PictureFile file;
  const Placed<std::string> placed{path, {PrintableText(path)}, ""};
  auto bytes = ReadWholeFile(placed, kMaxBitmapBytes);
  if (!bytes) return bytes.errors();
  file.bytes_ = *std::move(bytes);
  file.sha256_ = Sha256Of(file.bytes_.data(), file.bytes_.size());
  auto bitmap = DecodeBitmap(file.bytes_, placed);
  if (!bitmap) return bitmap.errors();
  file.bitmap_ = *std::move(bitmap);
  const ColourModel model = file.bitmap_.model;
  if (model != ColourModel::kRgb && !(model == ColourModel::kCmyk && file.bitmap_.profile)) {
    return Error{placed.place, "", "expected a picture in RGB, or in CMYK with its profile"};
  }
  return file;
}

Result<PictureFile> PictureFile::Read(const std::string& folder, const JobRecord& record) {
  auto file = Read(JoinPath(folder, record.file));
  if (file && file->sha256_ != record.sha256) {
    return Error{{PrintableText(record.file)}, "", kPictureChanged};
  }
  return file;
}

JpegPicture PictureFile::Jpeg(const JpegLimits& limits) const {
  const SizePx size = Within(bitmap_.size, limits.max_side_px);
  const bool fits = size == bitmap_.size && static_cast<int64_t>(bytes_.size()) <= limits.max_bytes;
  const bool plain =
      IsJpeg(bytes_) && bitmap_.model == ColourModel::kRgb && bitmap_.exif.orientation == 1;
  if (fits && plain && !limits.always_anew &&
      (!limits.only_srgb || MeansSrgb(ProfileOf(bitmap_)))) {
    return {bytes_, size, true};
  }
  PictureFacts facts;
  facts.size = size;
  facts.quality = limits.quality;
  ReducedRows rows(bitmap_, size);
  return {MakeJpeg(facts, [&](int64_t y0, int64_t y1) { return rows.Rows(y0, y1); }), size, false};
}

Result<JpegPicture> ReadJpegPicture(const std::string& path, const JpegLimits& limits) {
  const auto file = PictureFile::Read(path);
  if (!file) return file.errors();
  return file->Jpeg(limits);
}

}  // namespace wheatpaste

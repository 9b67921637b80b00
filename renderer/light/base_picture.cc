#include "light/base_picture.h"

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;

Image<SceneLinear> Linearise(const Bitmap& photo, const Profile& profile) {
  Image<SceneLinear> light(photo.size);
  const WorkingFromCodes to_working(profile, photo.depth);
  ParallelRows(photo.size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      to_working.Convert(photo.row(y), photo.size.width, photo.channels(), light.row(0, y),
                         light.row(1, y), light.row(2, y));
    }
  });
  return light;
}

void Encode(const Image<SceneLinear>& light, BasePicture& base) {
  const CodesFromWorking to_codes(base.profile, base.depth);
  base.codes.resize(static_cast<size_t>(base.row_bytes() * base.size.height));
  ParallelRows(base.size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      to_codes.Convert(light.row(0, y), light.row(1, y), light.row(2, y), base.size.width,
                       base.codes.data() + y * base.row_bytes());
    }
  });
}

// Colour codes of an RGB bitmap, alpha left out.
Bytes CopyColours(const Bitmap& photo) {
  if (!photo.has_alpha) return photo.codes;
  Bytes codes;
  const auto bytes = static_cast<size_t>(photo.depth / 8);
  codes.reserve(static_cast<size_t>(photo.size.area()) * 3 * bytes);
  for (size_t at = 0; at < photo.codes.size(); at += 4 * bytes) {
    codes.insert(codes.end(), photo.codes.begin() + static_cast<int64_t>(at),
                 photo.codes.begin() + static_cast<int64_t>(at + 3 * bytes));
  }
  return codes;
}

Profile AssumedFor(ColourModel model) {
  if (model == ColourModel::kLab) return Profile::LabD50();
  return Profile::Srgb();
}

}  // namespace

BasePicture MakeBasePicture(const Bitmap& photo, const Frame& frame) {
  BasePicture base;
  base.size = frame.size;
  base.depth = photo.depth;
  base.profile_assumed = !photo.profile.has_value();

  // An untagged gray photo is sRGB with three equal channels.
  Bitmap widened;
  const Bitmap* source = &photo;
  if (photo.model == ColourModel::kGray && !photo.profile) {
    widened = photo;
    widened.model = ColourModel::kRgb;
    widened.has_alpha = false;
    const size_t bytes = static_cast<size_t>(photo.depth / 8);
    const size_t step = static_cast<size_t>(photo.channels()) * bytes;
    widened.codes.clear();
    widened.codes.reserve(static_cast<size_t>(photo.size.area()) * 3 * bytes);
    for (size_t at = 0; at < photo.codes.size(); at += step) {
      for (int c = 0; c < 3; ++c) {
        widened.codes.insert(widened.codes.end(), photo.codes.begin() + static_cast<int64_t>(at),
                             photo.codes.begin() + static_cast<int64_t>(at + bytes));
      }
    }
    source = &widened;
  }
  const Profile profile = photo.profile ? *photo.profile : AssumedFor(photo.model);
  const bool keeps_codes = source->model == ColourModel::kRgb && profile.can_encode();
  if (keeps_codes) base.profile = profile;

  Image<SceneLinear> light = Linearise(*source, profile);
  if (frame.is_photo()) {
    base.light = std::move(light);
    if (keeps_codes) {
      base.codes = CopyColours(*source);
    } else {
      Encode(base.light, base);
    }
    return base;
  }
  base.light = Resample(light.view(), frame.window, frame.size, Kernel::kCatmullRom);
  Encode(base.light, base);
  return base;
}

}  // namespace wheatpaste

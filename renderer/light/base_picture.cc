#include "light/base_picture.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;
// Photo px that are light at once.
constexpr int64_t kMostBandPx = int64_t{2} << 20;

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

void Encode(const Image<SceneLinear>& light, const CodesFromWorking& to_codes, BasePicture& base) {
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

// An untagged gray photo is sRGB with three equal channels.
Bitmap WidenGray(const Bitmap& photo) {
  Bitmap widened;
  widened.size = photo.size;
  widened.depth = photo.depth;
  const size_t bytes = static_cast<size_t>(photo.depth / 8);
  const size_t step = static_cast<size_t>(photo.channels()) * bytes;
  widened.codes.reserve(static_cast<size_t>(photo.size.area()) * 3 * bytes);
  for (size_t at = 0; at < photo.codes.size(); at += step) {
    for (int c = 0; c < 3; ++c) {
      widened.codes.insert(widened.codes.end(), photo.codes.begin() + static_cast<int64_t>(at),
                           photo.codes.begin() + static_cast<int64_t>(at + bytes));
    }
  }
  return widened;
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

  Bitmap widened;
  const Bitmap* source = &photo;
  if (photo.model == ColourModel::kGray && !photo.profile) {
    widened = WidenGray(photo);
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
      Encode(base.light, CodesFromWorking(base.profile, base.depth), base);
    }
    return base;
  }
  base.light = Resample(light.view(), frame.window, frame.size, kPhotoKernel);
  Encode(base.light, CodesFromWorking(base.profile, base.depth), base);
  return base;
}

BasePicture CodesOfPhoto(Bitmap photo) {
  BasePicture base;
  base.size = photo.size;
  base.depth = photo.depth;
  base.profile_assumed = !photo.profile.has_value();
  if (photo.model == ColourModel::kGray && !photo.profile) photo = WidenGray(photo);
  const Profile profile = photo.profile ? *photo.profile : AssumedFor(photo.model);
  if (photo.model == ColourModel::kRgb && profile.can_encode()) {
    base.profile = profile;
    base.codes = photo.has_alpha ? CopyColours(photo) : std::move(photo.codes);
    return base;
  }
  const WorkingFromCodes to_working(profile, photo.depth);
  const CodesFromWorking to_codes(base.profile, base.depth);
  base.codes.resize(static_cast<size_t>(base.row_bytes() * base.size.height));
  ParallelRows(photo.size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    const int64_t width = photo.size.width;
    std::vector<float> light(static_cast<size_t>(3 * width));
    float* const r = light.data();
    for (int64_t y = y0; y < y1; ++y) {
      to_working.Convert(photo.row(y), width, photo.channels(), r, r + width, r + 2 * width);
      to_codes.Convert(r, r + width, r + 2 * width, width,
                       base.codes.data() + y * base.row_bytes());
    }
  });
  return base;
}

Image<SceneLinear> LightOf(const BasePicture& base, const RectPx& rect) {
  Image<SceneLinear> light({rect.width(), rect.height()});
  const WorkingFromCodes to_working(base.profile, base.depth);
  const int64_t left = rect.x0 * 3 * (base.depth / 8);
  ParallelRows(rect.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      to_working.Convert(base.row(rect.y0 + y) + left, rect.width(), 3, light.row(0, y),
                         light.row(1, y), light.row(2, y));
    }
  });
  return light;
}

void WriteLight(const Image<SceneLinear>& light, const Image<Coverage>& chosen, const RectPx& rect,
                BasePicture& base) {
  const CodesFromWorking encode(base.profile, base.depth);
  const int64_t pixel_bytes = 3 * (base.depth / 8);
  for (int64_t y = 0; y < rect.height(); ++y) {
    const float* const wanted = chosen.row(0, y);
    uint8_t* const codes =
        base.codes.data() + (rect.y0 + y) * base.row_bytes() + rect.x0 * pixel_bytes;
    for (int64_t x = 0; x < rect.width(); ++x) {
      if (wanted[x] <= 0) continue;
      int64_t end = x + 1;
      while (end < rect.width() && wanted[end] > 0) ++end;
      encode.Convert(light.row(0, y) + x, light.row(1, y) + x, light.row(2, y) + x, end - x,
                     codes + x * pixel_bytes);
      x = end;
    }
  }
}

namespace {

// The frame's pixels are the photo's, each one to one.
bool IsCut(const BasePicture& photo, const Frame& frame) {
  const SourceWindow& w = frame.window;
  const auto whole = [](double v) { return v == std::floor(v); };
  return whole(w.x0) && whole(w.y0) && w.width == static_cast<double>(frame.size.width) &&
         w.height == static_cast<double>(frame.size.height) && w.x0 >= 0 && w.y0 >= 0 &&
         w.x0 + w.width <= static_cast<double>(photo.size.width) &&
         w.y0 + w.height <= static_cast<double>(photo.size.height);
}

}  // namespace

Image<SceneLinear> LightIn(const BasePicture& photo, const Frame& frame) {
  const SourceWindow& window = frame.window;
  if (IsCut(photo, frame)) {
    const auto x0 = static_cast<int64_t>(window.x0), y0 = static_cast<int64_t>(window.y0);
    return LightOf(photo, {x0, y0, x0 + frame.size.width, y0 + frame.size.height});
  }
  const auto across =
      MakeTaps(photo.size.width, window.x0, window.width, frame.size.width, kPhotoKernel);
  const auto down =
      MakeTaps(photo.size.height, window.y0, window.height, frame.size.height, kPhotoKernel);
  const std::span<const TapRow> columns(across), rows(down);
  Image<SceneLinear> all(frame.size);
  for (int64_t y0 = 0, y1 = 0; y0 < frame.size.height; y0 = y1) {
    RectPx needed = PixelsOf(columns, rows.subspan(static_cast<size_t>(y0), 1));
    for (y1 = y0 + 1; y1 < frame.size.height; ++y1) {
      const TapRow& next = rows[static_cast<size_t>(y1)];
      const int64_t last = next.first + static_cast<int64_t>(next.weights.size());
      if (needed.width() * (last - needed.y0) > kMostBandPx) break;
      needed.y1 = std::max(needed.y1, last);
    }
    const auto some = rows.subspan(static_cast<size_t>(y0), static_cast<size_t>(y1 - y0));
    const Image<SceneLinear> light = LightOf(photo, needed);
    Image<SceneLinear> band = Resample(light.view(), needed.x0, needed.y0, columns, some);
    if (y1 - y0 == frame.size.height) return band;
    for (int plane = 0; plane < 3; ++plane) {
      for (int64_t y = y0; y < y1; ++y) {
        std::copy_n(band.row(plane, y - y0), frame.size.width, all.row(plane, y));
      }
    }
  }
  return all;
}

BasePicture MakeBasePicture(const BasePicture& photo, const Frame& frame,
                            const CodesFromWorking& encode) {
  BasePicture base;
  base.size = frame.size;
  base.depth = photo.depth;
  base.profile = photo.profile;
  base.profile_assumed = photo.profile_assumed;
  base.light = LightIn(photo, frame);
  if (!IsCut(photo, frame)) {
    Encode(base.light, encode, base);
    return base;
  }
  const auto x0 = static_cast<int64_t>(frame.window.x0), y0 = static_cast<int64_t>(frame.window.y0);
  base.codes.reserve(static_cast<size_t>(base.row_bytes() * base.size.height));
  for (int64_t y = y0; y < y0 + base.size.height; ++y) {
    const uint8_t* const row = photo.row(y) + x0 * 3 * (photo.depth / 8);
    base.codes.insert(base.codes.end(), row, row + base.row_bytes());
  }
  return base;
}

}  // namespace wheatpaste

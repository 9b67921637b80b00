// profile.h - ICC profiles: what a file's code values mean in the working space, and back.
//
// Model   every conversion is relative colorimetric; device profiles with tables also use black-point
//         compensation. Profiles made of a matrix and curves are evaluated without clamping, so
//         colours outside the working primaries survive as negative parts.
// Source  ICC.1:2022; LittleCMS 2 does the work; tables for 8- and 16-bit codes are made from it once.
// Threads a Profile and the converters are immutable once made; any thread may use them.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/files.h"
#include "colour/colour.h"

namespace wheatpaste {

enum class ColourModel { kGray, kRgb, kCmyk, kLab };

// 1, 3, 4, 3.
int ChannelCount(ColourModel model);

// "gray", "RGB", "CMYK", "Lab".
const char* NameOf(ColourModel model);

// Profiles above this size are refused: 64 MiB (published press profiles stay below 10 MiB).
inline constexpr int64_t kMaxProfileBytes = int64_t{64} << 20;

// A parsed ICC profile, with the bytes it came from.
class Profile {
 public:
  // errors  not a profile, truncated, too large, of a class or model that describes no picture.
  //         The error names `place` and `subject`.
  static Result<Profile> FromBytes(Bytes bytes, const Place& place, const std::string& subject);

  // The built-in sRGB of LittleCMS.
  static Profile Srgb();
  // Primaries 0.680 0.320, 0.265 0.690, 0.150 0.060, white D65, the curve of sRGB; made by LittleCMS.
  // Source: SMPTE EG 432-1:2010 (primaries and white), IEC 61966-2-1 (curve).
  static Profile DisplayP3();
  // CIE Lab, D50, for Lab pictures that carry no profile (codes as ICC.1:2022 encodes them).
  static Profile LabD50();

  ColourModel model() const { return model_; }
  const std::string& description() const { return description_; }
  const Bytes& bytes() const { return bytes_; }
  // True where codes can be made as well as read (an output or display profile, not input-only).
  bool can_encode() const { return can_encode_; }

 private:
  friend class WorkingFromCodes;
  friend class CodesFromWorking;
  struct Handle;
  std::shared_ptr<const Handle> handle_;
  ColourModel model_ = ColourModel::kRgb;
  std::string description_;
  Bytes bytes_;
  bool can_encode_ = false;
};

// Code values to the working space.
class WorkingFromCodes {
 public:
  // depth  8 or 16 bits a channel.
  WorkingFromCodes(const Profile& profile, int depth);
  ~WorkingFromCodes();
  WorkingFromCodes(WorkingFromCodes&&) noexcept;
  WorkingFromCodes& operator=(WorkingFromCodes&&) noexcept;

  // codes   `count` pixels, `stride` channels apart, the profile's channels first in each; 8-bit
  //         codes as uint8_t, 16-bit codes as native uint16_t.
  // r, g, b `count` values each, linear, unclamped where the profile is matrix and curves.
  void Convert(const void* codes, int64_t count, int stride, float* r, float* g, float* b) const;

 private:
  struct Impl;
  std::unique_ptr<const Impl> impl_;
};

// The working space to code values of an RGB or CMYK profile that can_encode(). CMYK codes are 0 where there is no ink.
class CodesFromWorking {
 public:
  CodesFromWorking(const Profile& profile, int depth);
  ~CodesFromWorking();
  CodesFromWorking(CodesFromWorking&&) noexcept;
  CodesFromWorking& operator=(CodesFromWorking&&) noexcept;

  // Writes `count` pixels of interleaved codes, as many as the model has channels; values outside the range end at its limits,
  // the rest rounds to the nearest code.
  void Convert(const float* r, const float* g, const float* b, int64_t count, void* codes) const;

 private:
  struct Impl;
  std::unique_ptr<const Impl> impl_;
};

// Lab (D50) of one colour of `profile`, channels 0 to 1 (for checks and reports).
Lab LabFromDevice(const Profile& profile, std::span<const double> channels);

}  // namespace wheatpaste

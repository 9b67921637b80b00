// convert.cc - code values to the working space and back, by tables made once from a profile.

#include <algorithm>
#include <cmath>
#include <vector>

#include "colour/profile.h"
#include "colour/profile_handle.h"

namespace wheatpaste {
namespace {

constexpr int64_t kChunkPx = 1024;

float FiniteOrZero(float value) { return std::isfinite(value) ? value : 0.0f; }

cmsUInt32Number FormatOf(ColourModel model, int depth) {
  if (model == ColourModel::kLab) return depth == 8 ? TYPE_Lab_8 : TYPE_Lab_16;
  return COLORSPACE_SH(PT_ANY) | CHANNELS_SH(ChannelCount(model)) | BYTES_SH(depth / 8);
}

Matrix3 WorkingPrimaries(cmsContext context) {
  const OwnedProfile working = MakeWorkingProfile(context);
  Matrix3 xyz_from_working;
  WHEATPASTE_CHECK(ReadPrimaries(working.get(), &xyz_from_working));
  return xyz_from_working;
}

// A table is the whole conversion where primaries agree to the rounding of a stored profile.
bool IsIdentity(const Matrix3& m) {
  for (size_t i = 0; i < 3; ++i) {
    for (size_t j = 0; j < 3; ++j) {
      if (std::abs(m[i][j] - (i == j ? 1.0 : 0.0)) > 2e-4) return false;
    }
  }
  return true;
}

struct MatrixF {
  float m[3][3];
  explicit MatrixF(const Matrix3& from) {
    for (size_t i = 0; i < 3; ++i) {
      for (size_t j = 0; j < 3; ++j) m[i][j] = static_cast<float>(from[i][j]);
    }
  }
  void Apply(float* r, float* g, float* b, int64_t count) const {
    for (int64_t i = 0; i < count; ++i) {
      const float x = r[i], y = g[i], z = b[i];
      r[i] = m[0][0] * x + m[0][1] * y + m[0][2] * z;
      g[i] = m[1][0] * x + m[1][1] * y + m[1][2] * z;
      b[i] = m[2][0] * x + m[2][1] * y + m[2][2] * z;
    }
  }
};

}  // namespace

struct WorkingFromCodes::Impl {
  ColourModel model = ColourModel::kRgb;
  int depth = 8;
  int channels = 3;
  bool by_table = false;
  std::vector<float> table[3];  // linear value of each code
  bool identity = true;
  MatrixF matrix{Matrix3{}};
  LcmsContext lcms;
  OwnedProfile source, working;
  OwnedTransform transform;

  template <typename Code>
  void ConvertByTable(const Code* codes, int64_t count, int stride, float* r, float* g,
                      float* b) const {
    const float* tr = table[0].data();
    const float* tg = table[1].data();
    const float* tb = table[2].data();
    const int second = channels == 1 ? 0 : 1, third = channels == 1 ? 0 : 2;
    for (int64_t i = 0; i < count; ++i) {
      const Code* pixel = codes + i * stride;
      r[i] = tr[pixel[0]];
      g[i] = tg[pixel[second]];
      b[i] = tb[pixel[third]];
    }
    if (!identity) matrix.Apply(r, g, b, count);
  }

  template <typename Code>
  void ConvertByTransform(const Code* codes, int64_t count, int stride, float* r, float* g,
                          float* b) const {
    std::vector<Code> packed(static_cast<size_t>(kChunkPx * channels));
    std::vector<float> rgb(kChunkPx * 3);
    for (int64_t done = 0; done < count; done += kChunkPx) {
      const int64_t part = std::min(kChunkPx, count - done);
      for (int64_t i = 0; i < part; ++i) {
        std::copy_n(codes + (done + i) * stride, channels, packed.data() + i * channels);
      }
      cmsDoTransform(transform.get(), packed.data(), rgb.data(),
                     static_cast<cmsUInt32Number>(part));
      for (int64_t i = 0; i < part; ++i) {
        r[done + i] = FiniteOrZero(rgb[static_cast<size_t>(3 * i)]);
        g[done + i] = FiniteOrZero(rgb[static_cast<size_t>(3 * i + 1)]);
        b[done + i] = FiniteOrZero(rgb[static_cast<size_t>(3 * i + 2)]);
      }
    }
  }

  void MakeTransform(const Profile& profile) {
    source.reset(cmsOpenProfileFromMemTHR(lcms.context, profile.bytes().data(),
                                          static_cast<cmsUInt32Number>(profile.bytes().size())));
    working = MakeWorkingProfile(lcms.context);
    transform.reset(cmsCreateTransformTHR(lcms.context, source.get(), FormatOf(model, depth),
                                          working.get(), TYPE_RGB_FLT, INTENT_RELATIVE_COLORIMETRIC,
                                          cmsFLAGS_NOCACHE | cmsFLAGS_BLACKPOINTCOMPENSATION));
    WHEATPASTE_CHECK(transform != nullptr);
  }
};

WorkingFromCodes::WorkingFromCodes(const Profile& profile, int depth) {
  WHEATPASTE_CHECK(depth == 8 || depth == 16);
  auto impl = std::make_unique<Impl>();
  impl->model = profile.model();
  impl->depth = depth;
  impl->channels = ChannelCount(profile.model());
  const size_t codes = depth == 8 ? 256 : 65536;
  const Profile::Handle& handle = *profile.handle_;
  if (handle.matrix_and_curves) {
    impl->by_table = true;
    for (size_t c = 0; c < 3; ++c) {
      impl->table[c].resize(codes);
      for (size_t i = 0; i < codes; ++i) {
        const auto code =
            static_cast<float>(static_cast<double>(i) / static_cast<double>(codes - 1));
        impl->table[c][i] = FiniteOrZero(cmsEvalToneCurveFloat(handle.curves[c], code));
      }
    }
    Matrix3 working_from_xyz;
    WHEATPASTE_CHECK(Invert(WorkingPrimaries(impl->lcms.context), &working_from_xyz));
    const Matrix3 matrix = Multiply(working_from_xyz, handle.xyz_from_rgb);
    impl->identity = IsIdentity(matrix);
    impl->matrix = MatrixF(matrix);
  } else {
    impl->MakeTransform(profile);
    if (profile.model() == ColourModel::kGray) {
      std::vector<float> rgb(3 * codes);
      std::vector<uint8_t> ramp8(codes);
      std::vector<uint16_t> ramp16(codes);
      for (size_t i = 0; i < codes; ++i) {
        ramp8[i] = static_cast<uint8_t>(i);
        ramp16[i] = static_cast<uint16_t>(i);
      }
      const void* ramp = depth == 8 ? static_cast<const void*>(ramp8.data()) : ramp16.data();
      cmsDoTransform(impl->transform.get(), ramp, rgb.data(), static_cast<cmsUInt32Number>(codes));
      for (size_t c = 0; c < 3; ++c) {
        impl->table[c].resize(codes);
        for (size_t i = 0; i < codes; ++i) impl->table[c][i] = FiniteOrZero(rgb[3 * i + c]);
      }
      impl->by_table = true;
    }
  }
  impl_ = std::move(impl);
}

WorkingFromCodes::~WorkingFromCodes() = default;
WorkingFromCodes::WorkingFromCodes(WorkingFromCodes&&) noexcept = default;
WorkingFromCodes& WorkingFromCodes::operator=(WorkingFromCodes&&) noexcept = default;

void WorkingFromCodes::Convert(const void* codes, int64_t count, int stride, float* r, float* g,
                               float* b) const {
  const auto* codes8 = static_cast<const uint8_t*>(codes);
  const auto* codes16 = static_cast<const uint16_t*>(codes);
  if (impl_->by_table) {
    if (impl_->depth == 8) return impl_->ConvertByTable(codes8, count, stride, r, g, b);
    return impl_->ConvertByTable(codes16, count, stride, r, g, b);
  }
  if (impl_->depth == 8) return impl_->ConvertByTransform(codes8, count, stride, r, g, b);
  impl_->ConvertByTransform(codes16, count, stride, r, g, b);
}

struct CodesFromWorking::Impl {
  // The inverse of each curve, sampled evenly over the square root of the linear value, where an
  // encoding made for the eye is nearly straight; linear in between.
  int samples = 4096;  // 65 536 for 16 bits

  int depth = 8;
  int channels = 3;
  bool by_table = false;
  std::vector<float> table[3];  // samples + 2 encoded values, 0 to the largest code
  bool identity = true;
  MatrixF matrix{Matrix3{}};
  LcmsContext lcms;
  OwnedProfile target, working;
  OwnedTransform transform;

  template <typename Code>
  void ConvertByTable(const float* r, const float* g, const float* b, int64_t count,
                      Code* codes) const {
    float scratch[3][kChunkPx];
    const auto scale = static_cast<float>(samples);
    for (int64_t done = 0; done < count; done += kChunkPx) {
      const int64_t part = std::min(kChunkPx, count - done);
      const float* planes[3] = {r + done, g + done, b + done};
      if (!identity) {
        for (int c = 0; c < 3; ++c) std::copy_n(planes[c], part, scratch[c]);
        matrix.Apply(scratch[0], scratch[1], scratch[2], part);
        for (int c = 0; c < 3; ++c) planes[c] = scratch[c];
      }
      for (int c = 0; c < 3; ++c) {
        const float* lut = table[c].data();
        Code* out = codes + 3 * done + c;
        for (int64_t i = 0; i < part; ++i) {
          // Written so that NaN ends at 0.
          const float l = planes[c][i] > 0 ? std::min(planes[c][i], 1.0f) : 0.0f;
          const float x = std::sqrt(l) * scale;
          const int k = static_cast<int>(x);
          const float t = x - static_cast<float>(k);
          out[3 * i] = static_cast<Code>(lut[k] + t * (lut[k + 1] - lut[k]) + 0.5f);
        }
      }
    }
  }

  template <typename Code>
  void ConvertByTransform(const float* r, const float* g, const float* b, int64_t count,
                          Code* codes) const {
    std::vector<float> rgb(kChunkPx * 3);
    for (int64_t done = 0; done < count; done += kChunkPx) {
      const int64_t part = std::min(kChunkPx, count - done);
      for (int64_t i = 0; i < part; ++i) {
        rgb[static_cast<size_t>(3 * i)] = FiniteOrZero(r[done + i]);
        rgb[static_cast<size_t>(3 * i + 1)] = FiniteOrZero(g[done + i]);
        rgb[static_cast<size_t>(3 * i + 2)] = FiniteOrZero(b[done + i]);
      }
      cmsDoTransform(transform.get(), rgb.data(), codes + channels * done,
                     static_cast<cmsUInt32Number>(part));
    }
  }
};

namespace {

// The encoded value in [0, 1] whose decoded value is `linear`, for a curve that rises.
double EncodedOf(const cmsToneCurve* curve, double linear) {
  double low = 0, high = 1;
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2;
    if (cmsEvalToneCurveFloat(curve, static_cast<float>(middle)) < linear) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return (low + high) / 2;
}

}  // namespace

CodesFromWorking::CodesFromWorking(const Profile& profile, int depth) {
  WHEATPASTE_CHECK(depth == 8 || depth == 16);
  WHEATPASTE_CHECK(profile.model() == ColourModel::kRgb || profile.model() == ColourModel::kCmyk);
  WHEATPASTE_CHECK(profile.can_encode());
  auto impl = std::make_unique<Impl>();
  impl->depth = depth;
  impl->channels = ChannelCount(profile.model());
  if (depth == 16) impl->samples = 65536;
  const Profile::Handle& handle = *profile.handle_;
  const double top = depth == 8 ? 255 : 65535;
  if (handle.matrix_and_curves) {
    impl->by_table = true;
    for (size_t c = 0; c < 3; ++c) {
      std::vector<float>& table = impl->table[c];
      const int samples = impl->samples;
      table.resize(static_cast<size_t>(samples) + 2);
      for (int i = 0; i < samples; ++i) {
        const double root = static_cast<double>(i) / samples;
        table[static_cast<size_t>(i)] =
            static_cast<float>(top * EncodedOf(handle.curves[c], root * root));
      }
      // The brightest code, also where a curve does not quite reach 1.
      table[static_cast<size_t>(samples)] = static_cast<float>(top);
      table[static_cast<size_t>(samples) + 1] = static_cast<float>(top);
    }
    Matrix3 profile_from_xyz;
    WHEATPASTE_CHECK(Invert(handle.xyz_from_rgb, &profile_from_xyz));
    const Matrix3 matrix = Multiply(profile_from_xyz, WorkingPrimaries(impl->lcms.context));
    impl->identity = IsIdentity(matrix);
    impl->matrix = MatrixF(matrix);
  } else {
    impl->target.reset(
        cmsOpenProfileFromMemTHR(impl->lcms.context, profile.bytes().data(),
                                 static_cast<cmsUInt32Number>(profile.bytes().size())));
    impl->working = MakeWorkingProfile(impl->lcms.context);
    impl->transform.reset(cmsCreateTransformTHR(
        impl->lcms.context, impl->working.get(), TYPE_RGB_FLT, impl->target.get(),
        FormatOf(profile.model(), depth), INTENT_RELATIVE_COLORIMETRIC,
        cmsFLAGS_NOCACHE | cmsFLAGS_BLACKPOINTCOMPENSATION));
    WHEATPASTE_CHECK(impl->transform != nullptr);
  }
  impl_ = std::move(impl);
}

CodesFromWorking::~CodesFromWorking() = default;
CodesFromWorking::CodesFromWorking(CodesFromWorking&&) noexcept = default;
CodesFromWorking& CodesFromWorking::operator=(CodesFromWorking&&) noexcept = default;

void CodesFromWorking::Convert(const float* r, const float* g, const float* b, int64_t count,
                               void* codes) const {
  auto* codes8 = static_cast<uint8_t*>(codes);
  auto* codes16 = static_cast<uint16_t*>(codes);
  if (impl_->by_table) {
    if (impl_->depth == 8) return impl_->ConvertByTable(r, g, b, count, codes8);
    return impl_->ConvertByTable(r, g, b, count, codes16);
  }
  if (impl_->depth == 8) return impl_->ConvertByTransform(r, g, b, count, codes8);
  impl_->ConvertByTransform(r, g, b, count, codes16);
}

}  // namespace wheatpaste

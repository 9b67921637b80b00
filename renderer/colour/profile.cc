#include "colour/profile.h"

#include <array>
#include <cmath>

#include <fmt/format.h>

#include "colour/profile_handle.h"

namespace wheatpaste {
namespace {

void KeepMessage(cmsContext context, cmsUInt32Number /*code*/, const char* text) {
  auto* lcms = static_cast<LcmsContext*>(cmsGetContextUserData(context));
  if (lcms != nullptr && lcms->last_message.empty()) lcms->last_message = text;
}

bool ModelOf(cmsColorSpaceSignature space, ColourModel* model) {
  switch (space) {
    case cmsSigGrayData:
      *model = ColourModel::kGray;
      return true;
    case cmsSigRgbData:
      *model = ColourModel::kRgb;
      return true;
    case cmsSigCmykData:
      *model = ColourModel::kCmyk;
      return true;
    case cmsSigLabData:
      *model = ColourModel::kLab;
      return true;
    default:
      return false;
  }
}

std::string DescriptionOf(cmsHPROFILE profile) {
  std::array<char, 256> text{};
  cmsGetProfileInfoASCII(profile, cmsInfoDescription, "en", "GB", text.data(), text.size() - 1);
  std::string description(text.data());
  return description.empty() ? "unnamed profile" : PrintableText(description);
}

Bytes BytesOf(cmsHPROFILE profile) {
  cmsUInt32Number size = 0;
  WHEATPASTE_CHECK(cmsSaveProfileToMem(profile, nullptr, &size));
  Bytes bytes(size);
  WHEATPASTE_CHECK(cmsSaveProfileToMem(profile, bytes.data(), &size));
  return bytes;
}

Profile MustParse(OwnedProfile built) {
  // The creation date that LittleCMS writes would make two runs differ (ICC.1:2022, 7.2.8).
  Bytes bytes = BytesOf(built.get());
  constexpr size_t kDateOffset = 24, kDateBytes = 12, kIdOffset = 84, kIdBytes = 16;
  constexpr std::array<uint8_t, kDateBytes> kDate{0x07, 0xD0, 0, 1, 0, 1};
  std::copy(kDate.begin(), kDate.end(), bytes.begin() + kDateOffset);
  std::fill_n(bytes.begin() + kIdOffset, kIdBytes, uint8_t{0});
  auto profile = Profile::FromBytes(std::move(bytes), {}, "built-in profile");
  return std::move(profile).value();
}

}  // namespace

LcmsContext::LcmsContext() : context(cmsCreateContext(nullptr, this)) {
  WHEATPASTE_CHECK(context != nullptr);
  cmsSetLogErrorHandlerTHR(context, KeepMessage);
}

LcmsContext::~LcmsContext() { cmsDeleteContext(context); }

OwnedProfile MakeWorkingProfile(cmsContext context) {
  // Chromaticities of ITU-R BT.709-6, item 1.3 and 1.4.
  const cmsCIExyY white{0.3127, 0.3290, 1.0};
  const cmsCIExyYTRIPLE primaries{{0.64, 0.33, 1.0}, {0.30, 0.60, 1.0}, {0.15, 0.06, 1.0}};
  const OwnedCurve linear(cmsBuildGamma(context, 1.0));
  cmsToneCurve* curves[3] = {linear.get(), linear.get(), linear.get()};
  OwnedProfile profile(cmsCreateRGBProfileTHR(context, &white, &primaries, curves));
  WHEATPASTE_CHECK(profile != nullptr);
  return profile;
}

bool ReadPrimaries(cmsHPROFILE profile, Matrix3* xyz_from_rgb) {
  const cmsTagSignature tags[3] = {cmsSigRedColorantTag, cmsSigGreenColorantTag,
                                   cmsSigBlueColorantTag};
  for (size_t i = 0; i < 3; ++i) {
    const auto* xyz = static_cast<const cmsCIEXYZ*>(cmsReadTag(profile, tags[i]));
    if (xyz == nullptr) return false;
    (*xyz_from_rgb)[0][i] = xyz->X;
    (*xyz_from_rgb)[1][i] = xyz->Y;
    (*xyz_from_rgb)[2][i] = xyz->Z;
  }
  return true;
}

int ChannelCount(ColourModel model) {
  switch (model) {
    case ColourModel::kGray:
      return 1;
    case ColourModel::kCmyk:
      return 4;
    case ColourModel::kRgb:
    case ColourModel::kLab:
      return 3;
  }
  return 0;
}

const char* NameOf(ColourModel model) {
  switch (model) {
    case ColourModel::kGray:
      return "gray";
    case ColourModel::kRgb:
      return "RGB";
    case ColourModel::kCmyk:
      return "CMYK";
    case ColourModel::kLab:
      return "Lab";
  }
  return "";
}

Result<Profile> Profile::FromBytes(Bytes bytes, const Place& place, const std::string& subject) {
  const auto error = [&](const std::string& message) { return Error{place, subject, message}; };
  if (bytes.size() > static_cast<size_t>(kMaxProfileBytes)) {
    return error(fmt::format("the ICC profile has {} bytes, expected at most {}", bytes.size(),
                             kMaxProfileBytes));
  }
  auto handle = std::make_shared<Handle>();
  const cmsContext context = handle->lcms.context;
  const auto broken = [&] {
    const std::string& said = handle->lcms.last_message;
    return error("the ICC profile is broken" +
                 (said.empty() ? std::string() : ": " + PrintableText(said)));
  };
  handle->profile.reset(
      cmsOpenProfileFromMemTHR(context, bytes.data(), static_cast<cmsUInt32Number>(bytes.size())));
  if (handle->profile == nullptr) return broken();
  cmsHPROFILE raw = handle->profile.get();

  Profile profile;
  const cmsProfileClassSignature kind = cmsGetDeviceClass(raw);
  const bool device = kind == cmsSigInputClass || kind == cmsSigDisplayClass ||
                      kind == cmsSigOutputClass || kind == cmsSigColorSpaceClass;
  if (!device || !ModelOf(cmsGetColorSpace(raw), &profile.model_)) {
    return error("the ICC profile does not describe gray, RGB, CMYK or Lab pictures");
  }

  const bool tables = cmsIsTag(raw, cmsSigAToB0Tag) || cmsIsTag(raw, cmsSigAToB1Tag) ||
                      cmsIsTag(raw, cmsSigDToB0Tag) || cmsIsTag(raw, cmsSigDToB1Tag);
  if (profile.model_ == ColourModel::kRgb && !tables && cmsIsMatrixShaper(raw)) {
    const cmsTagSignature tags[3] = {cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag};
    bool complete = ReadPrimaries(raw, &handle->xyz_from_rgb);
    for (size_t i = 0; i < 3; ++i) {
      handle->curves[i] = static_cast<const cmsToneCurve*>(cmsReadTag(raw, tags[i]));
      complete = complete && handle->curves[i] != nullptr;
    }
    if (!complete) return broken();
    handle->matrix_and_curves = true;
    Matrix3 inverse;
    profile.can_encode_ = Invert(handle->xyz_from_rgb, &inverse);
  } else {
    // Made here once so that a profile which LittleCMS cannot use is refused where it is named.
    const OwnedProfile working = MakeWorkingProfile(context);
    const cmsUInt32Number format =
        COLORSPACE_SH(PT_ANY) | CHANNELS_SH(ChannelCount(profile.model_)) | BYTES_SH(1);
    const OwnedTransform trial(cmsCreateTransformTHR(context, raw, format, working.get(),
                                                     TYPE_RGB_FLT, INTENT_RELATIVE_COLORIMETRIC,
                                                     cmsFLAGS_NOCACHE));
    if (trial == nullptr) return broken();
    // Asked by trying: a profile may carry one table for all intents (ICC.1:2022, 8.4.2).
    const OwnedTransform back(cmsCreateTransformTHR(context, working.get(), TYPE_RGB_FLT, raw,
                                                    format, INTENT_RELATIVE_COLORIMETRIC,
                                                    cmsFLAGS_NOCACHE));
    profile.can_encode_ = back != nullptr;
  }
  profile.description_ = DescriptionOf(raw);
  profile.bytes_ = std::move(bytes);
  profile.handle_ = std::move(handle);
  return profile;
}

Profile Profile::Srgb() {
  static const Profile srgb = MustParse(OwnedProfile(cmsCreate_sRGBProfile()));
  return srgb;
}

Profile Profile::DisplayP3() {
  static const Profile p3 = [] {
    const cmsCIExyY white{0.3127, 0.3290, 1.0};
    const cmsCIExyYTRIPLE primaries{{0.680, 0.320, 1.0}, {0.265, 0.690, 1.0}, {0.150, 0.060, 1.0}};
    const cmsFloat64Number srgb[5] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
    const OwnedCurve curve(cmsBuildParametricToneCurve(nullptr, 4, srgb));
    cmsToneCurve* curves[3] = {curve.get(), curve.get(), curve.get()};
    OwnedProfile built(cmsCreateRGBProfile(&white, &primaries, curves));
    WHEATPASTE_CHECK(built != nullptr);
    cmsMLU* name = cmsMLUalloc(nullptr, 1);
    WHEATPASTE_CHECK(cmsMLUsetASCII(name, "en", "US", "Display P3"));
    WHEATPASTE_CHECK(cmsWriteTag(built.get(), cmsSigProfileDescriptionTag, name));
    cmsMLUfree(name);
    return MustParse(std::move(built));
  }();
  return p3;
}

Profile Profile::LabD50() {
  static const Profile lab = [] {
    // LittleCMS calls it an abstract profile, a class that describes no picture (ICC.1:2022, 7.2.5).
    OwnedProfile built(cmsCreateLab4Profile(nullptr));
    cmsSetDeviceClass(built.get(), cmsSigColorSpaceClass);
    return MustParse(std::move(built));
  }();
  return lab;
}

Lab LabFromDevice(const Profile& profile, std::span<const double> channels) {
  WHEATPASTE_CHECK_OP(static_cast<int>(channels.size()), ==, ChannelCount(profile.model()));
  LcmsContext lcms;
  OwnedProfile device(cmsOpenProfileFromMemTHR(
      lcms.context, profile.bytes().data(), static_cast<cmsUInt32Number>(profile.bytes().size())));
  OwnedProfile lab(cmsCreateLab4ProfileTHR(lcms.context, nullptr));
  const cmsUInt32Number format = FLOAT_SH(1) | COLORSPACE_SH(PT_ANY) |
                                 CHANNELS_SH(ChannelCount(profile.model())) | BYTES_SH(0);
  const OwnedTransform transform(
      cmsCreateTransformTHR(lcms.context, device.get(), format, lab.get(), TYPE_Lab_DBL,
                            INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE));
  WHEATPASTE_CHECK(transform != nullptr);
  std::array<double, 4> in{};
  // LittleCMS counts ink of floating-point CMYK in percent.
  const double scale = profile.model() == ColourModel::kCmyk ? 100.0 : 1.0;
  for (size_t i = 0; i < channels.size(); ++i) in[i] = channels[i] * scale;
  cmsCIELab out{};
  cmsDoTransform(transform.get(), in.data(), &out, 1);
  return {out.L, out.a, out.b};
}

}  // namespace wheatpaste

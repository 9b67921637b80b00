// made_profiles.h - ICC profiles made for a test with LittleCMS: display-like, wide-gamut, with tables,
// and of kinds that describe no picture.
#pragma once

#include <array>

#include <lcms2.h>

#include "colour/profile.h"

namespace wheatpaste::test {

inline Bytes SaveAndClose(cmsHPROFILE profile) {
  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile, nullptr, &size);
  Bytes bytes(size);
  cmsSaveProfileToMem(profile, bytes.data(), &size);
  cmsCloseProfile(profile);
  return bytes;
}

inline cmsToneCurve* SrgbCurve() {
  // IEC 61966-2-1 as LittleCMS's parametric type 4.
  const cmsFloat64Number parameters[5] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  return cmsBuildParametricToneCurve(nullptr, 4, parameters);
}

inline Bytes MakeMatrixProfile(const cmsCIExyYTRIPLE& primaries, cmsToneCurve* curve) {
  const cmsCIExyY white{0.3127, 0.3290, 1};
  cmsToneCurve* curves[3] = {curve, curve, curve};
  const cmsHPROFILE profile = cmsCreateRGBProfile(&white, &primaries, curves);
  cmsFreeToneCurve(curve);
  return SaveAndClose(profile);
}

// Primaries of DCI-P3 (SMPTE RP 431-2) with white D65 and the sRGB curve.
inline Bytes MakeDisplayProfile() {
  return MakeMatrixProfile({{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}}, SrgbCurve());
}

// Wide primaries (0.64, 0.33), (0.21, 0.71), (0.15, 0.06) and a plain gamma.
inline Bytes MakeWideProfile() {
  return MakeMatrixProfile({{0.64, 0.33, 1}, {0.21, 0.71, 1}, {0.15, 0.06, 1}},
                           cmsBuildGamma(nullptr, 2.2));
}

// Codes to Lab and back by tables of 33 points a side, filled from sRGB.
inline Bytes MakeTableProfile() {
  const cmsHPROFILE srgb = cmsCreate_sRGBProfile();
  const cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
  const cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigDisplayClass);
  cmsSetColorSpace(profile, cmsSigRgbData);
  cmsSetPCS(profile, cmsSigLabData);
  for (const bool forward : {true, false}) {
    const cmsHTRANSFORM transform =
        forward ? cmsCreateTransform(srgb, TYPE_RGB_16, lab, TYPE_Lab_16,
                                     INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE)
                : cmsCreateTransform(lab, TYPE_Lab_16, srgb, TYPE_RGB_16,
                                     INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
    cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
    cmsStage* table = cmsStageAllocCLut16bit(nullptr, 33, 3, 3, nullptr);
    cmsStageSampleCLut16bit(
        table,
        [](const cmsUInt16Number in[], cmsUInt16Number out[], void* by) -> cmsInt32Number {
          cmsDoTransform(by, in, out, 1);
          return TRUE;
        },
        transform, 0);
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, nullptr));
    cmsPipelineInsertStage(pipeline, cmsAT_END, table);
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, nullptr));
    cmsWriteTag(profile, forward ? cmsSigAToB0Tag : cmsSigBToA0Tag, pipeline);
    cmsPipelineFree(pipeline);
    cmsDeleteTransform(transform);
  }
  const cmsCIEXYZ white{0.9642, 1, 0.8249};
  cmsWriteTag(profile, cmsSigMediaWhitePointTag, &white);
  cmsCloseProfile(srgb);
  cmsCloseProfile(lab);
  return SaveAndClose(profile);
}

inline Bytes MakeDeviceLink() {
  const cmsHPROFILE srgb = cmsCreate_sRGBProfile();
  const cmsHTRANSFORM transform =
      cmsCreateTransform(srgb, TYPE_RGB_16, srgb, TYPE_RGB_16, INTENT_PERCEPTUAL, 0);
  const cmsHPROFILE link = cmsTransform2DeviceLink(transform, 4.3, 0);
  cmsDeleteTransform(transform);
  cmsCloseProfile(srgb);
  return SaveAndClose(link);
}

inline Bytes MakeNamedColours() {
  const cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigNamedColorClass);
  cmsSetColorSpace(profile, cmsSigRgbData);
  cmsSetPCS(profile, cmsSigLabData);
  cmsNAMEDCOLORLIST* list = cmsAllocNamedColorList(nullptr, 1, 3, "", "");
  cmsUInt16Number lab[3] = {0x8000, 0x8080, 0x8080}, device[cmsMAXCHANNELS] = {1, 2, 3};
  cmsAppendNamedColor(list, "moss", lab, device);
  cmsWriteTag(profile, cmsSigNamedColor2Tag, list);
  cmsFreeNamedColorList(list);
  return SaveAndClose(profile);
}

}  // namespace wheatpaste::test

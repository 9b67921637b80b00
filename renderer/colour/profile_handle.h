// profile_handle.h - LittleCMS objects with an owner; inside colour/ only.
#pragma once

#include <memory>
#include <string>
#include <type_traits>

#include <lcms2.h>

#include "colour/colour.h"
#include "colour/matrix.h"
#include "colour/profile.h"

namespace wheatpaste {

struct CloseProfile {
  void operator()(void* profile) const { cmsCloseProfile(profile); }
};
using OwnedProfile = std::unique_ptr<void, CloseProfile>;

struct DeleteTransform {
  void operator()(void* transform) const { cmsDeleteTransform(transform); }
};
using OwnedTransform = std::unique_ptr<void, DeleteTransform>;

struct FreeCurve {
  void operator()(cmsToneCurve* curve) const { cmsFreeToneCurve(curve); }
};
using OwnedCurve = std::unique_ptr<cmsToneCurve, FreeCurve>;

// Its messages are kept here instead of being printed.
struct LcmsContext {
  LcmsContext();
  ~LcmsContext();
  LcmsContext(const LcmsContext&) = delete;
  LcmsContext& operator=(const LcmsContext&) = delete;
  cmsContext context = nullptr;
  std::string last_message;
};

struct Profile::Handle {
  LcmsContext lcms;
  OwnedProfile profile;
  // Set where the profile is a matrix and three curves: D50 XYZ of the primaries, by column.
  bool matrix_and_curves = false;
  Matrix3 xyz_from_rgb{};
  const cmsToneCurve* curves[3] = {nullptr, nullptr, nullptr};
};

// The working space as a profile: Rec.709 primaries, D65, gamma 1.
OwnedProfile MakeWorkingProfile(cmsContext context);

// D50 XYZ of a matrix profile's primaries, by column; false where a tag is missing.
bool ReadPrimaries(cmsHPROFILE profile, Matrix3* xyz_from_rgb);

}  // namespace wheatpaste

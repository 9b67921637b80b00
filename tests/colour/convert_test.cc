#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <stdexcept>
#include <vector>

#include <lcms2.h>

#include "colour/made_profiles.h"
#include "colour/profile.h"

namespace wheatpaste {
namespace {

using namespace test;

Profile Parse(Bytes bytes) {
  auto profile = Profile::FromBytes(std::move(bytes), {}, "made profile");
  if (!profile) throw std::runtime_error(FormatErrors(profile.errors()));
  return std::move(*profile);
}

// Largest change of any code over pixels that ramp one channel, two, or all three.
template <typename Code>
int WorstRoundTrip(const Profile& profile) {
  const int depth = 8 * static_cast<int>(sizeof(Code));
  const WorkingFromCodes read(profile, depth);
  const CodesFromWorking write(profile, depth);
  const int64_t top = depth == 8 ? 255 : 65535;
  std::vector<Code> codes;
  for (int64_t v = 0; v <= top; ++v) {
    const auto code = static_cast<Code>(v), other = static_cast<Code>(top - v);
    const auto third = static_cast<Code>(top / 3);
    for (const Code c : {code, code, code, code, other, third, third, code, other}) {
      codes.push_back(c);
    }
  }
  const auto count = static_cast<int64_t>(codes.size() / 3);
  std::vector<float> r(codes.size() / 3), g(r), b(r);
  read.Convert(codes.data(), count, 3, r.data(), g.data(), b.data());
  std::vector<Code> back(codes.size());
  write.Convert(r.data(), g.data(), b.data(), count, back.data());
  int worst = 0;
  int changed = 0, first = -1;
  for (size_t i = 0; i < codes.size(); ++i) {
    worst = std::max(worst, std::abs(codes[i] - back[i]));
    changed += codes[i] != back[i];
    if (codes[i] != back[i] && first < 0) first = codes[i];
  }
  UNSCOPED_INFO("changed " << changed << ", first " << first);
  return worst;
}

TEST_CASE("Conversion: every 8-bit code comes back", "[colour][invariant]") {
  CHECK(WorstRoundTrip<uint8_t>(Profile::Srgb()) == 0);
  CHECK(WorstRoundTrip<uint8_t>(Parse(MakeDisplayProfile())) == 0);
  CHECK(WorstRoundTrip<uint8_t>(Parse(MakeWideProfile())) == 0);
}

// Limit   1 code of 65535, near code 2651 only: there the two branches of the sRGB curve join, and the
//         constants as a profile stores them (to 1 / 65536) leave a step between the branches.
TEST_CASE("Conversion: every 16-bit code of an sRGB curve comes back but at its joint",
          "[colour][invariant]") {
  CHECK(WorstRoundTrip<uint16_t>(Profile::Srgb()) <= 1);
  CHECK(WorstRoundTrip<uint16_t>(Parse(MakeDisplayProfile())) <= 1);
}

// A display profile may carry one table for all intents: pictures in it must be written, too.
TEST_CASE("Conversion: a profile with tables can be read and written", "[colour][closed-form]") {
  const Profile profile = Parse(MakeTableProfile());
  REQUIRE(profile.can_encode());
  const uint8_t white[3] = {255, 255, 255};
  float r = 0, g = 0, b = 0;
  WorkingFromCodes(profile, 8).Convert(white, 1, 3, &r, &g, &b);
  uint8_t back[3] = {};
  CodesFromWorking(profile, 8).Convert(&r, &g, &b, 1, back);
  for (const uint8_t code : back) CHECK(code >= 254);
}

struct Opened {
  explicit Opened(const Bytes& bytes)
      : profile(cmsOpenProfileFromMem(bytes.data(), static_cast<cmsUInt32Number>(bytes.size()))) {
    const cmsCIExyY white{0.3127, 0.3290, 1};
    const cmsCIExyYTRIPLE rec709{{0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}};
    cmsToneCurve* linear = cmsBuildGamma(nullptr, 1);
    cmsToneCurve* curves[3] = {linear, linear, linear};
    working = cmsCreateRGBProfile(&white, &rec709, curves);
    cmsFreeToneCurve(linear);
  }
  ~Opened() {
    cmsCloseProfile(profile);
    cmsCloseProfile(working);
  }
  Opened(const Opened&) = delete;
  Opened& operator=(const Opened&) = delete;
  cmsHPROFILE profile, working;
};

// Source  LittleCMS's own floating-point transform, unbounded, without its optimisations.
// Limit   1e-5 of the linear value 1; for sRGB 1e-4: its primaries, as stored, differ from the working
//         space's by up to 2e-4 and count as the same (convert.cc).
TEST_CASE("Conversion: tables agree with LittleCMS's own transform", "[colour][reference]") {
  for (const Bytes& bytes : {Profile::Srgb().bytes(), MakeDisplayProfile(), MakeWideProfile()}) {
    const Profile profile = Parse(bytes);
    const Opened opened(bytes);
    const cmsHTRANSFORM transform =
        cmsCreateTransform(opened.profile, TYPE_RGB_FLT, opened.working, TYPE_RGB_FLT,
                           INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE);
    REQUIRE(transform != nullptr);
    std::vector<uint8_t> codes;
    std::vector<float> encoded;
    for (int r = 0; r <= 255; r += 15) {
      for (int g = 0; g <= 255; g += 15) {
        for (int b = 0; b <= 255; b += 15) {
          for (const int code : {r, g, b}) {
            codes.push_back(static_cast<uint8_t>(code));
            encoded.push_back(static_cast<float>(code) / 255.0f);
          }
        }
      }
    }
    const size_t count = codes.size() / 3;
    std::vector<float> r(count), g(count), b(count), theirs(codes.size());
    WorkingFromCodes(profile, 8)
        .Convert(codes.data(), static_cast<int64_t>(count), 3, r.data(), g.data(), b.data());
    cmsDoTransform(transform, encoded.data(), theirs.data(), static_cast<cmsUInt32Number>(count));
    cmsDeleteTransform(transform);
    float worst = 0;
    for (size_t i = 0; i < count; ++i) {
      worst = std::max({worst, std::abs(r[i] - theirs[3 * i]), std::abs(g[i] - theirs[3 * i + 1]),
                        std::abs(b[i] - theirs[3 * i + 2])});
    }
    INFO(profile.description());
    CHECK(worst < (bytes == Profile::Srgb().bytes() ? 1e-4f : 1e-5f));
  }
}

TEST_CASE("Conversion: values beyond the range end at its limits", "[colour][closed-form]") {
  const CodesFromWorking write(Profile::Srgb(), 16);
  const float r[3] = {-1, 2, 1}, g[3] = {0, 1e9f, 1}, b[3] = {-0.0f, 1.0001f, 1};
  uint16_t codes[9];
  write.Convert(r, g, b, 3, codes);
  for (int i = 0; i < 3; ++i) CHECK(codes[i] == 0);
  for (int i = 3; i < 9; ++i) CHECK(codes[i] == 65535);
  const float nan = std::nanf(""), zero = 0;
  write.Convert(&nan, &zero, &zero, 1, codes);
  CHECK(codes[0] == 0);
}

}  // namespace
}  // namespace wheatpaste

#include "colour/adapt.h"

#include "base/check.h"
#include "colour/matrix.h"
#include "colour/srgb.h"

namespace wheatpaste {
namespace {

// K. M. Lam 1985, as printed in ICC.1:2022, annex E.
constexpr Matrix3 kBradford{
    {{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}};

Xyz Times(const Matrix3& m, const Xyz& v) {
  return {m[0][0] * v.x + m[0][1] * v.y + m[0][2] * v.z,
          m[1][0] * v.x + m[1][1] * v.y + m[1][2] * v.z,
          m[2][0] * v.x + m[2][1] * v.y + m[2][2] * v.z};
}

Matrix3 Inverse(const Matrix3& m) {
  Matrix3 inverse;
  WHEATPASTE_CHECK(Invert(m, &inverse));
  return inverse;
}

// Scales the cone responses of one white to those of the other.
Xyz Adapt(const Xyz& xyz, const Xyz& from, const Xyz& to) {
  static const Matrix3 kFromCones = Inverse(kBradford);
  const Xyz cones = Times(kBradford, xyz), source = Times(kBradford, from),
            target = Times(kBradford, to);
  return Times(kFromCones, {cones.x * target.x / source.x, cones.y * target.y / source.y,
                            cones.z * target.z / source.z});
}

// Of the matrix in srgb.h, so that both ways agree to the last digit.
SceneLinear LinearFromXyz(const Xyz& xyz) {
  static const Matrix3 kLinearFromXyz = [] {
    const Xyz r = XyzFromLinear({1, 0, 0}), g = XyzFromLinear({0, 1, 0}),
              b = XyzFromLinear({0, 0, 1});
    return Inverse({{{r.x, g.x, b.x}, {r.y, g.y, b.y}, {r.z, g.z, b.z}}});
  }();
  const Xyz rgb = Times(kLinearFromXyz, xyz);
  return {static_cast<float>(rgb.x), static_cast<float>(rgb.y), static_cast<float>(rgb.z)};
}

}  // namespace

Xyz D50FromD65(const Xyz& xyz) { return Adapt(xyz, kWhiteD65, kWhiteD50); }
Xyz D65FromD50(const Xyz& xyz) { return Adapt(xyz, kWhiteD50, kWhiteD65); }

SceneLinear LinearFromXyzD50(const Xyz& xyz) { return LinearFromXyz(D65FromD50(xyz)); }

SceneLinear LinearFromLabD50(const Lab& lab) {
  return LinearFromXyzD50(XyzFromLab(lab, kWhiteD50));
}

Lab LabD50FromLinear(const SceneLinear& linear) {
  return LabFromXyz(D50FromD65(XyzFromLinear(linear)), kWhiteD50);
}

Xyz XyzFromLab(const Lab& lab, const Xyz& white) {
  const auto inverse = [](double f) {
    constexpr double kDelta = 6.0 / 29.0;
    return f > kDelta ? f * f * f : 3 * kDelta * kDelta * (f - 4.0 / 29.0);
  };
  const double fy = (lab.l + 16) / 116;
  return {white.x * inverse(fy + lab.a / 500), white.y * inverse(fy),
          white.z * inverse(fy - lab.b / 200)};
}

}  // namespace wheatpaste

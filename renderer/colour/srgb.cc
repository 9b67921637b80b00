#include "colour/srgb.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace wheatpaste {

std::optional<Srgb8> ColourFromHex(std::string_view text) {
  if (!text.starts_with('#') || (text.size() != 4 && text.size() != 7)) return std::nullopt;
  uint32_t codes = 0;
  for (const char c : text.substr(1)) {
    uint32_t digit = 0;
    if (c >= '0' && c <= '9') {
      digit = static_cast<uint32_t>(c - '0');
    } else if (c >= 'a' && c <= 'f') {
      digit = static_cast<uint32_t>(c - 'a' + 10);
    } else if (c >= 'A' && c <= 'F') {
      digit = static_cast<uint32_t>(c - 'A' + 10);
    } else {
      return std::nullopt;
    }
    codes = codes << 4 | digit;
    if (text.size() == 4) codes = codes << 4 | digit;
  }
  return Srgb8{static_cast<uint8_t>(codes >> 16), static_cast<uint8_t>(codes >> 8 & 0xff),
               static_cast<uint8_t>(codes & 0xff)};
}

std::string HexOf(const Srgb8& colour) {
  return fmt::format("#{:02x}{:02x}{:02x}", colour.r, colour.g, colour.b);
}

double LinearFromSrgb(double encoded) {
  const double v = std::abs(encoded);
  const double l = v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
  return std::copysign(l, encoded);
}

double SrgbFromLinear(double linear) {
  const double l = std::abs(linear);
  const double v = l <= 0.0031308 ? 12.92 * l : 1.055 * std::pow(l, 1 / 2.4) - 0.055;
  return std::copysign(v, linear);
}

SceneLinear LinearFromSrgb(const Srgb8& colour) {
  const auto linear = [](uint8_t code) {
    return static_cast<float>(LinearFromSrgb(static_cast<double>(code) / 255));
  };
  return {linear(colour.r), linear(colour.g), linear(colour.b)};
}

Srgb8 SrgbFromLinear(const SceneLinear& linear) {
  const auto code = [](float value) {
    const double encoded = std::clamp(SrgbFromLinear(double{value}), 0.0, 1.0);
    return static_cast<uint8_t>(std::lround(255 * encoded));
  };
  return {code(linear.r), code(linear.g), code(linear.b)};
}

Xyz XyzFromLinear(const SceneLinear& c) {
  return {0.4124 * c.r + 0.3576 * c.g + 0.1805 * c.b, 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b,
          0.0193 * c.r + 0.1192 * c.g + 0.9505 * c.b};
}

Lab LabFromXyz(const Xyz& xyz, const Xyz& white) {
  const auto f = [](double t) {
    constexpr double kDelta = 6.0 / 29.0;
    return t > kDelta * kDelta * kDelta ? std::cbrt(t) : t / (3 * kDelta * kDelta) + 4.0 / 29.0;
  };
  const double fx = f(xyz.x / white.x), fy = f(xyz.y / white.y), fz = f(xyz.z / white.z);
  return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

Lab LabFromLinear(const SceneLinear& linear) {
  return LabFromXyz(XyzFromLinear(linear), kWhiteD65);
}

}  // namespace wheatpaste

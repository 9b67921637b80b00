#include "dieline/svg_values.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "base/units.h"
#include "dieline/svg_path.h"

namespace wheatpaste {
namespace {

constexpr std::string_view kSpace = " \t\n\r\f";
constexpr double kMostPageMm = 20000;

// User units (px) of a length with its unit.
std::optional<double> Px(std::string_view text) {
  text = Trimmed(text);
  double number = 0;
  // An exponent needs digits, so "em" and "ex" are units.
  if (!TakeSvgNumber(text, number)) return std::nullopt;
  static constexpr std::pair<std::string_view, double> kUnits[] = {
      {"", 1},
      {"px", 1},
      {"mm", kCssPxPerInch / kMmPerInch},
      {"cm", 10 * kCssPxPerInch / kMmPerInch},
      {"in", kCssPxPerInch},
      {"pt", kCssPxPerInch / kPointsPerInch},
      {"pc", 12 * kCssPxPerInch / kPointsPerInch}};
  for (const auto& [unit, px] : kUnits) {
    if (text == unit) return number * px;
  }
  return std::nullopt;
}

std::optional<std::vector<double>> Numbers(std::string_view text) {
  std::vector<double> numbers;
  text = Trimmed(text);
  while (!text.empty()) {
    double number = 0;
    if (!TakeSvgNumber(text, number) || numbers.size() == 6) return std::nullopt;
    numbers.push_back(number);
    SkipSvgSeparator(text);
  }
  return numbers;
}

std::optional<Eigen::Affine2d> OneTransform(std::string_view name, const std::vector<double>& v) {
  using Eigen::Affine2d;
  Affine2d map = Affine2d::Identity();
  const auto radians = [](double degrees) { return RadFromDegrees(degrees).value; };
  if (name == "matrix" && v.size() == 6) {
    map.matrix() << v[0], v[2], v[4], v[1], v[3], v[5], 0, 0, 1;
  } else if (name == "translate" && (v.size() == 1 || v.size() == 2)) {
    map.translate(Eigen::Vector2d(v[0], v.size() == 2 ? v[1] : 0));
  } else if (name == "scale" && (v.size() == 1 || v.size() == 2)) {
    map.scale(Eigen::Vector2d(v[0], v.back()));
  } else if (name == "rotate" && (v.size() == 1 || v.size() == 3)) {
    const Eigen::Vector2d centre =
        v.size() == 3 ? Eigen::Vector2d(v[1], v[2]) : Eigen::Vector2d(0, 0);
    map.translate(centre);
    map.rotate(radians(v[0]));
    map.translate(-centre);
  } else if (name == "skewX" && v.size() == 1) {
    map.matrix()(0, 1) = std::tan(radians(v[0]));
  } else if (name == "skewY" && v.size() == 1) {
    map.matrix()(1, 0) = std::tan(radians(v[0]));
  } else {
    return std::nullopt;
  }
  return map;
}

}  // namespace

std::string_view Trimmed(std::string_view text) {
  const size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

std::vector<std::string> Words(std::string_view text) {
  std::vector<std::string> words;
  while (!(text = Trimmed(text)).empty()) {
    const size_t end = std::min(text.find_first_of(kSpace), text.size());
    words.emplace_back(text.substr(0, end));
    text.remove_prefix(end);
  }
  return words;
}

std::optional<double> SvgLengthMm(std::string_view text) {
  const auto px = Px(text);
  return px ? std::optional(*px * kMmPerInch / kCssPxPerInch) : std::nullopt;
}

std::optional<double> SvgUserUnits(std::string_view text) { return Px(text); }

std::optional<Eigen::Affine2d> SvgTransform(std::string_view text) {
  Eigen::Affine2d map = Eigen::Affine2d::Identity();
  text = Trimmed(text);
  while (!text.empty()) {
    const size_t open = text.find('('), close = text.find(')');
    if (open == std::string_view::npos || close == std::string_view::npos || close < open) {
      return std::nullopt;
    }
    const auto numbers = Numbers(text.substr(open + 1, close - open - 1));
    if (!numbers) return std::nullopt;
    const auto one = OneTransform(Trimmed(text.substr(0, open)), *numbers);
    if (!one) return std::nullopt;
    map = map * *one;
    text.remove_prefix(close + 1);
    SkipSvgSeparator(text);
  }
  return map.matrix().allFinite() ? std::optional(map) : std::nullopt;
}

std::optional<SvgPage> SvgPageOf(const std::optional<std::string>& width,
                                 const std::optional<std::string>& height,
                                 const std::optional<std::string>& view_box) {
  std::optional<std::vector<double>> box;
  if (view_box) {
    box = Numbers(*view_box);
    if (!box || box->size() != 4 || !((*box)[2] > 0) || !((*box)[3] > 0)) return std::nullopt;
  }
  const auto length = [&](const std::optional<std::string>& text, size_t index) {
    // A share of what nobody knows here counts as not given.
    if (text && Trimmed(*text).find('%') == std::string_view::npos) return SvgLengthMm(*text);
    return box ? std::optional((*box)[index] * kMmPerInch / kCssPxPerInch) : std::nullopt;
  };
  const auto w = length(width, 2), h = length(height, 3);
  if (!w || !h || !(*w > 0 && *w <= kMostPageMm) || !(*h > 0 && *h <= kMostPageMm)) {
    return std::nullopt;
  }
  SvgPage page;
  page.size = {*w, *h};
  if (!box) {
    page.mm_from_user.scale(kMmPerInch / kCssPxPerInch);
    return page;
  }
  const double scale = std::min(*w / (*box)[2], *h / (*box)[3]);
  page.mm_from_user.translate(Eigen::Vector2d(*w - scale * (*box)[2], *h - scale * (*box)[3]) / 2);
  page.mm_from_user.scale(scale);
  page.mm_from_user.translate(-Eigen::Vector2d((*box)[0], (*box)[1]));
  return page;
}

std::string SvgColour(std::string_view text) {
  text = Trimmed(text);
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
  if (!lower.empty() && lower[0] == '#') {
    const bool hex = lower.find_first_not_of("0123456789abcdef", 1) == std::string::npos;
    if (hex && lower.size() == 7) return lower;
    if (hex && lower.size() == 4) {
      return {'#', lower[1], lower[1], lower[2], lower[2], lower[3], lower[3]};
    }
    return "";
  }
  if (lower.rfind("rgb(", 0) == 0 && lower.back() == ')') {
    const auto v = Numbers(std::string_view(lower).substr(4, lower.size() - 5));
    if (!v || v->size() != 3) return "";
    std::string hex = "#";
    for (const double value : *v) {
      hex += fmt::format("{:02x}", std::lround(std::clamp(value, 0.0, 255.0)));
    }
    return hex;
  }
  // CSS Color 4, 6.1: names of the corners of the cube, and few more that dielines use.
  static constexpr std::pair<std::string_view, const char*> kNames[] = {
      {"black", "#000000"}, {"white", "#ffffff"}, {"red", "#ff0000"},     {"lime", "#00ff00"},
      {"green", "#008000"}, {"blue", "#0000ff"},  {"yellow", "#ffff00"},  {"cyan", "#00ffff"},
      {"aqua", "#00ffff"},  {"gray", "#808080"},  {"magenta", "#ff00ff"}, {"fuchsia", "#ff00ff"}};
  for (const auto& [name, colour] : kNames) {
    if (lower == name) return colour;
  }
  return "";
}

std::string StyleValue(std::string_view style, std::string_view property) {
  while (!style.empty()) {
    const size_t end = std::min(style.find(';'), style.size());
    const std::string_view rule = style.substr(0, end);
    const size_t colon = rule.find(':');
    if (colon != std::string_view::npos && Trimmed(rule.substr(0, colon)) == property) {
      return std::string(Trimmed(rule.substr(colon + 1)));
    }
    style.remove_prefix(std::min(end + 1, style.size()));
  }
  return "";
}

std::map<std::string, ClassLook> ReadStyleSheet(std::string_view text) {
  std::map<std::string, ClassLook> looks;
  while (true) {
    const size_t open = text.find('{'), close = text.find('}');
    if (open == std::string_view::npos || close == std::string_view::npos || close < open) break;
    const std::string_view body = text.substr(open + 1, close - open - 1);
    std::string_view names = text.substr(0, open);
    while (!names.empty()) {
      const size_t end = std::min(names.find(','), names.size());
      std::string_view name = Trimmed(names.substr(0, end));
      if (!name.empty() && name[0] == '.') {
        name.remove_prefix(1);
        ClassLook& look = looks[std::string(name)];
        if (const std::string stroke = StyleValue(body, "stroke"); !stroke.empty()) {
          look.stroke = stroke;
        }
        look.hidden = look.hidden || StyleValue(body, "display") == "none";
      }
      names.remove_prefix(std::min(end + 1, names.size()));
    }
    text.remove_prefix(close + 1);
  }
  return looks;
}

}  // namespace wheatpaste

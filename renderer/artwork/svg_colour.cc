#include "artwork/svg_colour.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <vector>

#include <fmt/format.h>

#include "artwork/colour_names.h"

namespace wheatpaste {
namespace {

constexpr size_t kLongestColour = 256;  // bytes; nobody writes longer ones

uint8_t Code(double share) {
  return static_cast<uint8_t>(std::lround(255 * std::clamp(share, 0.0, 1.0)));
}

std::optional<WrittenColour> ParseHex(std::string_view digits) {
  const bool is_short = digits.size() == 3 || digits.size() == 4;
  if (!is_short && digits.size() != 6 && digits.size() != 8) return std::nullopt;
  std::string whole = "#";
  for (const char c : digits) {
    if (!(c >= '0' && c <= '9') && !(c >= 'a' && c <= 'f')) return std::nullopt;
    whole += c;
    if (is_short) whole += c;
  }
  const auto colour = ColourFromHex(whole.substr(0, 7));
  return WrittenColour{*colour, whole.substr(7), false};
}

// A number with what stands right behind it: "%", "deg", "".
struct Measure {
  double number = 0;
  std::string_view unit;
};

std::optional<Measure> ParseMeasure(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  Measure measure;
  const auto [end, failure] =
      std::from_chars(text.data(), text.data() + text.size(), measure.number);
  if (failure != std::errc() || !std::isfinite(measure.number)) return std::nullopt;
  measure.unit = text.substr(static_cast<size_t>(end - text.data()));
  return measure;
}

// The words between the brackets; separators are space, comma and, before alpha, a slash.
std::vector<std::string_view> Words(std::string_view inner) {
  constexpr std::string_view kBetween = " \t\r\n\f,/";
  std::vector<std::string_view> words;
  while (true) {
    const size_t first = inner.find_first_not_of(kBetween);
    if (first == std::string_view::npos) return words;
    inner.remove_prefix(first);
    words.push_back(inner.substr(0, inner.find_first_of(kBetween)));
    inner.remove_prefix(words.back().size());
  }
}

std::optional<Srgb8> FromRgb(const std::array<Measure, 3>& parts) {
  const std::string_view unit = parts[0].unit;
  if (unit != "" && unit != "%") return std::nullopt;
  std::array<uint8_t, 3> codes{};
  for (size_t i = 0; i < 3; ++i) {
    if (parts[i].unit != unit) return std::nullopt;
    codes[i] = Code(parts[i].number / (unit == "%" ? 100 : 255));
  }
  return Srgb8{codes[0], codes[1], codes[2]};
}

std::optional<Srgb8> FromHsl(const std::array<Measure, 3>& parts) {
  double degrees = parts[0].number;
  const std::string_view unit = parts[0].unit;
  if (unit == "turn") {
    degrees *= 360;
  } else if (unit == "rad") {
    degrees *= 180 / std::numbers::pi;
  } else if (unit == "grad") {
    degrees *= 0.9;
  } else if (unit != "" && unit != "deg") {
    return std::nullopt;
  }
  if (parts[1].unit != "%" || parts[2].unit != "%") return std::nullopt;
  const double saturation = std::clamp(parts[1].number / 100, 0.0, 1.0);
  const double lightness = std::clamp(parts[2].number / 100, 0.0, 1.0);
  const double turn = degrees - 360 * std::floor(degrees / 360);
  // f(n) = l - a max(-1, min(k - 3, 9 - k, 1)), k = (n + h / 30) mod 12, a = s min(l, 1 - l).
  const auto band = [&](double n) {
    const double k = std::fmod(n + turn / 30, 12);
    const double a = saturation * std::min(lightness, 1 - lightness);
    return Code(lightness - a * std::max(-1.0, std::min({k - 3, 9 - k, 1.0})));
  };
  return Srgb8{band(0), band(8), band(4)};
}

std::optional<WrittenColour> ParseFunction(std::string_view name, std::string_view inner) {
  const std::vector<std::string_view> words = Words(inner);
  if (words.size() != 3 && words.size() != 4) return std::nullopt;
  std::array<Measure, 3> parts;
  for (size_t i = 0; i < 3; ++i) {
    const auto measure = ParseMeasure(words[i]);
    if (!measure) return std::nullopt;
    parts[i] = *measure;
  }
  std::string alpha;
  if (words.size() == 4) {
    const auto measure = ParseMeasure(words[3]);
    if (!measure || (measure->unit != "" && measure->unit != "%")) return std::nullopt;
    alpha = words[3];
  }
  std::optional<Srgb8> colour;
  if (name == "rgb" || name == "rgba") colour = FromRgb(parts);
  if (name == "hsl" || name == "hsla") colour = FromHsl(parts);
  if (!colour) return std::nullopt;
  return WrittenColour{*colour, alpha, true};
}

}  // namespace

std::optional<WrittenColour> ParseColour(std::string_view text) {
  if (text.empty() || text.size() > kLongestColour) return std::nullopt;
  std::string lower(text);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  const std::string_view word = lower;
  if (word[0] == '#') return ParseHex(word.substr(1));
  const size_t open = word.find('(');
  if (open != std::string_view::npos) {
    if (word.back() != ')') return std::nullopt;
    return ParseFunction(word.substr(0, open), word.substr(open + 1, word.size() - open - 2));
  }
  if (const auto named = ColourNamed(word)) return WrittenColour{*named, "", false};
  return std::nullopt;
}

std::string WriteColour(Srgb8 colour, const WrittenColour& written) {
  const std::string& alpha = written.alpha;
  if (alpha.empty()) return HexOf(colour);
  if (!written.functional) return HexOf(colour) + alpha;
  return fmt::format("rgba({},{},{},{})", colour.r, colour.g, colour.b, alpha);
}

}  // namespace wheatpaste

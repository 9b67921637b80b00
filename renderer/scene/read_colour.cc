#include "scene/read_colour.h"

#include <fmt/format.h>

#include "scene/nearest_name.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxColourBytes = 64;

std::optional<Srgb8> FromHex(std::string_view text) {
  if ((text.size() != 4 && text.size() != 7) || text[0] != '#') return std::nullopt;
  std::array<uint8_t, 6> digits{};
  const size_t count = text.size() - 1, repeat = 6 / count;
  for (size_t i = 0; i < count; ++i) {
    const char c = text[i + 1];
    int digit = -1;
    if (c >= '0' && c <= '9') digit = c - '0';
    if (c >= 'a' && c <= 'f') digit = c - 'a' + 10;
    if (c >= 'A' && c <= 'F') digit = c - 'A' + 10;
    if (digit < 0) return std::nullopt;
    for (size_t k = 0; k < repeat; ++k) digits[i * repeat + k] = static_cast<uint8_t>(digit);
  }
  const auto code = [&digits](size_t i) {
    return static_cast<uint8_t>(16 * digits[2 * i] + digits[2 * i + 1]);
  };
  return Srgb8{code(0), code(1), code(2)};
}

}  // namespace

std::optional<Srgb8> ReadColour(TableReader& table, std::string_view key,
                                const std::vector<Swatch>& swatches) {
  const TomlNode* node = table.Line(key, kMaxColourBytes);
  if (!node) return std::nullopt;
  if (const auto colour = FromHex(node->text)) return colour;
  std::vector<std::string> names;
  for (const Swatch& swatch : swatches) {
    if (swatch.name == node->text) return swatch.colour;
    names.push_back(swatch.name);
  }
  const std::string nearest = NearestName(node->text, names);
  table.Refuse(key, *node,
               names.empty()
                   ? "expected a colour such as \"#0d3b66\""
                   : fmt::format("expected a colour such as \"#0d3b66\" or a swatch; {}",
                                 nearest.empty() ? "there are " + QuotedList(names)
                                                 : fmt::format("did you mean \"{}\"?", nearest)));
  return std::nullopt;
}

}  // namespace wheatpaste

#include "scene/sizes.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/presets.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxTextBytes = 64;
constexpr size_t kMaxSourceBytes = 400;
constexpr char kAcross[] = " landscape";
constexpr NumberRule kSideMmRule{0, false, 1e5, "a length above 0 mm, at most 100000 mm"};
constexpr NumberRule kSidePxRule{1, true, static_cast<double>(kMaxPictureSidePx), "1 to 60000 px"};
static_assert(kMaxPictureSidePx == 60'000);

struct NamedSize {
  std::string name;
  PictureSize size;
};

std::string Lower(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

// Lying across: the wider side along the top.
PictureSize Across(const PictureSize& size) {
  return std::visit(
      [](const auto& extent) -> PictureSize {
        auto turned = extent;
        if (turned.width < turned.height) std::swap(turned.width, turned.height);
        return {turned};
      },
      size.extent);
}

Error BadSize(const Placed<std::string>& text, const std::string& message) {
  if (text.key.empty()) return {text.place, "", message};
  return {text.place, fmt::format("{} = \"{}\"", text.key, PrintableText(text.value, 60)), message};
}

void ReadNamedSize(TableReader& table, NamedSize& named) {
  table.Require("name", "the size's name");
  if (const TomlNode* name = table.Line("name", kMaxTextBytes)) named.name = name->text;
  table.Require("source", "where the numbers come from");
  table.Line("source", kMaxSourceBytes);
  const bool in_px = table.Find("px") != nullptr;
  if (!in_px) table.Require("mm", "mm or px, [width, height]");
  const auto mm = table.Numbers("mm", 2, kSideMmRule, "[width, height] in mm");
  const auto px = table.Numbers("px", 2, kSidePxRule, "[width, height] in px");
  if (mm) named.size.extent = SizeMm{(*mm)[0], (*mm)[1]};
  if (!px) return;
  if (const TomlNode* both = table.Find("mm")) table.Refuse("mm", *both, "expected mm or px");
  const SizePx whole{static_cast<int64_t>((*px)[0]), static_cast<int64_t>((*px)[1])};
  if (static_cast<double>(whole.width) != (*px)[0] ||
      static_cast<double>(whole.height) != (*px)[1]) {
    table.Refuse("px", *table.Find("px"), "expected whole numbers");
  }
  named.size.extent = whole;
}

Result<std::vector<NamedSize>> ReadNamedSizes(const std::string& data_folder) {
  std::string path;
  const Result<TomlNode> root = ReadSharedFile(data_folder, "sizes.toml", path);
  if (!root.ok()) return root.errors();
  Mistakes mistakes(path);
  TableReader file(*root, "", mistakes);
  std::vector<NamedSize> sizes;
  for (const TomlNode* node : ReadTables(file, "size")) {
    TableReader table(*node, "size", mistakes);
    NamedSize named;
    ReadNamedSize(table, named);
    table.RefuseUnknown();
    const auto same = [&](const NamedSize& size) { return Lower(size.name) == Lower(named.name); };
    if (std::any_of(sizes.begin(), sizes.end(), same)) {
      mistakes.Add(*node, "size.name", "expected a name of its own; an earlier size has it");
    }
    sizes.push_back(std::move(named));
  }
  file.RefuseUnknown();
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  return sizes;
}

// A plain decimal at the start of `text`, which moves behind it: digits, or digits "." digits.
std::optional<double> TakeDecimal(std::string_view& text) {
  size_t length = 0;
  while (length < text.size() &&
         ((text[length] >= '0' && text[length] <= '9') || (length > 0 && text[length] == '.'))) {
    ++length;
  }
  double number = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + length, number);
  if (fault != std::errc() || end != text.data() + length) return {};
  text.remove_prefix(length);
  return number;
}

struct Written {
  double width = 0;
  double height = 0;
  std::string unit;  // "", "mm" or "in"
};

std::optional<Written> ParseWritten(const std::string& text) {
  std::string_view rest = text;
  Written written;
  const auto width = TakeDecimal(rest);
  if (!width || rest.empty() || rest.front() != 'x') return {};
  rest.remove_prefix(1);
  const auto height = TakeDecimal(rest);
  if (!height || !(rest.empty() || rest == "mm" || rest == "in")) return {};
  return Written{*width, *height, std::string(rest)};
}

Result<PictureSize> SizeOf(const Written& written, const Placed<std::string>& text) {
  if (written.unit.empty()) {
    const auto whole = [](double side) {
      return side >= 1 && side <= static_cast<double>(kMaxPictureSidePx) &&
             side == std::floor(side);
    };
    if (!whole(written.width) || !whole(written.height)) {
      return BadSize(text, fmt::format("expected whole sides of 1 to {} px", kMaxPictureSidePx));
    }
    return PictureSize{
        SizePx{static_cast<int64_t>(written.width), static_cast<int64_t>(written.height)}};
  }
  const double mm_per_unit = written.unit == "in" ? kMmPerInch : 1.0;
  const SizeMm mm{written.width * mm_per_unit, written.height * mm_per_unit};
  if (!kSideMmRule.Accepts(mm.width) || !kSideMmRule.Accepts(mm.height)) {
    return BadSize(text, "expected sides above 0 mm, at most 100000 mm");
  }
  return PictureSize{mm};
}

}  // namespace

SizePx PictureSize::ToPixels(Ppi ppi) const {
  if (const auto* px = std::get_if<SizePx>(&extent)) return *px;
  const auto& mm = std::get<SizeMm>(extent);
  return {std::llround(mm.width / kMmPerInch * ppi.value),
          std::llround(mm.height / kMmPerInch * ppi.value)};
}

Result<PictureSize> ReadPictureSize(const Placed<std::string>& text,
                                    const std::string& data_folder) {
  const std::string wanted = Lower(text.value);
  if (const auto written = ParseWritten(wanted)) return SizeOf(*written, text);
  const Result<std::vector<NamedSize>> sizes = ReadNamedSizes(data_folder);
  if (!sizes.ok()) return sizes.errors();
  std::vector<std::string> names;
  for (const NamedSize& named : *sizes) {
    if (Lower(named.name) == wanted) return named.size;
    if (Lower(named.name) + kAcross == wanted) return Across(named.size);
    names.push_back(named.name);
  }
  const std::string nearest = NearestName(wanted, names);
  return BadSize(text,
                 fmt::format("expected WIDTHxHEIGHT in px, such as 1600x1200, in mm or in, such as "
                             "210x297mm, or one of {}{}",
                             fmt::join(names, ", "),
                             nearest.empty() ? "" : fmt::format("; did you mean {}?", nearest)));
}

Result<SizePx> PixelsWithinLimits(const PictureSize& size, Ppi ppi,
                                  const Placed<std::string>& text) {
  const double most = static_cast<double>(kMaxPictureSidePx) + 0.5;
  // In floating point first: a density from a user may be too large for whole numbers.
  double width = 0, height = 0;
  std::string at, fitting;
  if (const auto* mm = std::get_if<SizeMm>(&size.extent)) {
    width = mm->width / kMmPerInch * ppi.value;
    height = mm->height / kMmPerInch * ppi.value;
    at = fmt::format("at {:g} ppi ", ppi.value);
    const double largest = std::floor(most / (std::max(mm->width, mm->height) / kMmPerInch));
    if (largest >= 1 && largest < ppi.value) fitting = fmt::format("; {:g} ppi fits", largest);
  } else {
    width = static_cast<double>(std::get<SizePx>(size.extent).width);
    height = static_cast<double>(std::get<SizePx>(size.extent).height);
  }
  const auto fits = [&](double side) { return side >= 0.5 && side < most; };
  if (fits(width) && fits(height)) return size.ToPixels(ppi);
  return BadSize(text,
                 fmt::format("expected sides of 1 to {} px; {}they are {:.0f} and {:.0f} px{}",
                             kMaxPictureSidePx, at, width, height, fitting));
}

}  // namespace wheatpaste

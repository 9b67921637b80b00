#include "present/theme.h"

#include <utility>

#include <fmt/format.h>

#include "base/files.h"
#include "colour/contrast.h"
#include "scene/read_colour.h"
#include "scene/scene_parts.h"
#include "scene/scene_paths.h"
#include "scene/table_reader.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMaxThemeBytes = 64 << 10;
constexpr NumberRule kMarginRule{0, true, 100, "0 to 100 mm"};
constexpr NumberRule kLogoRule{2, true, 100, "2 to 100 mm"};

constexpr double kLeastAspect = 1.2, kMostAspect = 2.4;
constexpr double kLeastWidthMm = 150, kMostWidthMm = 1500;
constexpr double kScreenWidthMm = 40.0 / 3 * kMmPerInch;  // 13 1/3 in

// The table under `key`, which may be missing, read by `read`.
template <typename Read>
void ReadPart(TableReader& root, const char* key, const Read& read) {
  const TomlNode* node = root.Find(key);
  if (node == nullptr) return;
  if (node->kind != TomlKind::kTable) {
    return root.Refuse(key, *node, fmt::format("expected a table, [{}]", key));
  }
  TableReader table(*node, key, root.mistakes());
  read(table);
  table.RefuseUnknown();
}

void ReadText(TableReader& table, const char* key, std::string& text) {
  if (const TomlNode* line = table.Line(key, kMaxThemeText)) text = line->text;
}

void ReadColours(TableReader& table, Theme& theme) {
  for (const auto& [key, colour] :
       {std::pair("ground", &theme.ground), std::pair("text", &theme.text),
        std::pair("quiet", &theme.quiet), std::pair("accent", &theme.accent)}) {
    if (const auto read = ReadColour(table, key, {})) *colour = *read;
  }
  const auto check = [&](const char* key, const Srgb8& colour) {
    const double ratio = ContrastRatio(LinearFromSrgb(colour), LinearFromSrgb(theme.ground));
    // Stands at the colour, or where only the ground is stated, there.
    const char* const stated = table.Find(key) != nullptr ? key : "ground";
    const TomlNode* node = table.Find(stated);
    if (ratio >= kLeastTextContrast || node == nullptr) return;
    table.Refuse(stated, *node,
                 fmt::format("the colour {}, {}, has a contrast of {:.2f} to the ground, {}; "
                             "expected at least {}, to be read",
                             key, HexOf(colour), ratio, HexOf(theme.ground), kLeastTextContrast));
  };
  check("text", theme.text);
  check("quiet", theme.quiet);
  check("accent", theme.accent);
}

// Puts what the file says into `theme`.
Status ReadInto(const std::string& path, const std::string& data_folder, Theme& theme) {
  const auto bytes = ReadWholeFile({path, {PrintableText(path)}, ""}, kMaxThemeBytes);
  if (!bytes) return bytes.errors();
  const auto file = ParseToml({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path);
  if (!file) return file.errors();
  const ScenePaths paths(path, {data_folder, {}});
  Mistakes mistakes(path);
  TableReader root(*file, "", mistakes);
  if (const TomlNode* size = root.Line("size", kMaxThemeText)) {
    theme.size = {size->text, mistakes.PlaceOf(*size), "size"};
    if (const auto page = ReadPageSize(theme.size, data_folder); !page) {
      root.Refuse("size", *size, page.errors().front().message);
    }
  }
  ReadText(root, "footer", theme.footer);
  ReadPart(root, "fonts", [&](TableReader& table) {
    ReadText(table, "heading", theme.heading_font);
    ReadText(table, "text", theme.text_font);
  });
  ReadPart(root, "colours", [&](TableReader& table) { ReadColours(table, theme); });
  ReadPart(root, "margins", [&](TableReader& table) {
    for (const auto& [key, margin] :
         {std::pair("top", &theme.margins.top), std::pair("right", &theme.margins.right),
          std::pair("bottom", &theme.margins.bottom), std::pair("left", &theme.margins.left)}) {
      if (const auto read = table.Number(key, kMarginRule)) *margin = *read;
    }
  });
  ReadPart(root, "logo", [&](TableReader& table) {
    table.Require("file", "the logo's file, such as \"logo.svg\"");
    table.Require("height", "its height in mm");
    ThemeLogo logo;
    if (auto name = ReadFileName(table, "file", paths)) logo.file = *std::move(name);
    logo.height_mm = table.Number("height", kLogoRule).value_or(0);
    theme.logo = std::move(logo);
  });
  root.RefuseUnknown();
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  return Done{};
}

}  // namespace

Result<Theme> ReadTheme(const std::optional<std::string>& path, const std::string& data_folder) {
  Theme theme;
  const std::string plain = JoinPath(data_folder, "shared/themes/plain.toml");
  if (const Status read = ReadInto(plain, data_folder, theme); !read) return read.errors();
  if (!path) return theme;
  if (const Status read = ReadInto(*path, data_folder, theme); !read) return read.errors();
  return theme;
}

Result<SizeMm> ReadPageSize(const Placed<std::string>& text, const std::string& data_folder) {
  const auto size = ReadPictureSize(text, data_folder);
  if (!size) return size.errors();
  SizeMm page;
  if (size->printed()) {
    page = std::get<SizeMm>(size->extent);
  } else {
    const SizePx px = std::get<SizePx>(size->extent);
    page = {kScreenWidthMm,
            kScreenWidthMm * static_cast<double>(px.height) / static_cast<double>(px.width)};
  }
  const double aspect = page.width / page.height;
  if (aspect >= kLeastAspect && aspect <= kMostAspect && page.width >= kLeastWidthMm &&
      page.width <= kMostWidthMm) {
    return page;
  }
  return Error{
      text.place, text.key.empty() ? "" : fmt::format("{} = \"{}\"", text.key, text.value),
      fmt::format("expected a page from {} to {} times as wide as high and from {} to {} mm wide, "
                  "such as slide, \"A4 landscape\" or \"letter landscape\"",
                  kLeastAspect, kMostAspect, kLeastWidthMm, kMostWidthMm)};
}

std::vector<std::string> FontNotes(const Theme& theme) {
  std::vector<std::string> notes;
  for (const std::string* const family : {&theme.heading_font, &theme.text_font}) {
    if (family == &theme.text_font && theme.text_font == theme.heading_font) continue;
    if (const auto taken = FontInPlaceOf(*family)) {
      notes.push_back(fmt::format("the font {} is not on this machine; {} is taken for it",
                                  PrintableText(*family), PrintableText(*taken)));
    }
  }
  return notes;
}

}  // namespace wheatpaste

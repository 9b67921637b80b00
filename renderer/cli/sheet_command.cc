#include <charconv>

#include <fmt/format.h>

#include "base/files.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/outcome.h"
#include "cli/report.h"
#include "present/caption.h"
#include "present/contact_sheet.h"
#include "present/preview_set.h"

namespace wheatpaste {
namespace {

constexpr double kLeastPageMm = 60, kMostPageMm = 5000;

Result<SheetOrder> ReadOrder(const std::string& text) {
  if (text == "scene") return SheetOrder::kScene;
  if (text == "artwork") return SheetOrder::kArtwork;
  if (text == "colourway") return SheetOrder::kColourway;
  return Error{{"--sort " + PrintableText(text)}, "", "expected scene, artwork or colourway"};
}

Result<size_t> ReadColumns(const std::string& text) {
  size_t columns = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), columns);
  if (fault == std::errc() && end == text.data() + text.size() && columns >= 1 &&
      columns <= kMostSheetColumns) {
    return columns;
  }
  return Error{{"--columns " + PrintableText(text)},
               "",
               fmt::format("expected a whole number from 1 to {}", kMostSheetColumns)};
}

// Size and density; a size in px is a screen's.
Status ReadSheetSize(const std::string& text, ContactSheetOptions& options) {
  const auto size = ReadPictureSize(PlacedOption("--size", text), DataFolder());
  if (!size) return size.errors();
  if (const auto* const mm = std::get_if<SizeMm>(&size->extent)) {
    options.page = *mm;
  } else {
    options.ppi = {kCssPxPerInch};
    const SizePx px = std::get<SizePx>(size->extent);
    const auto mm_of = [](int64_t side) {
      return static_cast<double>(side) / kCssPxPerInch * kMmPerInch;
    };
    options.page = SizeMm{mm_of(px.width), mm_of(px.height)};
  }
  for (const double side : {options.page->width, options.page->height}) {
    if (side >= kLeastPageMm && side <= kMostPageMm) continue;
    return Error{{"--size " + PrintableText(text)},
                 "",
                 fmt::format("expected sides of {} to {} mm", kLeastPageMm, kMostPageMm)};
  }
  return Done{};
}

}  // namespace

int RunContactSheet(const SheetArguments& arguments) {
  Errors errors;
  const auto take = [&errors](auto result) {
    if (!result) errors.insert(errors.end(), result.errors().begin(), result.errors().end());
    return result;
  };
  const std::string out = arguments.out.value_or(JoinPath(arguments.folder, "sheet.pdf"));
  const std::string ending = EndingOf(out);
  if (ending != "pdf" && ending != "png" && ending != "jpg" && ending != "jpeg") {
    errors.push_back(
        {{"--out " + PrintableText(out)}, "", "expected a name ending in .pdf, .png or .jpg"});
  }
  ContactSheetOptions options;
  options.program = "wheatpaste " WHEATPASTE_VERSION;
  if (arguments.sort) {
    if (const auto order = take(ReadOrder(*arguments.sort))) options.order = *order;
  }
  if (arguments.columns) {
    if (const auto columns = take(ReadColumns(*arguments.columns))) options.columns = *columns;
  }
  if (arguments.size) (void)take(ReadSheetSize(*arguments.size, options));
  if (auto theme = take(ReadTheme(arguments.theme, DataFolder()))) {
    options.theme = *std::move(theme);
  }
  const auto set = take(ReadPreviewSet(arguments.folder, arguments.output));
  if (!errors.empty()) return Refuse(errors);
  for (const std::string& note : FontNotes(options.theme)) fmt::print("note: {}\n", note);
  const auto made = WriteContactSheet(*set, options, out);
  if (!made) return Refuse(made.errors());
  fmt::print("{}: {}, {}, {:.1f} MB\n", PrintableText(out),
             Counted(made->pictures, "picture", "pictures"), Counted(made->pages, "page", "pages"),
             static_cast<double>(made->bytes) / 1e6);
  return PrintOutcome(set->notes, made->missing);
}

}  // namespace wheatpaste

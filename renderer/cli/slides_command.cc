#include <cmath>

#include <fmt/format.h>

#include "artwork/artwork.h"
#include "base/files.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/outcome.h"
#include "cli/report.h"
#include "present/preview_set.h"
#include "present/slides.h"

namespace wheatpaste {
namespace {

constexpr double kLogoPpi = 600;
constexpr double kMaxLogoSidePx = 8000;

// The logo's pixels, by the reader of artwork: an SVG from outside is drawn in a process of its own.
// errors  as ReadArtwork; wider than is drawn.
Result<PageLogo> DrawLogoPixels(const ThemeLogo& logo) {
  const auto artwork = ReadArtwork(logo.file);
  if (!artwork) return artwork.errors();
  const double height = std::ceil(logo.height_mm / kMmPerInch * kLogoPpi);
  const double width = std::max(1.0, std::round(height * (*artwork)->aspect()));
  if (width > kMaxLogoSidePx) {
    return Error{logo.file.place,
                 fmt::format("{} = \"{}\"", logo.file.key, PrintableText(logo.file.value)),
                 fmt::format("expected a logo less than {:.0f} mm wide at its height of {} mm",
                             kMaxLogoSidePx / kLogoPpi * kMmPerInch, logo.height_mm)};
  }
  PageLogo pixels;
  pixels.size = {static_cast<int64_t>(width), static_cast<int64_t>(height)};
  const auto raster = (*artwork)->Rasterise(pixels.size);
  if (!raster) return raster.errors();
  pixels.words.reserve(static_cast<size_t>(pixels.size.area()));
  for (int64_t y = 0; y < pixels.size.height; ++y) {
    for (int64_t x = 0; x < pixels.size.width; ++x) {
      const double alpha = std::clamp(double{raster->row(3, y)[x]}, 0.0, 1.0);
      auto word = static_cast<uint32_t>(std::lround(alpha * 255)) << 24;
      for (int band = 0; band < 3 && alpha > 0; ++band) {
        const double linear = std::clamp(raster->row(band, y)[x] / alpha, 0.0, 1.0);
        const auto code = static_cast<uint32_t>(std::lround(SrgbFromLinear(linear) * alpha * 255));
        word |= code << (16 - 8 * band);
      }
      pixels.words.push_back(word);
    }
  }
  return pixels;
}

}  // namespace

int RunSlides(const SlidesArguments& arguments) {
  Errors errors;
  const auto take = [&errors](auto result) {
    if (!result) errors.insert(errors.end(), result.errors().begin(), result.errors().end());
    return result;
  };
  const std::string data_folder = DataFolder();
  const std::string out = arguments.out.value_or(JoinPath(arguments.folder, "slides.pdf"));
  if (EndingOf(out) != "pdf") {
    errors.push_back({{"--out " + PrintableText(out)}, "", "expected a name ending in .pdf"});
  }
  const auto theme = take(ReadTheme(arguments.theme, data_folder));
  const auto set = take(ReadPreviewSet(arguments.folder, arguments.output));
  SlideOptions options;
  options.program = "wheatpaste " WHEATPASTE_VERSION;
  if (theme) {
    options.theme = *theme;
    const auto size = arguments.size ? PlacedOption("--size", *arguments.size) : options.theme.size;
    if (const auto page = take(ReadPageSize(size, data_folder))) options.page = *page;
    if (options.theme.logo) {
      if (auto logo = take(DrawLogoPixels(*options.theme.logo))) options.logo = *std::move(logo);
    }
  }
  if (!errors.empty()) return Refuse(errors);
  for (const std::string& note : FontNotes(options.theme)) fmt::print("note: {}\n", note);
  const auto made = WriteSlides(*set, options, out);
  if (!made) return Refuse(made.errors());
  fmt::print("{}: {} pages, {} pictures, {:.1f} MB\n", PrintableText(out), made->pages,
             made->pictures, static_cast<double>(made->bytes) / 1e6);
  std::vector<std::string> notes = set->notes;
  if (made->anew > 0) {
    notes.push_back(fmt::format(
        "{} of the pictures encoded anew, as sRGB and small enough for a PDF", made->anew));
  }
  return PrintOutcome(notes, made->missing);
}

}  // namespace wheatpaste

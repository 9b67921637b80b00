// slides.h - a batch's pictures as a deck to present from: a PDF.
//
// Pages   title; of each scene every preview, large, with its caption, then its views and the previews side by side; the
//         colours; the index (slides_plan.h). The same batch gives the same bytes at any time.
// Trust   a picture that is missing, or is not the one that the manifest speaks of, is left out and named: its caption
//         would be about another picture.
// Size    a JPEG in sRGB of at most kMostSidePx goes in as it is, as long as the deck has at most kMostBytesAPage for each
//         page; else pictures that are larger than that are encoded anew, at most kReducedSidePx a side. A picture that
//         two pages show is in the file once.
// Threads reads the pictures of a scene side by side; the bytes do not depend on their number.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "present/page_picture.h"
#include "present/preview_set.h"
#include "present/theme.h"

namespace wheatpaste {

inline constexpr int64_t kMostSidePx = 3840;
inline constexpr int64_t kReducedSidePx = 1920;
inline constexpr int64_t kMostBytesAPage = 700'000;  // 20 pages are below 15 MB

struct SlideOptions {
  Theme theme;
  std::optional<PageLogo> logo;
  SizeMm page;
  std::string program;  // that made it: "wheatpaste 0.1.0"
};

struct SlidesMade {
  size_t pages = 0;
  size_t pictures = 0;
  size_t anew = 0;  // of these encoded anew
  int64_t bytes = 0;
  std::vector<std::string> missing;  // pictures, and why
};

// errors  no picture of the set is left; a picture is damaged; `path` cannot be written. Nothing is written then.
Result<SlidesMade> WriteSlides(const PreviewSet& set, const SlideOptions& options,
                               const std::string& path);

}  // namespace wheatpaste

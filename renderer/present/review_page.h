// review_page.h - one HTML page on which a client looks at a batch's pictures and answers.
//
// Form    present/review/page.html, page.css and the scripts beside them, joined into the program when it is built; this
//         fills in the grid of thumbnails, the data that the script reads, and the pictures.
// Inside  pictures are in the page itself, or, `linked`, files of a folder beside it: "round-one.html" and
//         "round-one-pictures/". Pictures that earlier pages left in that folder are removed.
// Trust   every text is escaped; the page's policy allows its own script and style by their digests, pictures, and nothing
//         else: no network.
// Bytes   depend on nothing but the batch: the same page every time.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "present/jpeg_picture.h"
#include "present/preview_set.h"

namespace wheatpaste {

// Longer sides of pictures, px. Inside a page they are small enough to be mailed; beside it they may be print's.
inline constexpr int64_t kThumbnailSidePx = 480;
inline constexpr int64_t kInsideSidePx = 2560;
inline constexpr int64_t kLinkedSidePx = 8000;
// A page above this is more than many mail servers take (common practice, no source).
inline constexpr int64_t kMailBytes = int64_t{20} << 20;

struct ReviewOptions {
  bool linked = false;
  std::string program;  // "wheatpaste 0.1.0"
  // The blank photo of a scene in the frame of its pictures; none where it cannot be had. Asked from one thread.
  std::function<std::optional<JpegPicture>(const PreviewScene&, const JpegLimits&)> blank;
};

struct ReviewWritten {
  int64_t bytes = 0;  // of the page
  size_t pictures = 0;
  std::vector<std::string> notes;  // in plain words
  std::vector<std::string>
      missing;  // pictures of the record that are not there or cannot be read, and so not shown
};

// errors  none of the pictures can be read; cannot write. Then there is no new page.
Result<ReviewWritten> WriteReviewPage(const std::string& out, const PreviewSet& set,
                                      const ReviewOptions& options);

}  // namespace wheatpaste

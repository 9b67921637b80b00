// page_bitmap.h - a page as pixels, for a picture in place of a PDF.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "base/error.h"
#include "base/units.h"
#include "output/write_picture.h"
#include "present/page.h"

namespace wheatpaste {

class PageBitmap {
 public:
  // Rounded to whole px. A new page is white.
  // errors  at `place`: a side beyond 32767 px, or no memory.
  static Result<PageBitmap> Create(SizeMm size, Ppi ppi, const Place& place);
  PageBitmap(PageBitmap&&) noexcept;
  PageBitmap& operator=(PageBitmap&&) = delete;
  ~PageBitmap();

  const Page& page() const;

  // Writes what was drawn in sRGB, whole or not at all.
  // xmp      a finished packet (output/xmp.h); empty: none.
  // errors   as WritePicture.
  Result<int64_t> Write(const std::string& path, PictureFormat format,
                        const std::string& xmp) const;

 private:
  struct Surface;
  explicit PageBitmap(std::unique_ptr<Surface> surface);
  std::unique_ptr<Surface> surface_;
};

}  // namespace wheatpaste

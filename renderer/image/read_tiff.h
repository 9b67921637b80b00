// read_tiff.h - a TIFF in memory as libtiff sees it, and the messages libtiff would print; this
// folder only.
#pragma once

#include <memory>
#include <string>

#include <tiffio.h>

#include "base/files.h"
#include "image/bitmap.h"
#include "image/read_tiff_rows.h"

namespace wheatpaste {

// The file's bytes, a reading place, and the first complaint of libtiff.
struct TiffSource {
  const uint8_t* data = nullptr;
  size_t size = 0;
  size_t at = 0;
  bool strict = false;  // count warnings too: from then on they tell of damaged pixels
  char complaint[512] = "";
};

struct CloseTiff {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
using TiffHandle = std::unique_ptr<TIFF, CloseTiff>;

// Opens the first directory of `source`, which must outlive the handle. Null where libtiff refuses.
TiffHandle OpenTiff(TiffSource& source);

// Reads all strips or tiles into bitmap.codes, which has its memory already.
// returns  false where data are missing or damaged; source.complaint says what libtiff said.
bool ReadTiffPixels(TIFF* tiff, TiffSource& source, const TiffLayout& layout, Bitmap& bitmap);

}  // namespace wheatpaste

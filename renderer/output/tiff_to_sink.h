// tiff_to_sink.h - libtiff writing into a PictureSink; for this folder only.
//
// Model   libtiff writes strips and tiles as they come and turns back to fix its tables, so it is given the file's own
//         descriptor for reading and seeking. Its words are kept, not printed.
#pragma once

#include <memory>

#include <tiffio.h>

#include "output/write_formats.h"

namespace wheatpaste {

// One file being written, and the first words of libtiff's that complain of it.
struct TiffJob {
  PictureSink* sink = nullptr;
  char words[256] = "";
};

struct CloseTiff {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
using TiffHandle = std::unique_ptr<TIFF, CloseTiff>;

// data_bytes  of all rows before compression: more than plain TIFF's 32-bit offsets reach makes a BigTIFF.
// returns     null where libtiff refuses; `job` outlives the handle.
TiffHandle OpenTiff(TiffJob& job, int64_t data_bytes);

// What both kinds of file share: size, channels side by side, orientation.
void SetSize(TIFF* tiff, SizePx size);

// A compression that knows predictors, and one of them.
void SetCompression(TIFF* tiff, int compression, int predictor);

}  // namespace wheatpaste

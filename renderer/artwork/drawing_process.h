// drawing_process.h - draws an SVG in a child process that can be ended at any moment.
//
// Model   librsvg cannot be interrupted, and a small file can ask for hours of work (nested <use>,
//         filters of huge radius) or for all memory. So it runs in a forked child with a memory
//         limit (kDrawingMemoryBytes), its output streams closed, no descriptor but one socket; the
//         parent waits for each answer with a deadline and kills the child when that passes. A
//         crash of a library is then an error of the artwork. Pixels come back through shared
//         memory.
// Fork    the child uses nothing that the parent's other threads may hold locked: GLib and librsvg
//         run in children only, and the C library makes its own locks safe across fork. What the
//         parent writes while a child lives is copied page by page, so fork first and make large
//         pictures afterwards.
// Time    fork, reading of a small SVG and exit: 3 ms.
// Threads one DrawingProcess belongs to one thread; several may exist at once.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "base/error.h"
#include "base/rect.h"

namespace wheatpaste {

inline constexpr int64_t kDrawingMemoryBytes = int64_t{4} << 30;

// How long a child may take, in seconds of wall time. Process-wide; set before any drawing starts.
struct DrawingLimits {
  double read_seconds = 20;
  double draw_seconds = 60;  // for all parts of one raster
};
DrawingLimits& drawing_limits();

// What an SVG says about its own size, in CSS px; both 0 when it says nothing.
struct SvgSize {
  double width_px = 0;
  double height_px = 0;
};

struct SvgSource {
  std::span<const uint8_t> bytes;
  std::string base_file;   // where references to bitmaps start from; "" for none
  bool unlimited = false;  // lift libxml2's limit of 10 MB on one text (large embedded bitmaps)
};

// A part of the drawing stretched to `whole`.
struct PartRequest {
  SizePx whole;
  RectPx part;
  // By playing back a recording of the whole, which is quicker from the second part on. Not for drawings
  // with text (spaced by the surface that it is drawn on), patterns, pictures or layers.
  bool recorded = false;
};

class DrawingProcess {
 public:
  // path        must outlive the object.
  // part_bytes  shared memory for the largest part that will be asked for, 0 to read only.
  // errors      no process or memory to be had.
  static Result<DrawingProcess> Start(const SvgSource& source, size_t part_bytes,
                                      const Placed<std::string>& path);
  DrawingProcess(DrawingProcess&&) noexcept;
  DrawingProcess& operator=(DrawingProcess&&) = delete;
  ~DrawingProcess();

  // Waits until the file is read; once, before anything is drawn.
  // errors  librsvg refuses the file (its words), the child ran out of time or ended.
  Result<SvgSize> AwaitSize();

  // Draws one part, at most kMaxDrawingSidePx a side; pixels() then holds its pixels, rows tightly
  // packed: native 32-bit words 0xAARRGGBB, colour premultiplied by alpha in codes.
  // deadline  seconds on the monotonic clock (MonotonicSeconds) at which to give up.
  Status Draw(const PartRequest& request, double deadline);
  const uint32_t* pixels() const { return pixels_; }

 private:
  DrawingProcess(const Placed<std::string>& path) : path_(path) {}
  struct Reply;
  [[noreturn]] static void Serve(const SvgSource& source, uint32_t* pixels) noexcept;
  Result<Reply> Await(double deadline, double limit_seconds);

  const Placed<std::string>& path_;
  int child_ = -1;
  int socket_ = -1;
  uint32_t* pixels_ = nullptr;
  size_t pixel_bytes_ = 0;
};

double MonotonicSeconds();

}  // namespace wheatpaste

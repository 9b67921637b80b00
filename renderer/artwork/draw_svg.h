// draw_svg.h - the only file that calls librsvg and cairo. Runs inside a DrawingProcess.
#pragma once

#include <memory>
#include <string>

#include "artwork/drawing_process.h"

namespace wheatpaste {

class SvgHandle {
 public:
  // Fills `error` and leaves ok() false when librsvg refuses the file.
  SvgHandle(const SvgSource& source, std::string& error);
  ~SvgHandle();
  SvgHandle(const SvgHandle&) = delete;
  SvgHandle& operator=(const SvgHandle&) = delete;

  bool ok() const { return handle_ != nullptr; }

  // width and height where both are lengths; one of them with the viewBox's aspect; the viewBox.
  SvgSize size() const;

  // Where the request allows it, the first call keeps what is to be drawn (a cairo recording), and this
  // and later calls of the same whole play back what the part shows.
  // Draws a part into `pixels` (see DrawingProcess::Draw). False with `error` filled on failure.
  bool Draw(const PartRequest& request, uint32_t* pixels, std::string& error);

 private:
  bool Record(SizePx whole, std::string& error);

  void* handle_ = nullptr;     // RsvgHandle
  void* recording_ = nullptr;  // cairo_surface_t, of a drawing of recorded_
  SizePx recorded_;
};

}  // namespace wheatpaste

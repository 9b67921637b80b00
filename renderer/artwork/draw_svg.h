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

  // Draws a band into `pixels` (see DrawingProcess::Draw). False with `error` filled on failure.
  bool Draw(const BandRequest& request, uint32_t* pixels, std::string& error) const;

 private:
  void* handle_ = nullptr;  // RsvgHandle
};

}  // namespace wheatpaste

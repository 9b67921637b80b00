// page_picture.h - pictures on a page: a JPEG that a PDF holds byte for byte, and a small drawing with alpha, a logo.
//
// Model   a PDF gets the JPEG's own bytes, once for all pages that show it; a page of pixels gets it decoded and reduced
//         in codes, so hand it one that is near its size already (JpegLimits reduces in linear light). Both take its codes
//         as sRGB's.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "present/jpeg_picture.h"
#include "present/page.h"

namespace wheatpaste {

// The largest rectangle of the picture's shape in `box`, at its top left.
RectMm FitInto(const SizePx& picture, const RectMm& box);

// Draws the picture over all of `rect`; of one with another shape the middle, cut at its edges.
// id       what this picture has in common with others of the same bytes alone, such as its SHA-256.
// picture  its bytes decode (jpeg_picture.h makes no others).
void DrawPicture(const Page& page, const JpegPicture& picture, const std::string& id,
                 const RectMm& rect);

// Rows of 32-bit words 0xAARRGGBB, sRGB codes multiplied by alpha.
struct PageLogo {
  SizePx size;
  std::vector<uint32_t> words;
};

// Draws it into `rect` whole, stretched where the shapes differ.
void DrawLogo(const Page& page, const PageLogo& logo, const RectMm& rect);

}  // namespace wheatpaste

// page.h - a page while it is drawn, on paper or as pixels: areas, lines, and what the parts of it mean.
//
// Units   mm from the page's top left, x right, y down. Colours are sRGB.
// Meaning what is drawn while a PageTag or PageLink lives belongs to it: the structure that a PDF's reader is read aloud,
//         and what is pressed to go elsewhere. On a page of pixels both do nothing.
// Threads one page belongs to one thread; pages of several documents may be drawn at once.
#pragma once

#include <cstddef>

#include "colour/srgb.h"
#include "scene/sizes.h"

typedef struct _cairo cairo_t;  // NOLINT: as cairo declares it

namespace wheatpaste {

struct RectMm {
  double x = 0, y = 0, width = 0, height = 0;
  double right() const { return x + width; }
  double bottom() const { return y + height; }
};

class Page {
 public:
  // number  of the page in its document, from 1; 0: a page of pixels, which takes no JPEG, tags or links.
  Page(cairo_t* context, SizeMm size, size_t number)
      : context_(context), size_(size), number_(number) {}

  const SizeMm& size() const { return size_; }
  size_t number() const { return number_; }
  bool of_document() const { return number_ > 0; }
  cairo_t* context() const { return context_; }  // in mm

  void Fill(const RectMm& rect, const Srgb8& colour) const;
  void FillCircle(double x, double y, double radius, const Srgb8& colour) const;
  // Along the inside of the rectangle's edge.
  void Frame(const RectMm& rect, double line_mm, const Srgb8& colour) const;

 private:
  cairo_t* context_;
  SizeMm size_;
  size_t number_;
};

class PageTag {
 public:
  enum Kind { kHeading, kSubheading, kParagraph, kFigure, kCaption };
  PageTag(const Page& page, Kind kind);
  ~PageTag();
  PageTag(const PageTag&) = delete;
  PageTag& operator=(const PageTag&) = delete;

 private:
  const Page& page_;
  Kind kind_;
};

class PageLink {
 public:
  // target  an earlier page of the document: cairo 1.16 writes a broken file for a later one.
  PageLink(const Page& page, size_t target);
  ~PageLink();
  PageLink(const PageLink&) = delete;
  PageLink& operator=(const PageLink&) = delete;

 private:
  const Page& page_;
};

}  // namespace wheatpaste

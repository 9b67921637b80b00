#include "present/page_picture.h"

#include <algorithm>
#include <cstring>
#include <memory>

#include <cairo.h>

#include "image/read_bitmap.h"

namespace wheatpaste {
namespace {

struct Destroy {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, Destroy>;

Surface MakeSurface(cairo_format_t format, const SizePx& size) {
  Surface surface(cairo_image_surface_create(format, static_cast<int>(size.width),
                                             static_cast<int>(size.height)));
  WHEATPASTE_CHECK_OP(cairo_surface_status(surface.get()), ==, CAIRO_STATUS_SUCCESS);
  return surface;
}

uint32_t* RowOf(cairo_surface_t* surface, int64_t y) {
  return reinterpret_cast<uint32_t*>(cairo_image_surface_get_data(surface) +
                                     y * cairo_image_surface_get_stride(surface));
}

// cairo keeps the data until it has written it.
void Attach(cairo_surface_t* surface, const char* kind, Bytes bytes) {
  auto* const kept = new Bytes(std::move(bytes));
  const cairo_status_t status = cairo_surface_set_mime_data(
      surface, kind, kept->data(), kept->size(),
      [](void* data) { delete static_cast<Bytes*>(data); }, kept);
  WHEATPASTE_CHECK_OP(status, ==, CAIRO_STATUS_SUCCESS);
}

// Its pixels are never touched: a PDF takes the JPEG.
Surface JpegSurface(const JpegPicture& picture, const std::string& id) {
  Surface surface = MakeSurface(CAIRO_FORMAT_RGB24, picture.size);
  Attach(surface.get(), CAIRO_MIME_TYPE_JPEG, picture.bytes);
  Attach(surface.get(), CAIRO_MIME_TYPE_UNIQUE_ID, Bytes(id.begin(), id.end()));
  return surface;
}

Surface DecodedSurface(const JpegPicture& picture) {
  const auto bitmap = DecodeBitmap(picture.bytes, {"", {"a page's picture"}, ""});
  WHEATPASTE_CHECK(bitmap.ok());
  WHEATPASTE_CHECK(bitmap->model == ColourModel::kRgb && bitmap->depth == 8 && !bitmap->has_alpha);
  Surface surface = MakeSurface(CAIRO_FORMAT_RGB24, bitmap->size);
  cairo_surface_flush(surface.get());
  for (int64_t y = 0; y < bitmap->size.height; ++y) {
    const uint8_t* code = bitmap->row(y);
    uint32_t* const row = RowOf(surface.get(), y);
    for (int64_t x = 0; x < bitmap->size.width; ++x, code += 3) {
      row[x] = static_cast<uint32_t>(code[0]) << 16 | static_cast<uint32_t>(code[1]) << 8 | code[2];
    }
  }
  cairo_surface_mark_dirty(surface.get());
  return surface;
}

// All of the surface over `rect`; what is outside of `clip` is not seen.
void Paint(const Page& page, cairo_surface_t* surface, const SizePx& size, const RectMm& rect,
           const RectMm& clip) {
  cairo_t* const cairo = page.context();
  cairo_save(cairo);
  cairo_rectangle(cairo, clip.x, clip.y, clip.width, clip.height);
  cairo_clip(cairo);
  cairo_translate(cairo, rect.x, rect.y);
  cairo_scale(cairo, rect.width / static_cast<double>(size.width),
              rect.height / static_cast<double>(size.height));
  cairo_set_source_surface(cairo, surface, 0, 0);
  // As pixels, its edge goes on beyond itself, or the ground would show through there; a PDF's reader sees to that, and
  // cairo would make another picture of it.
  if (!page.of_document()) cairo_pattern_set_extend(cairo_get_source(cairo), CAIRO_EXTEND_PAD);
  cairo_paint(cairo);
  cairo_restore(cairo);
}

}  // namespace

RectMm FitInto(const SizePx& picture, const RectMm& box) {
  const auto width = static_cast<double>(picture.width);
  const auto height = static_cast<double>(picture.height);
  const double scale = std::min(box.width / width, box.height / height);
  return {box.x, box.y, width * scale, height * scale};
}

void DrawPicture(const Page& page, const JpegPicture& picture, const std::string& id,
                 const RectMm& rect) {
  const auto width = static_cast<double>(picture.size.width);
  const auto height = static_cast<double>(picture.size.height);
  const double scale = std::max(rect.width / width, rect.height / height);
  const RectMm whole{rect.x + (rect.width - width * scale) / 2,
                     rect.y + (rect.height - height * scale) / 2, width * scale, height * scale};
  const Surface surface = page.of_document() ? JpegSurface(picture, id) : DecodedSurface(picture);
  Paint(page, surface.get(), picture.size, whole, rect);
}

void DrawLogo(const Page& page, const PageLogo& logo, const RectMm& rect) {
  const Surface surface = MakeSurface(CAIRO_FORMAT_ARGB32, logo.size);
  cairo_surface_flush(surface.get());
  const auto width = static_cast<size_t>(logo.size.width);
  for (int64_t y = 0; y < logo.size.height; ++y) {
    std::memcpy(RowOf(surface.get(), y), logo.words.data() + static_cast<size_t>(y) * width,
                width * sizeof(uint32_t));
  }
  cairo_surface_mark_dirty(surface.get());
  Paint(page, surface.get(), logo.size, rect, rect);
}

}  // namespace wheatpaste

#include "present/page_bitmap.h"

#include <cmath>
#include <utility>

#include <cairo.h>
#include <fmt/format.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMaxSurfaceSidePx = 32767;  // cairo's image surfaces

}  // namespace

struct PageBitmap::Surface {
  SizePx size;
  Ppi ppi;
  cairo_surface_t* surface;
  cairo_t* cairo;
  Page page;

  Surface(SizePx px, SizeMm mm, Ppi density, cairo_surface_t* made)
      : size(px), ppi(density), surface(made), cairo(cairo_create(made)), page(cairo, mm, 0) {
    cairo_scale(cairo, static_cast<double>(px.width) / mm.width,
                static_cast<double>(px.height) / mm.height);
    page.Fill({0, 0, mm.width, mm.height}, {255, 255, 255});
  }
  Surface(const Surface&) = delete;
  Surface& operator=(const Surface&) = delete;
  ~Surface() {
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
  }
};

PageBitmap::PageBitmap(std::unique_ptr<Surface> surface) : surface_(std::move(surface)) {}
PageBitmap::PageBitmap(PageBitmap&&) noexcept = default;
PageBitmap::~PageBitmap() = default;

Result<PageBitmap> PageBitmap::Create(SizeMm size, Ppi ppi, const Place& place) {
  const SizePx px = PictureSize{size}.ToPixels(ppi);
  if (px.width < 1 || px.height < 1 || px.width > kMaxSurfaceSidePx ||
      px.height > kMaxSurfaceSidePx) {
    return Error{place, "",
                 fmt::format("expected sides of 1 to {} px, this is {} x {} px", kMaxSurfaceSidePx,
                             px.width, px.height)};
  }
  cairo_surface_t* const surface = cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(px.width), static_cast<int>(px.height));
  if (cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS) {
    cairo_surface_destroy(surface);
    return Error{place, "", fmt::format("no memory for {} x {} px", px.width, px.height)};
  }
  return PageBitmap(std::make_unique<Surface>(px, size, ppi, surface));
}

const Page& PageBitmap::page() const { return surface_->page; }

Result<int64_t> PageBitmap::Write(const std::string& path, PictureFormat format,
                                  const std::string& xmp) const {
  cairo_surface_flush(surface_->surface);
  const Profile profile = Profile::Srgb();
  PictureFacts facts;
  facts.size = surface_->size;
  facts.density = surface_->ppi;
  facts.profile = &profile;
  facts.xmp = xmp;
  const auto row_codes = static_cast<size_t>(surface_->size.width) * 3;
  Bytes codes;
  return WritePicture(path, format, facts, [&](int64_t y0, int64_t y1) {
    codes.resize(row_codes * static_cast<size_t>(y1 - y0));
    uint8_t* code = codes.data();
    for (int64_t y = y0; y < y1; ++y) {
      const auto* const row =
          reinterpret_cast<const uint32_t*>(cairo_image_surface_get_data(surface_->surface) +
                                            y * cairo_image_surface_get_stride(surface_->surface));
      for (int64_t x = 0; x < surface_->size.width; ++x) {
        for (const int shift : {16, 8, 0}) *code++ = static_cast<uint8_t>(row[x] >> shift);
      }
    }
    return static_cast<const uint8_t*>(codes.data());
  });
}

}  // namespace wheatpaste

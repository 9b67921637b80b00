#include "artwork/draw_svg.h"

#include <cmath>
#include <cstring>

#include <librsvg/rsvg.h>

#include "base/units.h"

namespace wheatpaste {
namespace {

RsvgHandle* HandleOf(void* handle) { return static_cast<RsvgHandle*>(handle); }

std::string TakeMessage(GError* failure) {
  std::string message = failure != nullptr ? failure->message : "no reason given";
  g_clear_error(&failure);
  return message;
}

}  // namespace

SvgHandle::SvgHandle(const SvgSource& source, std::string& error) {
  GInputStream* stream = g_memory_input_stream_new_from_data(
      source.bytes.data(), static_cast<gssize>(source.bytes.size()), nullptr);
  GFile* base = source.base_file.empty() ? nullptr : g_file_new_for_path(source.base_file.c_str());
  GError* failure = nullptr;
  const RsvgHandleFlags flags =
      source.unlimited ? RSVG_HANDLE_FLAG_UNLIMITED : RSVG_HANDLE_FLAGS_NONE;
  handle_ = rsvg_handle_new_from_stream_sync(stream, base, flags, nullptr, &failure);
  g_object_unref(stream);
  if (base != nullptr) g_object_unref(base);
  if (handle_ == nullptr) {
    error = TakeMessage(failure);
    return;
  }
  rsvg_handle_set_dpi(HandleOf(handle_), kCssPxPerInch);
}

SvgHandle::~SvgHandle() {
  if (handle_ != nullptr) g_object_unref(handle_);
}

SvgSize SvgHandle::size() const {
  gboolean has_width = FALSE, has_height = FALSE, has_box = FALSE;
  RsvgLength width{}, height{};
  RsvgRectangle box{};
  rsvg_handle_get_intrinsic_dimensions(HandleOf(handle_), &has_width, &width, &has_height, &height,
                                       &has_box, &box);
  // Em and ex need the root's font size, which librsvg alone knows.
  double both_width = 0, both_height = 0;
  if (rsvg_handle_get_intrinsic_size_in_pixels(HandleOf(handle_), &both_width, &both_height)) {
    return {both_width, both_height};
  }
  const auto px = [](const RsvgLength& length) {
    switch (length.unit) {
      case RSVG_UNIT_PX:
        return length.length;
      case RSVG_UNIT_IN:
        return length.length * kCssPxPerInch;
      case RSVG_UNIT_CM:
        return length.length * 10 * kCssPxPerInch / kMmPerInch;
      case RSVG_UNIT_MM:
        return length.length * kCssPxPerInch / kMmPerInch;
      case RSVG_UNIT_PT:
        return length.length * kCssPxPerInch / kPointsPerInch;
      case RSVG_UNIT_PC:
        return length.length * kCssPxPerInch / 6;  // 6 picas to the inch
      default:
        return 0.0;
    }
  };
  if (!has_box || !(box.width > 0) || !(box.height > 0)) return {};
  const double w = has_width ? px(width) : 0;
  const double h = has_height ? px(height) : 0;
  if (w > 0) return {w, w * box.height / box.width};
  if (h > 0) return {h * box.width / box.height, h};
  return {box.width, box.height};
}

bool SvgHandle::Draw(const BandRequest& request, uint32_t* pixels, std::string& error) const {
  const int width = static_cast<int>(request.whole.width);
  const int height = static_cast<int>(request.y1 - request.y0);
  std::memset(pixels, 0, static_cast<size_t>(width) * static_cast<size_t>(height) * 4);
  cairo_surface_t* surface = cairo_image_surface_create_for_data(
      reinterpret_cast<unsigned char*>(pixels), CAIRO_FORMAT_ARGB32, width, height, width * 4);
  cairo_t* context = cairo_create(surface);
  const SvgSize natural = size();
  cairo_translate(context, 0, -static_cast<double>(request.y0));
  cairo_scale(context, static_cast<double>(request.whole.width) / natural.width_px,
              static_cast<double>(request.whole.height) / natural.height_px);
  const RsvgRectangle viewport{0, 0, natural.width_px, natural.height_px};
  GError* failure = nullptr;
  bool drawn = rsvg_handle_render_document(HandleOf(handle_), context, &viewport, &failure);
  if (!drawn) {
    error = TakeMessage(failure);
  } else if (cairo_status(context) != CAIRO_STATUS_SUCCESS) {
    error = cairo_status_to_string(cairo_status(context));
    drawn = false;
  }
  cairo_destroy(context);
  cairo_surface_flush(surface);
  cairo_surface_destroy(surface);
  return drawn;
}

}  // namespace wheatpaste

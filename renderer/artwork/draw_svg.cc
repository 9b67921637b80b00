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
  if (recording_ != nullptr) cairo_surface_destroy(static_cast<cairo_surface_t*>(recording_));
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

namespace {

// Draws all of the file, stretched to `whole`, into `context`.
bool Render(RsvgHandle* handle, const SvgSize& natural, SizePx whole, cairo_t* context,
            std::string& error) {
  cairo_scale(context, static_cast<double>(whole.width) / natural.width_px,
              static_cast<double>(whole.height) / natural.height_px);
  const RsvgRectangle viewport{0, 0, natural.width_px, natural.height_px};
  GError* failure = nullptr;
  if (!rsvg_handle_render_document(handle, context, &viewport, &failure)) {
    error = TakeMessage(failure);
    return false;
  }
  return true;
}

// Ends the context. False with `error` filled where anything went wrong in it.
bool Close(cairo_t* context, std::string& error) {
  const cairo_status_t status = cairo_status(context);
  if (status != CAIRO_STATUS_SUCCESS) error = cairo_status_to_string(status);
  cairo_destroy(context);
  return status == CAIRO_STATUS_SUCCESS;
}

}  // namespace

bool SvgHandle::Record(SizePx whole, std::string& error) {
  if (recording_ != nullptr && recorded_ == whole) return true;
  if (recording_ != nullptr) cairo_surface_destroy(static_cast<cairo_surface_t*>(recording_));
  const cairo_rectangle_t all{0, 0, static_cast<double>(whole.width),
                              static_cast<double>(whole.height)};
  cairo_surface_t* recording = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &all);
  recording_ = recording;
  recorded_ = whole;
  cairo_t* context = cairo_create(recording);
  const bool rendered = Render(HandleOf(handle_), size(), whole, context, error);
  return Close(context, error) && rendered;
}

bool SvgHandle::Draw(const PartRequest& request, uint32_t* pixels, std::string& error) {
  if (request.recorded && !Record(request.whole, error)) return false;
  const int width = static_cast<int>(request.part.width());
  const int height = static_cast<int>(request.part.height());
  cairo_surface_t* surface = cairo_image_surface_create_for_data(
      reinterpret_cast<unsigned char*>(pixels), CAIRO_FORMAT_ARGB32, width, height, width * 4);
  cairo_t* context = cairo_create(surface);
  const auto left = static_cast<double>(request.part.x0);
  const auto top = static_cast<double>(request.part.y0);
  bool drawn = true;
  if (request.recorded) {
    cairo_set_source_surface(context, static_cast<cairo_surface_t*>(recording_), -left, -top);
    cairo_pattern_set_filter(cairo_get_source(context), CAIRO_FILTER_NEAREST);
    cairo_set_operator(context, CAIRO_OPERATOR_SOURCE);  // writes every pixel
    cairo_paint(context);
  } else {
    std::memset(pixels, 0, static_cast<size_t>(width) * static_cast<size_t>(height) * 4);
    cairo_translate(context, -left, -top);
    drawn = Render(HandleOf(handle_), size(), request.whole, context, error);
  }
  drawn = Close(context, error) && drawn;
  cairo_surface_flush(surface);
  cairo_surface_destroy(surface);
  return drawn;
}

}  // namespace wheatpaste

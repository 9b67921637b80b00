// image.h - planar float images typed by what their planes mean, and views of them.
//
// Shape   height x width, `Colour::kPlanes` planes; rows start on 64-byte boundaries; row_stride floats
//         from row to row, the same in every plane; plane_stride floats from plane to plane.
// Owner   Image owns, moves, and copies only through Copy(). Views own nothing and pass by value.
#pragma once

#include <algorithm>
#include <cstring>
#include <memory>
#include <type_traits>

#include "base/check.h"
#include "base/rect.h"
#include "colour/colour.h"

namespace wheatpaste {

template <typename Colour, bool kMutable>
class BasicImageView {
 public:
  using Pointer = std::conditional_t<kMutable, float*, const float*>;
  static constexpr int kPlanes = Colour::kPlanes;

  BasicImageView() = default;
  BasicImageView(Pointer data, SizePx size, int64_t row_stride, int64_t plane_stride)
      : data_(data), size_(size), row_stride_(row_stride), plane_stride_(plane_stride) {}
  // A mutable view serves wherever a constant one is asked for.
  operator BasicImageView<Colour, false>() const {  // NOLINT: implicit on purpose
    return {data_, size_, row_stride_, plane_stride_};
  }

  // The pixels of a rectangle that lies within the view.
  BasicImageView Part(const RectPx& rect) const {
    return {data_ + rect.y0 * row_stride_ + rect.x0,
            {rect.width(), rect.height()},
            row_stride_,
            plane_stride_};
  }

  SizePx size() const { return size_; }
  int64_t width() const { return size_.width; }
  int64_t height() const { return size_.height; }
  int64_t row_stride() const { return row_stride_; }
  int64_t plane_stride() const { return plane_stride_; }
  Pointer row(int plane, int64_t y) const {
    return data_ + plane * plane_stride_ + y * row_stride_;
  }
  Pointer row(int64_t y) const {
    static_assert(kPlanes == 1, "name the plane");
    return row(0, y);
  }

 private:
  Pointer data_ = nullptr;
  SizePx size_;
  int64_t row_stride_ = 0;
  int64_t plane_stride_ = 0;
};

template <typename Colour>
using ImageView = BasicImageView<Colour, false>;
template <typename Colour>
using MutableImageView = BasicImageView<Colour, true>;

// A block of floats on a 64-byte boundary, all zero. Large ones are fresh memory of the system in large
// pages: zero already, met by few page faults, and not shared with child processes (which would make the
// system copy what is written while they live).
struct FreeFloats {
  size_t mapped_bytes = 0;  // 0: from the heap
  void operator()(float* data) const;
};
using FloatBlock = std::unique_ptr<float, FreeFloats>;
FloatBlock ZeroedFloats(size_t count);

template <typename Colour>
class Image {
 public:
  static constexpr int kPlanes = Colour::kPlanes;
  static constexpr int64_t kAlignFloats = 16;

  Image() = default;
  // All zero.
  explicit Image(SizePx size) : size_(size) {
    WHEATPASTE_CHECK_OP(size.width, >=, 0);
    WHEATPASTE_CHECK_OP(size.height, >=, 0);
    row_stride_ = (size.width + kAlignFloats - 1) / kAlignFloats * kAlignFloats;
    const size_t count = static_cast<size_t>(row_stride_ * size.height * kPlanes);
    if (count == 0) return;
    data_ = ZeroedFloats(count);
  }

  // Copies `rows`, as wide as this, to row y0 and those below it.
  void Put(int64_t y0, BasicImageView<Colour, false> rows) {
    for (int plane = 0; plane < kPlanes; ++plane) {
      for (int64_t y = 0; y < rows.height(); ++y) {
        std::copy_n(rows.row(plane, y), rows.width(), row(plane, y0 + y));
      }
    }
  }

  Image Copy() const {
    Image copy(size_);
    if (data_) {
      std::memcpy(copy.data_.get(), data_.get(),
                  static_cast<size_t>(row_stride_ * size_.height * kPlanes) * sizeof(float));
    }
    return copy;
  }

  SizePx size() const { return size_; }
  int64_t width() const { return size_.width; }
  int64_t height() const { return size_.height; }
  ImageView<Colour> view() const {
    return {data_.get(), size_, row_stride_, row_stride_ * size_.height};
  }
  MutableImageView<Colour> mutable_view() {
    return {data_.get(), size_, row_stride_, row_stride_ * size_.height};
  }
  float* row(int plane, int64_t y) { return mutable_view().row(plane, y); }
  const float* row(int plane, int64_t y) const { return view().row(plane, y); }

 private:
  FloatBlock data_;
  SizePx size_;
  int64_t row_stride_ = 0;
};

// Y of a pixel.
inline float LuminanceAt(ImageView<SceneLinear> light, int64_t x, int64_t y) {
  return Luminance(light.row(0, y)[x], light.row(1, y)[x], light.row(2, y)[x]);
}

}  // namespace wheatpaste

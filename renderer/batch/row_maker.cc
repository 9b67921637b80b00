#include "batch/row_maker.h"

#include <algorithm>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

// Rows are made in bands of about this many bytes, so that a large picture is never held whole.
constexpr int64_t kBandBytes = int64_t{16} << 20;
constexpr int64_t kRowsAtOnce = 16;

}  // namespace

RowMaker::RowMaker(const RenderedScene& rendered, int depth, const Profile* target,
                   const VisionRows* vision)
    : rendered_(rendered), depth_(depth), vision_(vision) {
  const BasePicture& base = rendered.scene->base;
  band_rows_ = std::clamp<int64_t>(kBandBytes / base.row_bytes(), 1, base.size.height);
  if (rendered.drawer) {
    strips_ = std::make_unique<StripMaker>(*rendered.scene, *rendered.drawer);
  }
  if (target == nullptr || target->bytes() == base.profile.bytes()) return;
  channels_ = ChannelCount(target->model());
  decode_ = std::make_unique<const WorkingFromCodes>(base.profile, base.depth);
  encode_ = std::make_unique<const CodesFromWorking>(*target, depth);
}

const uint8_t* RowMaker::Rows(int64_t y0, int64_t y1) {
  const BasePicture& base = rendered_.scene->base;
  const int64_t row_bytes = base.size.width * channels_ * (depth_ / 8);
  if (y1 - y0 > band_rows_ || band_.empty()) {
    band_rows_ = std::max(band_rows_, y1 - y0);
    band_.resize(static_cast<size_t>(band_rows_ * base.row_bytes()));
    if (encode_) converted_.resize(static_cast<size_t>(band_rows_ * row_bytes));
    first_ = last_ = 0;
  }
  if (y0 < first_ || y1 > last_) {
    first_ = y0;
    last_ = std::min(base.size.height, y0 + band_rows_);
    if (!Composite()) {
      first_ = last_ = 0;
      return nullptr;
    }
    if (vision_ != nullptr) vision_->Convert(band_.data(), {base.size.width, last_ - first_});
    if (encode_) {
      Convert();
    } else if (depth_ < base.depth) {
      Narrow();
    }
  }
  return (encode_ ? converted_ : band_).data() + (y0 - first_) * row_bytes;
}

bool RowMaker::Composite() {
  if (!strips_) {
    rendered_.compositor->CompositeRows(first_, last_, band_.data());
    return true;
  }
  auto made = strips_->CompositeRows(first_, last_, band_.data());
  if (!made) errors_ = std::move(made).errors();
  return made.ok();
}

// 16-bit codes to 8 bits, in place: nearest code of v / 257.
void RowMaker::Narrow() {
  const auto* wide = reinterpret_cast<const uint16_t*>(band_.data());
  const int64_t count = (last_ - first_) * rendered_.scene->base.size.width * 3;
  for (int64_t i = 0; i < count; ++i) {
    band_[static_cast<size_t>(i)] = static_cast<uint8_t>((wide[i] + 128) / 257);
  }
}

void RowMaker::Convert() {
  const BasePicture& base = rendered_.scene->base;
  const int64_t width = base.size.width, row_bytes = width * channels_ * (depth_ / 8);
  ParallelRows(last_ - first_, kRowsAtOnce, [&](int64_t from, int64_t to) {
    std::vector<float> light(static_cast<size_t>(3 * width));
    float* const r = light.data();
    for (int64_t y = from; y < to; ++y) {
      decode_->Convert(band_.data() + y * base.row_bytes(), width, 3, r, r + width, r + 2 * width);
      encode_->Convert(r, r + width, r + 2 * width, width, converted_.data() + y * row_bytes);
    }
  });
}

}  // namespace wheatpaste

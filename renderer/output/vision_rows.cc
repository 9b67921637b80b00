#include "output/vision_rows.h"

#include <vector>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kRowsAtOnce = 16;

}  // namespace

VisionRows::VisionRows(const Profile& profile, int depth, ColourDeficiency deficiency,
                       double severity)
    : decode_(profile, depth),
      encode_(profile, depth),
      depth_(depth),
      severity_(severity),
      seen_(SeenMatrix(deficiency, severity)) {}

void VisionRows::Convert(uint8_t* codes, SizePx size) const {
  if (severity_ <= 0) return;
  const int64_t row_bytes = size.width * 3 * (depth_ / 8);
  ParallelRows(size.height, kRowsAtOnce, [&](int64_t from, int64_t to) {
    const auto width = static_cast<size_t>(size.width);
    std::vector<float> r(width), g(width), b(width);
    for (int64_t y = from; y < to; ++y) {
      uint8_t* row = codes + y * row_bytes;
      decode_.Convert(row, size.width, 3, r.data(), g.data(), b.data());
      for (size_t x = 0; x < width; ++x) {
        const SceneLinear seen = SeenWith(seen_, {r[x], g[x], b[x]});
        r[x] = seen.r;
        g[x] = seen.g;
        b[x] = seen.b;
      }
      encode_.Convert(r.data(), g.data(), b.data(), size.width, row);
    }
  });
}

}  // namespace wheatpaste

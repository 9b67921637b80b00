#include "stage/joint_means.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <vector>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMargin = kReach + kPatch;
constexpr int64_t kBand = 32;  // rows that one piece of work makes
constexpr int kSums = 6;

enum Plane {
  kRed,
  kGreen,
  kBlue,
  kVariance,
  kNx,
  kNy,
  kNz,
  kSpread,
  kDepth,
  kSlopeX,
  kSlopeY,
  kDepthVariance,
  kShareRed,
  kShareGreen,
  kShareBlue,
  kPlaneCount
};

int64_t Mirrored(int64_t at, int64_t count) {
  if (count == 1) return 0;
  const int64_t period = 2 * (count - 1);
  at = (at % period + period) % period;
  return at < count ? at : period - at;
}

// All that is compared, with kMargin px around; of the share none there.
class Padded {
 public:
  explicit Padded(const SizePx& size)
      : size_(size),
        stride_(size.width + 2 * kMargin),
        data_(static_cast<size_t>(stride_ * (size.height + 2 * kMargin)) * kPlaneCount) {}

  // x = 0 of row y of the picture.
  const float* row(Plane plane, int64_t y) const { return data_.data() + At(plane, y); }
  float* row(Plane plane, int64_t y) { return data_.data() + At(plane, y); }

  void Fill(Plane plane, const std::function<float(int64_t, int64_t)>& value, bool mirrored) {
    ParallelRows(size_.height + 2 * kMargin, kBand, [&](int64_t y0, int64_t y1) {
      for (int64_t y = y0 - kMargin; y < y1 - kMargin; ++y) {
        const bool within = y >= 0 && y < size_.height;
        for (int64_t x = -kMargin; x < size_.width + kMargin; ++x) {
          const bool inside = within && x >= 0 && x < size_.width;
          row(plane, y)[x] =
              inside || mirrored ? value(Mirrored(x, size_.width), Mirrored(y, size_.height)) : 0;
        }
      }
    });
  }

 private:
  size_t At(Plane plane, int64_t y) const {
    const int64_t rows = size_.height + 2 * kMargin;
    return static_cast<size_t>((plane * rows + y + kMargin) * stride_ + kMargin);
  }
  SizePx size_;
  int64_t stride_;
  std::vector<float> data_;
};

// The depth's slope along a row or column: the smaller of both sides', 0 where they go opposite ways.
float Slope(float before, float here, float after) {
  const float a = here - before, b = after - here;
  if (a * b <= 0) return 0;
  return std::abs(a) < std::abs(b) ? a : b;
}

Padded Gather(const NoisyLight& light, const Guide& guide, const Image<SceneLinear>& share) {
  const SizePx size = light.value.size();
  Padded all(size);
  const auto plane = [&](Plane to, const auto& image, int from, bool mirrored) {
    all.Fill(
        to, [&](int64_t x, int64_t y) { return image.row(from, y)[x]; }, mirrored);
  };
  for (int c = 0; c < 3; ++c) {
    plane(static_cast<Plane>(kRed + c), light.value, c, true);
    plane(static_cast<Plane>(kNx + c), guide.normal, c, true);
    plane(static_cast<Plane>(kShareRed + c), share, c, false);
  }
  plane(kVariance, light.variance, 0, true);
  plane(kSpread, guide.normal_spread, 0, true);
  plane(kDepth, guide.depth, 0, true);
  plane(kDepthVariance, guide.depth_variance, 0, true);
  const Image<Coverage>& depth = guide.depth;
  all.Fill(
      kSlopeX,
      [&](int64_t x, int64_t y) {
        const float* z = depth.row(0, y);
        if (x == 0 || x + 1 == size.width) return 0.0f;
        return Slope(z[x - 1], z[x], z[x + 1]);
      },
      true);
  all.Fill(
      kSlopeY,
      [&](int64_t x, int64_t y) {
        if (y == 0 || y + 1 == size.height) return 0.0f;
        return Slope(depth.row(0, y - 1)[x], depth.row(0, y)[x], depth.row(0, y + 1)[x]);
      },
      true);
  return all;
}

struct Scratch {
  std::vector<float> along;  // differences, then their sums along the row; kBand + 2 kPatch rows
  std::vector<float> row;    // width + 2 kPatch
  std::vector<float> sums;   // kSums planes of kBand rows: values times shares, then shares
};

// Differences of row y and that of its partner, summed along x over the patch.
void CompareRow(const Padded& all, int64_t width, int64_t y, int64_t dx, int64_t dy, float* row,
                float* along) {
  constexpr float kLook2 = kLook * kLook, kLeast2 = kLeast * kLeast;
  const float *r = all.row(kRed, y), *g = all.row(kGreen, y), *b = all.row(kBlue, y);
  const float* v = all.row(kVariance, y);
  const float *rq = all.row(kRed, y + dy) + dx, *gq = all.row(kGreen, y + dy) + dx;
  const float *bq = all.row(kBlue, y + dy) + dx, *vq = all.row(kVariance, y + dy) + dx;
  for (int64_t i = 0; i < width + 2 * kPatch; ++i) {
    const int64_t x = i - kPatch;
    const float dr = r[x] - rq[x], dg = g[x] - gq[x], db = b[x] - bq[x];
    const float size2 = (r[x] * r[x] + g[x] * g[x] + b[x] * b[x]) * kLeast2 + 1e-12f;
    const float both = v[x] + vq[x];
    row[i] = (dr * dr + dg * dg + db * db - 3 * both) / (3 * kLook2 * both + size2);
  }
  for (int64_t x = 0; x < width; ++x) {
    float sum = 0;
    for (int64_t i = 0; i <= 2 * kPatch; ++i) sum += row[x + i];
    along[x] = sum;
  }
}

// The larger; by arithmetic, as branches would keep loops from being run on several pixels at once.
float Larger(float a, float b) { return (a + b + std::abs(a - b)) / 2; }

void AddWeighted(int64_t width, const float* w, const float* share, const float* value,
                 float* __restrict values, float* __restrict shares) {
  for (int64_t x = 0; x < width; ++x) {
    const float part = w[x] * share[x];
    values[x] += part * value[x];
    shares[x] += part;
  }
}

// Adds the partners of row y. patch  2 kPatch + 1 rows of sums along x. most  a row to work in.
void AddRow(const Padded& all, int64_t width, int64_t y, int64_t dx, int64_t dy, const float* patch,
            float* __restrict most, const std::array<float*, kSums>& sums) {
  static_assert(kPatch == 3, "seven rows are summed below");
  constexpr float kArea = (2 * kPatch + 1) * (2 * kPatch + 1);
  const float fx = static_cast<float>(dx), fy = static_cast<float>(dy);
  const float reach = 1 + fx * fx + fy * fy;
  const auto at = [&](Plane plane) { return all.row(plane, y); };
  const auto other = [&](Plane plane) { return all.row(plane, y + dy) + dx; };
  const float *nx = at(kNx), *ny = at(kNy), *nz = at(kNz), *s = at(kSpread), *z = at(kDepth);
  const float *gx = at(kSlopeX), *gy = at(kSlopeY), *vz = at(kDepthVariance);
  const float *nxq = other(kNx), *nyq = other(kNy), *nzq = other(kNz), *sq = other(kSpread);
  const float *zq = other(kDepth), *vzq = other(kDepthVariance);
  for (int64_t x = 0; x < width; ++x) {
    const float* column = patch + x;
    most[x] = ((column[0] + column[width]) + (column[2 * width] + column[3 * width]) +
               (column[4 * width] + column[5 * width]) + column[6 * width]) /
              kArea;
  }
  for (int64_t x = 0; x < width; ++x) {
    const float ex = nx[x] - nxq[x], ey = ny[x] - nyq[x], ez = nz[x] - nzq[x];
    const float spread = s[x] + sq[x];
    const float turn = (ex * ex + ey * ey + ez * ez - spread) / (kTurn * kTurn + spread);
    const float off = zq[x] - z[x] - gx[x] * fx - gy[x] * fy;
    const float step = kStep * z[x];
    const float depth =
        (off * off - vz[x] - vzq[x]) / (step * step + reach * vz[x] + vzq[x] + 1e-12f);
    most[x] = Larger(most[x], Larger(turn, depth));
  }
  for (int64_t x = 0; x < width; ++x) {
    const float w = Larger(1 - Larger(most[x], 0) / 4, 0);
    most[x] = w * w * w * w;
  }
  for (int c = 0; c < 3; ++c) {
    const auto band = static_cast<size_t>(c);
    AddWeighted(width, most, other(static_cast<Plane>(kShareRed + c)),
                other(static_cast<Plane>(kRed + c)), sums[band], sums[3 + band]);
  }
}

void MakeBand(const Padded& all, int64_t width, int64_t y0, int64_t y1, Image<SceneLinear>& out) {
  Scratch scratch;
  scratch.along.resize(static_cast<size_t>(width * (kBand + 2 * kPatch)));
  scratch.row.resize(static_cast<size_t>(width + 2 * kPatch));
  scratch.sums.resize(static_cast<size_t>(kSums * kBand * width));
  const auto sums_of = [&](int plane, int64_t y) {
    return scratch.sums.data() + (plane * kBand + y - y0) * width;
  };
  for (int64_t dy = -kReach; dy <= kReach; ++dy) {
    for (int64_t dx = -kReach; dx <= kReach; ++dx) {
      for (int64_t y = y0 - kPatch; y < y1 + kPatch; ++y) {
        CompareRow(all, width, y, dx, dy, scratch.row.data(),
                   scratch.along.data() + (y - y0 + kPatch) * width);
      }
      for (int64_t y = y0; y < y1; ++y) {
        std::array<float*, kSums> sums;
        for (int i = 0; i < kSums; ++i) sums[static_cast<size_t>(i)] = sums_of(i, y);
        AddRow(all, width, y, dx, dy, scratch.along.data() + (y - y0) * width, scratch.row.data(),
               sums);
      }
    }
  }
  for (int64_t y = y0; y < y1; ++y) {
    const float *r = all.row(kShareRed, y), *g = all.row(kShareGreen, y);
    const float* b = all.row(kShareBlue, y);
    for (int c = 0; c < 3; ++c) {
      const float *values = sums_of(c, y), *shares = sums_of(3 + c, y);
      for (int64_t x = 0; x < width; ++x) {
        const bool any = r[x] + g[x] + b[x] > 0 && shares[x] > 0;
        out.row(c, y)[x] = any ? values[x] / shares[x] : 0;
      }
    }
  }
}

}  // namespace

Image<SceneLinear> JointMeans(const NoisyLight& light, const Guide& guide,
                              const Image<SceneLinear>& share) {
  const SizePx size = light.value.size();
  const Padded all = Gather(light, guide, share);
  Image<SceneLinear> out(size);
  ParallelRows(size.height, kBand,
               [&](int64_t y0, int64_t y1) { MakeBand(all, size.width, y0, y1, out); });
  return out;
}

}  // namespace wheatpaste

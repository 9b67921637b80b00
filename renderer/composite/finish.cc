#include "composite/finish.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
// A mask of another shape than this does not lie on its artwork.
constexpr double kMostAspectOff = 0.01;

using Plane = Image<Coverage>;

// What an image of the artwork's extent paints black.
Plane BlackOf(const Image<LinearPremul>& drawn) {
  Plane black(drawn.size());
  for (int64_t y = 0; y < drawn.height(); ++y) {
    const float *r = drawn.row(0, y), *g = drawn.row(1, y), *b = drawn.row(2, y),
                *a = drawn.row(3, y);
    float* out = black.row(0, y);
    for (int64_t x = 0; x < drawn.width(); ++x) {
      out[x] = std::clamp(a[x] - Luminance(r[x], g[x], b[x]), 0.0f, 1.0f);
    }
  }
  return black;
}

Plane AlphaOf(const Pyramid& artwork) {
  const PyramidLevel level = artwork.level(0);
  Plane alpha(level.size);
  for (int64_t y = 0; y < level.size.height; ++y) {
    float* out = alpha.row(0, y);
    for (int64_t x = 0; x < level.size.width; ++x) out[x] = level.at(x, y)[3];
  }
  return alpha;
}

struct Margin {
  int64_t x = 0, y = 0;
};

// With a margin on every side, clear or the edge repeated.
Plane Padded(const Plane& plane, const Margin& margin, const Edges& edges) {
  Plane padded({plane.width() + 2 * margin.x, plane.height() + 2 * margin.y});
  for (int64_t y = 0; y < padded.height(); ++y) {
    int64_t from_y = y - margin.y;
    if (from_y < 0 && edges.repeat_top) from_y = 0;
    if (from_y >= plane.height() && edges.repeat_bottom) from_y = plane.height() - 1;
    if (from_y < 0 || from_y >= plane.height()) continue;
    const float* from = plane.row(0, from_y);
    float* out = padded.row(0, y);
    std::copy_n(from, plane.width(), out + margin.x);
    if (edges.repeat_left) std::fill_n(out, margin.x, from[0]);
    if (edges.repeat_right) {
      std::fill_n(out + margin.x + plane.width(), margin.x, from[plane.width() - 1]);
    }
  }
  return padded;
}

// Mean over a box of `width` px, at least 1, along a line of values; what lies beyond its ends is as they are.
class BoxMean {
 public:
  BoxMean(int64_t count, double width) : half_(std::max(1.0, width) / 2), sums_(count + 1) {}

  void Blur(float* values, int64_t stride) {
    const auto count = static_cast<int64_t>(sums_.size()) - 1;
    first_ = double{values[0]};
    last_ = double{values[(count - 1) * stride]};
    for (int64_t i = 0; i < count; ++i) {
      sums_[static_cast<size_t>(i + 1)] =
          sums_[static_cast<size_t>(i)] + double{values[i * stride]};
    }
    for (int64_t i = 0; i < count; ++i) {
      const double middle = static_cast<double>(i) + 0.5;
      values[i * stride] =
          static_cast<float>((SumTo(middle + half_) - SumTo(middle - half_)) / (2 * half_));
    }
  }

 private:
  double SumTo(double t) const {
    const auto count = static_cast<double>(sums_.size() - 1);
    if (t <= 0) return t * first_;
    if (t >= count) return sums_.back() + (t - count) * last_;
    const auto k = static_cast<size_t>(t);
    return sums_[k] + (t - static_cast<double>(k)) * (sums_[k + 1] - sums_[k]);
  }

  double half_;
  double first_ = 0, last_ = 0;
  std::vector<double> sums_;
};

// Two boxes along each axis, of so many px.
void BlurTwice(const Eigen::Vector2d& box_px, Plane& plane) {
  const int64_t width = plane.width(), height = plane.height();
  const int64_t down = plane.view().row_stride();
  ParallelRows(height, kBandRows, [&](int64_t from, int64_t to) {
    BoxMean mean(width, box_px.x());
    for (int64_t y = from; y < to; ++y) {
      for (int pass = 0; pass < 2; ++pass) mean.Blur(plane.row(0, y), 1);
    }
  });
  ParallelRows(width, kBandRows, [&](int64_t from, int64_t to) {
    BoxMean mean(height, box_px.y());
    for (int64_t x = from; x < to; ++x) {
      for (int pass = 0; pass < 2; ++pass) mean.Blur(plane.row(0, 0) + x, down);
    }
  });
}

void AddTo(const Plane& plane, double factor, Plane& sum) {
  for (int64_t y = 0; y < plane.height(); ++y) {
    const float* from = plane.row(0, y);
    float* to = sum.row(0, y);
    for (int64_t x = 0; x < plane.width(); ++x) to[x] += static_cast<float>(factor) * from[x];
  }
}

// Slopes along u and v by central differences, into planes 0 and 1. step_mm  of a px along each.
void SlopesInto(const Plane& heights, const Eigen::Vector2d& step_mm, Image<LinearPremul>& out) {
  const int64_t width = heights.width(), height = heights.height();
  const auto across = static_cast<float>(0.5 / step_mm.x()),
             down = static_cast<float>(0.5 / step_mm.y());
  for (int64_t y = 0; y < height; ++y) {
    const float* here = heights.row(0, y);
    const float* above = heights.row(0, std::max<int64_t>(0, y - 1));
    const float* below = heights.row(0, std::min(height - 1, y + 1));
    for (int64_t x = 0; x < width; ++x) {
      const float left = here[std::max<int64_t>(0, x - 1)],
                  right = here[std::min(width - 1, x + 1)];
      out.row(0, y)[x] = across * (right - left);
      out.row(1, y)[x] = down * (below[x] - above[x]);
    }
  }
}

Result<Plane> DrawMask(const Artwork& mask, const Finish& finish, double aspect,
                       const RasterPart& at) {
  if (finish.mask && std::abs(mask.aspect() / aspect - 1) > kMostAspectOff) {
    return Errors{{finish.mask->place,
                   fmt::format("{} = \"{}\"", finish.mask->key, PrintableText(finish.mask->value)),
                   fmt::format("expected the artwork's own extent: {:.3f} times as wide as high, "
                               "not {:.3f} times",
                               aspect, mask.aspect())}};
  }
  auto drawn = DrawPart(mask, at);
  if (!drawn) return std::move(drawn).errors();
  return BlackOf(*drawn);
}

}  // namespace

std::string MaskNameOf(const Placement& placement, const Finish& finish) {
  // No slot and no file of artwork has such a name.
  if (finish.mask) return finish.mask->value + " (mask)";
  if (finish.colour) {
    return fmt::format("{} ({})", placement.artwork.value, HexOf(finish.colour->value));
  }
  return "";
}

double FinishReachMm(const Placement& placement) {
  double reach = 0;
  for (const Finish& finish : placement.finishes) {
    if (finish.has_relief()) reach = std::max(reach, finish.edge_mm / 2);
  }
  return reach;
}

std::vector<PreparedCoat> CoatsOf(const Placement& placement) {
  std::vector<PreparedCoat> coats;
  for (const Finish& finish : placement.finishes) {
    if (finish.has_relief()) continue;
    coats.push_back({finish, std::nullopt, nullptr});
    if (finish.kind == FinishKind::kFoil) coats.back().foil = std::make_shared<const Foil>(finish);
  }
  return coats;
}

Result<PreparedFinishes> PrepareFinishes(const Placement& placement, const Pyramid& artwork,
                                         double aspect,
                                         const std::vector<std::shared_ptr<const Artwork>>& masks,
                                         const SurfaceMm& printed) {
  const SizePx size = artwork.level(0).size;
  return PrepareFinishes(placement, artwork, aspect, masks, printed, {size, WholeOf(size)},
                         CoatsOf(placement));
}

Result<PreparedFinishes> PrepareFinishes(const Placement& placement, const Pyramid& artwork,
                                         double aspect,
                                         const std::vector<std::shared_ptr<const Artwork>>& masks,
                                         const SurfaceMm& printed, const RasterPart& at,
                                         std::vector<PreparedCoat> coats) {
  WHEATPASTE_CHECK_OP(masks.size(), ==, placement.finishes.size());
  const SizePx size = artwork.level(0).size;
  const Eigen::Vector2d step_mm(printed.x / static_cast<double>(at.whole.width),
                                printed.y / static_cast<double>(at.whole.height));
  auto coat = coats.begin();
  PreparedFinishes finishes;
  Margin margin;
  if (const double reach = FinishReachMm(placement); reach > 0) {
    // A px more than slopes and the least box need.
    margin = {static_cast<int64_t>(std::ceil(reach / step_mm.x())) + 3,
              static_cast<int64_t>(std::ceil(reach / step_mm.y())) + 3};
    finishes.slopes = true;
    finishes.margin_px = {static_cast<double>(margin.x), static_cast<double>(margin.y)};
  }
  const SizePx whole{size.width + 2 * margin.x, size.height + 2 * margin.y};
  Plane heights = finishes.slopes ? Plane(whole) : Plane();
  std::vector<Plane> coverages;
  std::map<const Artwork*, Plane> drawn;
  Errors errors;
  for (size_t i = 0; i < masks.size(); ++i) {
    const Finish& finish = placement.finishes[i];
    Plane covered;
    if (masks[i]) {
      // Foil on an embossed part has the same mask twice.
      auto known = drawn.find(masks[i].get());
      if (known == drawn.end()) {
        auto mask = DrawMask(*masks[i], finish, aspect, at);
        if (!mask) {
          errors.insert(errors.end(), mask.errors().begin(), mask.errors().end());
          continue;
        }
        known = drawn.emplace(masks[i].get(), std::move(*mask)).first;
      }
      covered = known->second.Copy();
    } else if (finish.has_relief()) {
      covered = AlphaOf(artwork);
    }
    if (finish.has_relief()) {
      covered = Padded(covered, margin, artwork.edges());
      BlurTwice(Eigen::Vector2d::Constant(finish.edge_mm / 2).cwiseQuotient(step_mm), covered);
      AddTo(covered, finish.height_mm(), heights);
      continue;
    }
    if (masks[i]) {
      coat->plane = (finishes.slopes ? 2 : 0) + coverages.size();
      coverages.push_back(Padded(covered, margin, artwork.edges()));
    }
    ++coat;
  }
  if (!errors.empty()) return errors;
  finishes.coats = std::move(coats);

  const size_t first = finishes.slopes ? 2 : 0, count = first + coverages.size();
  for (size_t plane = 0; plane < count; plane += 4) {
    Image<LinearPremul> packed(whole);
    if (plane == 0 && finishes.slopes) SlopesInto(heights, step_mm, packed);
    for (size_t k = std::max(first, plane); k < std::min(count, plane + 4); ++k) {
      const Plane& coverage = coverages[k - first];
      for (int64_t y = 0; y < whole.height; ++y) {
        std::copy_n(coverage.row(0, y), whole.width, packed.row(static_cast<int>(k - plane), y));
      }
    }
    finishes.planes.push_back(std::make_shared<const Pyramid>(std::move(packed), artwork.edges()));
  }
  return finishes;
}

}  // namespace wheatpaste

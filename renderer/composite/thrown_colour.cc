#include "composite/thrown_colour.h"

#include <algorithm>
#include <array>

#include "base/parallel.h"
#include "composite/large_picture.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;
// Darker than a hundredth of a code of 8 bits: nothing is seen there.
constexpr float kDark = 1e-6f;
constexpr float kMostGain = 4;

// The mean of each plane over the whole artwork.
std::array<double, 4> MeanOf(const Pyramid& print) {
  const PyramidLevel whole = print.level(0);
  std::array<double, 4> sum{};
  for (int64_t y = 0; y < whole.size.height; ++y) {
    std::array<float, 4> row{};  // of one row: few enough for floats
    for (int64_t x = 0; x < whole.size.width; ++x) {
      for (size_t k = 0; k < 4; ++k) row[k] += whole.at(x, y)[k];
    }
    for (size_t k = 0; k < 4; ++k) sum[k] += double{row[k]};
  }
  for (double& value : sum) value /= static_cast<double>(whole.size.area());
  return sum;
}

// Share of the face that the artwork's rectangle covers, as if it lay straight.
double ShareOf(const PlacedSize& placed, const PrintArea& area) {
  const auto overlap = [](double centre, double size, double low, double high) {
    return std::max(0.0, std::min(centre + size / 2, high) - std::max(centre - size / 2, low));
  };
  const SurfaceMm face = SizeOf(area);
  return overlap(placed.centre.x, placed.size.x, area.low.x, area.high.x) *
         overlap(placed.centre.y, placed.size.y, area.low.y, area.high.y) / (face.x * face.y);
}

// What the printed face returns, of what the blank returns.
std::array<double, 3> ReturnOf(const PreparedScene& scene, size_t surface,
                               const std::vector<PreparedArtwork>& artworks) {
  std::array<double, 3> returns{1, 1, 1};
  const Scene& said = scene.solved.scene;
  const Reflectance& rs = said.surfaces[surface].substrate.value.reflectance;
  const std::array<double, 3> blank{rs.r, rs.g, rs.b};
  for (const PreparedArtwork& artwork : artworks) {
    const Placement& placement = said.placements[artwork.placement];
    if (placement.surface != surface || !placement.printed || !artwork.pyramid) continue;
    const double share = ShareOf(artwork.placed, scene.solved.surfaces[surface].faces[0].area);
    const std::array<double, 4> filter = MeanOf(*artwork.pyramid);
    const std::array<double, 4> cover = artwork.cover ? MeanOf(*artwork.cover) : filter;
    for (size_t c = 0; c < 3; ++c) {
      const double printed = 1 - filter[3] + artwork.weights.filter * filter[c] +
                             artwork.weights.cover * cover[c] / std::max(blank[c], 1e-3);
      returns[c] *= 1 + share * (printed - 1);
    }
  }
  return returns;
}

}  // namespace

std::unique_ptr<const Image<SceneLinear>> ThrownColour(
    const PreparedScene& scene, const std::vector<PreparedArtwork>& artworks) {
  if (!scene.solved.stage) return nullptr;
  const std::vector<StageTransfer>& transfers = scene.solved.stage->stage().colour_transfer;
  if (transfers.empty()) return nullptr;
  const auto photo = scene.solved.stage->Photo();
  WHEATPASTE_CHECK(photo.ok());
  const Frame own = FramePhoto((*photo)->photo.size, (*photo)->photo.size);
  std::unique_ptr<Image<SceneLinear>> gain;
  for (size_t i = 0; i < transfers.size(); ++i) {
    for (size_t surface = 0; surface < scene.surfaces.size(); ++surface) {
      const Surface& said = scene.solved.scene.surfaces[surface];
      if (said.name.value != transfers[i].name.value) continue;
      const std::array<double, 3> returns = ReturnOf(scene, surface, artworks);
      if (returns == std::array<double, 3>{1, 1, 1}) continue;
      if (!gain) gain = std::make_unique<Image<SceneLinear>>(scene.frame.size);
      const Image<SceneLinear> thrown = LookUp((*photo)->thrown[i], WholeOf(own.size), own,
                                               scene.frame, WholeOf(scene.frame.size));
      for (int c = 0; c < 3; ++c) {
        const auto more = static_cast<float>(returns[static_cast<size_t>(c)] - 1);
        for (int64_t y = 0; y < gain->height(); ++y) {
          float* const row = gain->row(c, y);
          for (int64_t x = 0; x < gain->width(); ++x) row[x] += more * thrown.row(c, y)[x];
        }
      }
    }
  }
  if (!gain) return nullptr;
  ParallelRows(gain->height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int c = 0; c < 3; ++c) {
      for (int64_t y = from; y < to; ++y) {
        const float* const light = scene.base.light.row(c, y);
        float* const row = gain->row(c, y);
        for (int64_t x = 0; x < gain->width(); ++x) {
          row[x] = light[x] > kDark ? std::clamp(1 + row[x] / light[x], 0.0f, kMostGain) : 1.0f;
        }
      }
    }
  });
  return gain;
}

}  // namespace wheatpaste

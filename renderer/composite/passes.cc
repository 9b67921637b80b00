#include "composite/passes.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

// Seen times the planes of an image of the region; nothing where there is none.
template <typename Colour>
void AddImage(const Image<Colour>* image, const PreparedChart& chart, int64_t row, float* sums) {
  if (image == nullptr) return;
  constexpr int kBands = Colour::kPlanes;
  const float* seen = chart.picture.seen.row(0, row);
  for (int band = 0; band < kBands; ++band) {
    const float* values = image->row(band, row);
    for (int64_t x = 0; x < image->width(); ++x) {
      if (seen[x] > 0) sums[x * kBands + band] += seen[x] * values[x];
    }
  }
}

void AddIrradiance(const PassChart& of, int64_t row, float* sums) {
  const auto& shading = of.chart->shading;
  AddImage(shading ? &shading->irradiance : nullptr, *of.chart, row, sums);
}

void AddGloss(const PassChart& of, int64_t row, float* sums) {
  const auto& gloss = of.chart->gloss;
  AddImage(gloss ? &gloss->mirrored : nullptr, *of.chart, row, sums);
}

void AddRelief(const PassChart& of, int64_t row, float* sums) {
  const auto& heights = of.chart->heights;
  AddImage(heights ? &*heights : nullptr, *of.chart, row, sums);
}

void AddSurfaceMm(const PassChart& of, int64_t row, float* sums) {
  const ChartPicture& picture = of.chart->picture;
  const float* seen = picture.seen.row(0, row);
  if (!picture.output_from_surface) {
    const float *mx = picture.mm.row(0, row), *my = picture.mm.row(1, row);
    for (int64_t x = 0; x < picture.region.width(); ++x) {
      if (!(seen[x] > 0)) continue;
      sums[2 * x] += seen[x] * mx[x];
      sums[2 * x + 1] += seen[x] * my[x];
    }
    return;
  }
  const auto surface_from_output = picture.output_from_surface->Inverse();
  const double y = static_cast<double>(picture.region.y0 + row) + 0.5;
  for (int64_t x = 0; x < picture.region.width(); ++x) {
    if (!(seen[x] > 0)) continue;
    const SurfaceMm mm =
        surface_from_output(OutputPx{static_cast<double>(picture.region.x0 + x) + 0.5, y});
    sums[2 * x] += seen[x] * static_cast<float>(mm.x);
    sums[2 * x + 1] += seen[x] * static_cast<float>(mm.y);
  }
}

void AddFacing(const PassChart& of, int64_t row, float* sums) {
  AddImage(of.facing.size().area() > 0 ? &of.facing : nullptr, *of.chart, row, sums);
}

void AddMatte(const PassChart& of, int64_t row, float* sums) {
  const ChartPicture& picture = of.chart->picture;
  const float* seen = picture.seen.row(0, row);
  for (int64_t x = 0; x < picture.region.width(); ++x) sums[x] += seen[x];
}

// Cosine between normal and the ray to the camera; 0 beyond the limb.
Image<Coverage> FacingOf(const PreparedScene& scene, const PreparedChart& chart) {
  const RectPx& region = chart.picture.region;
  const auto normals = chart.chart->Normals(scene.frame, region);
  if (!normals) return {};
  const Camera& camera = scene.solved.camera;
  Image<Coverage> facing(normals->size());
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const float *nx = normals->row(0, y), *ny = normals->row(1, y), *nz = normals->row(2, y);
      float* cosines = facing.row(0, y);
      for (int64_t x = 0; x < region.width(); ++x) {
        const PhotoPx at = camera.lens.IdealFromPhoto(scene.frame.PhotoAt(
            {static_cast<double>(region.x0 + x) + 0.5, static_cast<double>(region.y0 + y) + 0.5}));
        const double rx = (at.x - camera.principal.x) / camera.focal_px,
                     ry = (at.y - camera.principal.y) / camera.focal_px;
        const double towards = -(rx * double{nx[x]} + ry * double{ny[x]} + double{nz[x]});
        cosines[x] = static_cast<float>(std::max(0.0, towards / std::sqrt(rx * rx + ry * ry + 1)));
      }
    }
  });
  return facing;
}

}  // namespace

const std::vector<Pass>& AllPasses() {
  static const std::vector<Pass> passes{
      {"irradiance.tif", 3, false,
       "Light that reaches the surface, E, found by dividing the photo's light by the substrate's "
       "reflectance. Red, green, blue; linear light, Rec.709 primaries; 1 makes a perfect white "
       "as bright as the photo's own white. Times matte.tif at edges; 0 outside surfaces.",
       AddIrradiance},
      {"gloss.tif", 3, false,
       "Light that the surface mirrors, S, told from the light that comes back through it. Red, "
       "green, blue; linear light, Rec.709 primaries; 1 is the photo's own white. Times matte.tif "
       "at edges; 0 where none was found and outside surfaces.",
       AddGloss},
      {"relief.tif", 1, false,
       "Height of the folds and wrinkles above the marked face, towards the camera, millimetres. "
       "Times matte.tif at edges; 0 where the scene asks for no relief and outside surfaces.",
       AddRelief},
      {"surface_mm.tif", 2, false,
       "Place on the face laid flat under each pixel's centre, millimetres: x to the right, then "
       "y downwards, from where the scene's `at` counts. On a surface without a size in the scene "
       "proportions, not millimetres. Times matte.tif at edges; 0 outside surfaces.",
       AddSurfaceMm},
      {"facing.tif", 1, false,
       "Cosine of the angle between the surface's normal and the line to the camera: 1 where the "
       "surface faces it, 0 at a limb; no unit. 0 too where the marks fix no shape in space (a "
       "patch). Times matte.tif at edges; 0 outside surfaces.",
       AddFacing},
      {"matte.tif", 1, true,
       "Share of each pixel in which surfaces are seen, less what stands in front: 65535 is all of "
       "it.",
       AddMatte}};
  return passes;
}

PassMaker::PassMaker(const PreparedScene& scene) : scene_(scene) {
  for (const PreparedSurface& surface : scene.surfaces) {
    for (const PreparedChart& chart : surface.charts) {
      charts_.push_back({&chart, FacingOf(scene, chart)});
    }
  }
}

void PassMaker::Rows(const Pass& pass, int64_t y0, int64_t y1, float* pixels) const {
  const int64_t row_floats = scene_.base.size.width * pass.bands;
  std::fill(pixels, pixels + (y1 - y0) * row_floats, 0.0f);
  ParallelRows(y1 - y0, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = y0 + from; y < y0 + to; ++y) {
      float* row = pixels + (y - y0) * row_floats;
      for (const PassChart& of : charts_) {
        const RectPx& region = of.chart->picture.region;
        if (y < region.y0 || y >= region.y1) continue;
        pass.add(of, y - region.y0, row + region.x0 * pass.bands);
      }
    }
  });
}

}  // namespace wheatpaste

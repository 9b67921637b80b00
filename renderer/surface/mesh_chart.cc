#include "surface/mesh_chart.h"

#include <array>

#include "base/parallel.h"
#include "surface/fill_nearest.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

}  // namespace

ChartPicture MeshChart::Picture(const Frame& frame) const {
  const std::shared_ptr<const MeshPicture> traced = tracer_->Picture(frame);
  ChartPicture picture;
  const RectPx region = traced->regions[static_cast<size_t>(island_)];
  if (region.empty()) return picture;
  picture.region = region;
  picture.seen = Image<Coverage>({region.width(), region.height()});
  picture.mm = Image<SurfaceMmPlanes>({region.width(), region.height()});
  if (tracer_->has_blur()) picture.blur = Image<Coverage>({region.width(), region.height()});
  const Mesh& mesh = tracer_->mesh();
  const Lens& lens = tracer_->lens();
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    int32_t mapped = -1;  // the triangle of `map`: neighbours mostly share it
    Map<SurfaceMm, PhotoPx> map;
    for (int64_t row = from; row < to; ++row) {
      const int64_t y = region.y0 + row;
      float* seen = picture.seen.row(0, row);
      std::array<float*, SurfaceMmPlanes::kPlanes> out;
      for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
        out[static_cast<size_t>(plane)] = picture.mm.row(plane, row);
      }
      const auto put = [&](int64_t x, int32_t triangle, const Eigen::Vector2d& at, float share,
                           const std::optional<SurfaceMm>& mean) {
        if (triangle != mapped) map = tracer_->SurfaceFromIdeal(triangle);
        mapped = triangle;
        const PhotoPx photo =
            frame.PhotoAt({static_cast<double>(x) + at.x(), static_cast<double>(y) + at.y()});
        const PhotoPx ideal = lens.IdealFromPhoto(photo);
        const SurfaceMm mm = mean.value_or(map(ideal));
        const Eigen::Matrix2d change =
            map.Jacobian(ideal) * lens.IdealChange(photo) / frame.scale();
        const int64_t i = x - region.x0;
        seen[i] = share;
        const double values[] = {mm.x,         mm.y,         change(0, 0),
                                 change(0, 1), change(1, 0), change(1, 1)};
        for (size_t plane = 0; plane < out.size(); ++plane) {
          out[plane][i] = static_cast<float>(values[plane]);
        }
        if (tracer_->has_blur()) {
          picture.blur.row(0, row)[i] =
              static_cast<float>(tracer_->ConfusionPx(triangle, ideal) * frame.scale() / 4);
        }
      };
      const Eigen::Vector2d centre(0.5, 0.5);
      for (int64_t x = region.x0; x < region.x1; ++x) {
        const auto pixel = static_cast<size_t>(y * frame.size.width + x);
        const int32_t triangle = traced->triangles[pixel];
        if (triangle < 0 || traced->is_edge[pixel]) continue;
        if (mesh.islands[static_cast<size_t>(triangle)] == island_)
          put(x, triangle, centre, 1, std::nullopt);
      }
      for (const MeshShare& share : traced->shares[static_cast<size_t>(y)]) {
        if (share.island != island_) continue;
        put(share.x, share.triangle, share.at, share.share, share.mm);
      }
    }
  });
  return picture;
}

std::optional<Image<NormalPlanes>> MeshChart::Normals(const Frame& frame,
                                                      const RectPx& region) const {
  const std::shared_ptr<const MeshPicture> traced = tracer_->Picture(frame);
  Image<NormalPlanes> normals({region.width(), region.height()});
  if (region.empty()) return normals;
  const Mesh& mesh = tracer_->mesh();
  const RectPx within = Intersect(region, WholeOf(frame.size));
  Image<Coverage> known(normals.size());
  ParallelRows(within.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = within.y0 + from; y < within.y0 + to; ++y) {
      const auto put = [&](int64_t x, int32_t triangle, const Eigen::Vector2d& at) {
        const PhotoPx photo =
            frame.PhotoAt({static_cast<double>(x) + at.x(), static_cast<double>(y) + at.y()});
        const Eigen::Vector3d n =
            tracer_->NormalAt(triangle, tracer_->lens().IdealFromPhoto(photo));
        for (int plane = 0; plane < 3; ++plane) {
          normals.row(plane, y - region.y0)[x - region.x0] = static_cast<float>(n(plane));
        }
        known.row(0, y - region.y0)[x - region.x0] = 1;
      };
      for (const MeshShare& share : traced->shares[static_cast<size_t>(y)]) {
        if (share.island != island_ || share.x < within.x0 || share.x >= within.x1) continue;
        put(share.x, share.triangle, share.at);
      }
      for (int64_t x = within.x0; x < within.x1; ++x) {
        const int32_t triangle = traced->triangles[static_cast<size_t>(y * frame.size.width + x)];
        if (triangle < 0 || mesh.islands[static_cast<size_t>(triangle)] != island_) continue;
        put(x, triangle, Eigen::Vector2d(0.5, 0.5));
      }
    }
  });
  if (!FillFromNearest(known.view(), normals.mutable_view())) return std::nullopt;
  return normals;
}

}  // namespace wheatpaste

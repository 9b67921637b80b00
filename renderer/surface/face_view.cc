#include "surface/face_view.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include <Eigen/Geometry>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;
// So many rays are asked, and a step of the view's grid has this many px.
constexpr double kRays = 40'000;
constexpr double kViewStepPx = 10;
constexpr int kMostViewNodes = 64;

struct Pixel {
  SurfaceMm mm;
  Eigen::Matrix2d change;
};
Pixel PixelAt(const ChartPicture& picture, int64_t x, int64_t y) {
  const auto at = [&](int plane) { return double{picture.mm.row(plane, y)[x]}; };
  Pixel pixel{{at(0), at(1)}, {}};
  pixel.change << at(2), at(3), at(4), at(5);
  return pixel;
}

}  // namespace

Eigen::Vector2d FaceView::ShiftAt(const SurfaceMm& mm) const {
  const GridPlace place = shape.Find(mm);
  return {SampleValue(shape, shift[0], place), SampleValue(shape, shift[1], place)};
}

Eigen::Matrix3d FaceView::AxesAt(const SurfaceMm& mm) const {
  const GridPlace place = shape.Find(mm);
  Eigen::Matrix3d camera_from_face;
  for (int k = 0; k < 9; ++k) {
    camera_from_face(k % 3, k / 3) = SampleValue(shape, axes[static_cast<size_t>(k)], place);
  }
  return camera_from_face;
}

void StoreMm(ChartPicture& picture, const SurfaceMm& low, const SurfaceMm& high) {
  if (!picture.output_from_surface) return;
  const Map<OutputPx, SurfaceMm> output_from_surface = *picture.output_from_surface;
  const Eigen::Matrix3d h = output_from_surface.Inverse().matrix();
  const Eigen::Vector3d depth = output_from_surface.matrix().row(2).transpose();
  const RectPx& region = picture.region;
  picture.mm = Image<SurfaceMmPlanes>({region.width(), region.height()});
  // Beyond the sides, as far again as the face is large: pixels that its outline cuts lie in there.
  const double wide = high.x - low.x, tall = high.y - low.y;
  const double side = output_from_surface.Depth({(low.x + high.x) / 2, (low.y + high.y) / 2});
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const Eigen::Vector3d first =
          h * Eigen::Vector3d(static_cast<double>(region.x0) + 0.5,
                              static_cast<double>(region.y0 + y) + 0.5, 1);
      std::array<float*, SurfaceMmPlanes::kPlanes> out;
      for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
        out[static_cast<size_t>(plane)] = picture.mm.row(plane, y);
      }
      for (int64_t x = 0; x < region.width(); ++x) {
        const auto right = static_cast<double>(x);
        const double by = 1 / (first.z() + right * h(2, 0));
        const double mx = (first.x() + right * h(0, 0)) * by;
        const double my = (first.y() + right * h(1, 0)) * by;
        if (!(mx > low.x - wide && mx < high.x + wide && my > low.y - tall && my < high.y + tall &&
              (depth.x() * mx + depth.y() * my + depth.z()) * side > 0)) {
          continue;
        }
        out[0][x] = static_cast<float>(mx);
        out[1][x] = static_cast<float>(my);
        out[2][x] = static_cast<float>((h(0, 0) - mx * h(2, 0)) * by);
        out[3][x] = static_cast<float>((h(0, 1) - mx * h(2, 1)) * by);
        out[4][x] = static_cast<float>((h(1, 0) - my * h(2, 0)) * by);
        out[5][x] = static_cast<float>((h(1, 1) - my * h(2, 1)) * by);
      }
    }
  });
  picture.output_from_surface.reset();
}

std::optional<GridShape> GridOver(const ChartPicture& picture, const PrintArea& area,
                                  double px_per_step, int most_nodes) {
  struct Extent {
    double x0 = std::numeric_limits<double>::infinity(), y0 = x0, x1 = -x0, y1 = -x0;
    double area = 0, count = 0;
  };
  const int64_t bands = (picture.region.height() + kBandRows - 1) / kBandRows;
  std::vector<Extent> extents(static_cast<size_t>(bands));
  ParallelFor(bands, [&](int64_t band) {
    Extent& extent = extents[static_cast<size_t>(band)];
    const int64_t end = std::min((band + 1) * kBandRows, picture.region.height());
    for (int64_t y = band * kBandRows; y < end; ++y) {
      for (int64_t x = 0; x < picture.region.width(); ++x) {
        if (!(picture.seen.row(0, y)[x] > 0) || !HoldsMm(picture, x, y)) continue;
        const Pixel pixel = PixelAt(picture, x, y);
        extent.x0 = std::min(extent.x0, pixel.mm.x);
        extent.y0 = std::min(extent.y0, pixel.mm.y);
        extent.x1 = std::max(extent.x1, pixel.mm.x);
        extent.y1 = std::max(extent.y1, pixel.mm.y);
        extent.area += std::abs(pixel.change.determinant());
        ++extent.count;
      }
    }
  });
  Extent all;
  for (const Extent& extent : extents) {
    all = {std::min(all.x0, extent.x0), std::min(all.y0, extent.y0), std::max(all.x1, extent.x1),
           std::max(all.y1, extent.y1), all.area + extent.area,      all.count + extent.count};
  }
  if (!(all.count > 0)) return std::nullopt;
  const double px = std::sqrt(all.area / all.count);
  // Pixels' centres end half a pixel before the face does.
  const double x0 = std::max(all.x0 - px, area.low.x), x1 = std::min(all.x1 + px, area.high.x);
  const double y0 = std::max(all.y0 - px, area.low.y), y1 = std::min(all.y1 + px, area.high.y);
  const double longest = std::max(x1 - x0, y1 - y0);
  GridShape shape;
  shape.step = std::max(px_per_step * px, longest / (most_nodes - 1));
  if (!(longest > 0) || !(shape.step > 0) || !std::isfinite(shape.step)) return std::nullopt;
  // As many steps as reach over it, the same overhang on both sides.
  const auto nodes = [&](double length) {
    return std::max(2, static_cast<int>(std::ceil(length / shape.step - 1e-6)) + 1);
  };
  shape.columns = nodes(x1 - x0);
  shape.rows = nodes(y1 - y0);
  shape.origin = {(x0 + x1 - shape.step * (shape.columns - 1)) / 2,
                  (y0 + y1 - shape.step * (shape.rows - 1)) / 2};
  return shape;
}

std::optional<FaceView> ViewFace(const ChartPicture& picture, const PrintArea& area,
                                 const Image<NormalPlanes>& normals, const Frame& frame,
                                 const Lens& lens) {
  const auto shape = GridOver(picture, area, kViewStepPx, kMostViewNodes);
  if (!shape) return std::nullopt;
  const RectPx& region = picture.region;
  GridMeans means(*shape, 11);
  bool any = false;
  const auto every = std::max<int64_t>(
      1, static_cast<int64_t>(
             std::sqrt(static_cast<double>(region.width() * region.height()) / kRays)));
  for (int64_t y = 0; y < region.height(); y += every) {
    for (int64_t x = 0; x < region.width(); x += every) {
      if (!HoldsMm(picture, x, y)) continue;
      const Pixel pixel = PixelAt(picture, x, y);
      if (pixel.mm.x < area.low.x || pixel.mm.x > area.high.x || pixel.mm.y < area.low.y ||
          pixel.mm.y > area.high.y) {
        continue;
      }
      const PhotoPx photo = frame.PhotoAt(
          {static_cast<double>(region.x0 + x) + 0.5, static_cast<double>(region.y0 + y) + 0.5});
      const PhotoPx ideal = lens.IdealFromPhoto(photo);
      const Eigen::Vector3d q((ideal.x - lens.principal.x) / lens.focal_px,
                              (ideal.y - lens.principal.y) / lens.focal_px, 1);
      const Eigen::Vector3d n(normals.row(0, y)[x], normals.row(1, y)[x], normals.row(2, y)[x]);
      const double facing = q.dot(n);
      if (!(facing < -1e-3 * q.norm())) continue;
      Eigen::Matrix<double, 3, 2> moved;  // of the seen point, per ideal px, over its depth
      moved << Eigen::Vector3d::UnitX() - q * (n.x() / facing),
          Eigen::Vector3d::UnitY() - q * (n.y() / facing);
      const Eigen::Matrix<double, 3, 2> along =
          moved * lens.IdealChange(photo) * pixel.change.inverse();
      const Eigen::Vector3d across = (along.col(0) - n * n.dot(along.col(0))).normalized();
      Eigen::Vector3d down = across.cross(n);
      if (down.dot(along.col(1)) < 0) down = -down;  // a mirrored flat pattern
      const Eigen::Vector3d r = q / facing;
      Eigen::Vector2d shift(r.dot(across), r.dot(down));
      shift *= std::min(1.0, kMostShift / std::max(shift.norm(), 1e-12));
      const double values[11] = {shift.x(), shift.y(), across.x(), across.y(), across.z(), down.x(),
                                 down.y(),  down.z(),  n.x(),      n.y(),      n.z()};
      if (!std::all_of(std::begin(values), std::end(values),
                       [](double v) { return std::isfinite(v); })) {
        continue;
      }
      means.Add(pixel.mm, values);
      any = true;
    }
  }
  if (!any) return std::nullopt;
  FaceView view{*shape, {means.Mean(0), means.Mean(1)}, {}};
  for (int k = 0; k < 9; ++k) view.axes[static_cast<size_t>(k)] = means.Mean(2 + k);
  return view;
}

}  // namespace wheatpaste

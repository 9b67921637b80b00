#include "surface/frustum_chart.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr double kPi = std::numbers::pi;

Eigen::Vector3d CameraInObject(const Pose& pose) {
  Eigen::Vector3d camera = pose.ObjectFromCamera(Eigen::Vector3d::Zero());
  // The pose is turned to face the camera; what rounding leaves in x is not.
  camera.z() = -std::hypot(camera.x(), camera.z());
  camera.x() = 0;
  return camera;
}

// The angle plus whole turns, nearest to `near`.
double Unwrapped(double angle, double near) {
  return angle - 2 * kPi * std::round((angle - near) / (2 * kPi));
}

}  // namespace

FrustumChart::FrustumChart(const PosedFrustum& frustum, double low_rad, double high_rad)
    : frustum_(frustum),
      view_(frustum.size, CameraInObject(frustum.pose)),
      low_rad_(low_rad),
      high_rad_(high_rad),
      middle_rad_((low_rad + high_rad) / 2),
      from_camera_rad_(Unwrapped(middle_rad_ + frustum.turn_rad, 0)) {}

std::vector<Polygon> FrustumChart::Outlines(double tolerance_px) const {
  const FrustumSize& size = frustum_.size;
  const Lens& lens = frustum_.lens;
  const auto photo = [&](double from_centre_line, double y_mm) {
    const Eigen::Vector3d p = frustum_.pose.CameraFromObject(
        ObjectFromSide(size, {from_centre_line + frustum_.turn_rad, y_mm}));
    return lens.PhotoFromIdeal({lens.focal_px * p.x() / p.z() + lens.principal.x,
                                lens.focal_px * p.y() / p.z() + lens.principal.y});
  };
  // A step of t along an arc of radius r px strays by r t^2 / 8 from it; r at most as at the arc's nearest point.
  const auto arc_pieces = [&](double y_mm, double radius) {
    const Eigen::Vector3d centre = frustum_.pose.CameraFromObject({0, y_mm, 0});
    const Eigen::Vector3d axis = frustum_.pose.rotation.col(1);
    const double nearest = centre.z() - radius * std::hypot(axis.x(), axis.y());
    const double radius_px = 2 * lens.focal_px * radius / std::max(nearest, 1e-3 * centre.z());
    const double pieces = (high_rad_ - low_rad_) * std::sqrt(radius_px / (8 * tolerance_px));
    return static_cast<int>(std::clamp(std::ceil(pieces), 8.0, 20000.0));
  };
  // Straight for a straight lens; else as fine as a plane's sides.
  const int side_pieces = lens.is_straight() ? 1 : 256;
  Polygon outline;
  const auto along = [&](int pieces, double low, double high, double y0, double y1) {
    for (int i = 0; i < pieces; ++i) {
      const double t = static_cast<double>(i) / pieces;
      outline.push_back(photo(low + t * (high - low), y0 + t * (y1 - y0)));
    }
  };
  const double h = size.height;
  along(arc_pieces(0, size.diameter_top / 2), low_rad_, high_rad_, 0, 0);
  along(side_pieces, high_rad_, high_rad_, 0, h);
  along(arc_pieces(h, size.diameter_bottom / 2), high_rad_, low_rad_, h, h);
  along(side_pieces, low_rad_, low_rad_, h, 0);
  return {outline};
}

SurfaceMm FrustumChart::MmOf(const Eigen::Vector3d& direction) const {
  SidePoint side = view_.Along(direction);
  // As Unwrapped(.., middle_rad_) for differences of less than three half turns, which is all there is.
  double from_middle = side.azimuth_rad - from_camera_rad_;
  if (from_middle > kPi) from_middle -= 2 * kPi;
  if (from_middle < -kPi) from_middle += 2 * kPi;
  side.azimuth_rad = middle_rad_ + from_middle;
  return frustum_.pattern.FlatFromSide(side);
}

void FrustumChart::MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const {
  const Lens& lens = frustum_.lens;
  const Eigen::Matrix3d object_from_camera = frustum_.pose.rotation.transpose();
  const auto direction = [&](const PhotoPx& ideal) -> Eigen::Vector3d {
    return object_from_camera *
           Eigen::Vector3d(ideal.x - lens.principal.x, ideal.y - lens.principal.y, lens.focal_px);
  };
  if (!lens.is_straight()) {
    for (int64_t i = 0; i < count; ++i) {
      mm[i] = MmOf(direction(lens.IdealFromPhoto({x0 + static_cast<double>(i) * step, y})));
    }
    return;
  }
  const Eigen::Vector3d first = direction({x0, y}), across = step * object_from_camera.col(0);
  for (int64_t i = 0; i < count; ++i) mm[i] = MmOf(first + static_cast<double>(i) * across);
}

std::optional<Image<NormalPlanes>> FrustumChart::Normals(const Frame& frame,
                                                         const RectPx& region) const {
  const Lens& lens = frustum_.lens;
  const Eigen::Matrix3d object_from_camera = frustum_.pose.rotation.transpose();
  const double slope = frustum_.size.SlopeOfRadius(), length = std::hypot(1.0, slope);
  Image<NormalPlanes> normals({region.width(), region.height()});
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t row = from; row < to; ++row) {
      for (int64_t i = 0; i < region.width(); ++i) {
        const PhotoPx photo = frame.PhotoAt(
            {static_cast<double>(region.x0 + i) + 0.5, static_cast<double>(region.y0 + row) + 0.5});
        const PhotoPx ideal = lens.IdealFromPhoto(photo);
        const Eigen::Vector3d ray(ideal.x - lens.principal.x, ideal.y - lens.principal.y,
                                  lens.focal_px);
        const double azimuth = view_.Along(object_from_camera * ray).azimuth_rad;
        // The gradient of |(x, z)| - a(y) on the side (frustum.h).
        const Eigen::Vector3d outward(std::sin(azimuth), -slope, -std::cos(azimuth));
        const Eigen::Vector3d n = frustum_.pose.rotation * outward / length;
        for (int plane = 0; plane < 3; ++plane) {
          normals.row(plane, row)[i] = static_cast<float>(n(plane));
        }
      }
    }
  });
  return normals;
}

std::vector<std::shared_ptr<const Chart>> FrustumCharts(const PosedFrustum& frustum) {
  constexpr double kLongestStrip = 1.5 * kPi;
  constexpr double kLeastStrip = 1e-9;
  const double limb = FrustumView(frustum.size, CameraInObject(frustum.pose)).limb_rad();
  // Azimuths from the camera, cut at the seam, then counted from the centre line.
  std::vector<double> cuts{-limb};
  if (const double seam = Unwrapped(frustum.turn_rad + kPi, 0); std::abs(seam) < limb) {
    cuts.push_back(seam);
  }
  cuts.push_back(limb);
  std::vector<std::shared_ptr<const Chart>> charts;
  for (size_t i = 0; i + 1 < cuts.size(); ++i) {
    const double length = cuts[i + 1] - cuts[i];
    if (!(length > kLeastStrip)) continue;
    const double middle = Unwrapped((cuts[i] + cuts[i + 1]) / 2 - frustum.turn_rad, 0);
    const double low = middle - length / 2, high = middle + length / 2;
    if (length > kLongestStrip) {
      charts.push_back(std::make_shared<FrustumChart>(frustum, low, middle));
      charts.push_back(std::make_shared<FrustumChart>(frustum, middle, high));
    } else {
      charts.push_back(std::make_shared<FrustumChart>(frustum, low, high));
    }
  }
  return charts;
}

PrintArea AreaOf(const FrustumSize& size, const FlatPattern& pattern) {
  PrintArea area{pattern.low(), pattern.high(), pattern.FlatFromSide({0, size.height / 2}), {}};
  if (size.is_cylinder()) return area;
  // Of a whole circle of 300 mm the pieces stray by 0.003 mm.
  constexpr int kArcPieces = 720;
  for (int i = 0; i <= kArcPieces; ++i) {
    area.outline.push_back(pattern.FlatFromSide({kPi * (2.0 * i / kArcPieces - 1), 0}));
  }
  for (int i = kArcPieces; i >= 0; --i) {
    area.outline.push_back(pattern.FlatFromSide({kPi * (2.0 * i / kArcPieces - 1), size.height}));
  }
  return area;
}

}  // namespace wheatpaste

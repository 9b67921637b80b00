#include "surface/mesh_tracer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include <Eigen/Geometry>

#include "base/parallel.h"
#include "surface/mesh_normals.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr RectPx kNowhere{std::numeric_limits<int64_t>::max(), std::numeric_limits<int64_t>::max(),
                          -1, -1};

// i's digits in that base, mirrored at the point.
double Mirrored(int i, int base) {
  double value = 0, weight = 1.0 / base;
  for (int rest = i; rest > 0; rest /= base, weight /= base) value += (rest % base) * weight;
  return value;
}

// A ray of a pixel that is looked at closely.
struct SubRay {
  Eigen::Vector2d at;                             // in its pixel, each coordinate in (0, 1)
  Eigen::Vector2d off = Eigen::Vector2d::Zero();  // where on the lens it starts
};

std::vector<SubRay> SubRays(int rays, bool from_all_lens) {
  std::vector<SubRay> all;
  for (int i = 0; i < rays; ++i) {
    SubRay ray{{(i + 0.5) / rays, Mirrored(i, 2) + 0.5 / rays}};
    if (from_all_lens) {
      // Points of a disc, each direction and distance alike.
      const double distance = std::sqrt(Mirrored(i, 3));
      const double around = 2 * std::numbers::pi * Mirrored(i, 5);
      ray.off = {distance * std::cos(around), distance * std::sin(around)};
    }
    all.push_back(ray);
  }
  return all;
}

const std::vector<SubRay>& SubRaysOf(bool has_blur) {
  static const std::vector<SubRay> point = SubRays(kSubRays, false);
  static const std::vector<SubRay> lens = SubRays(kLensRays, true);
  return has_blur ? lens : point;
}

bool SameFrame(const Frame& a, const Frame& b) {
  return a.photo == b.photo && a.size == b.size && a.window.x0 == b.window.x0 &&
         a.window.y0 == b.window.y0 && a.window.width == b.window.width &&
         a.window.height == b.window.height;
}

void Include(RectPx& rect, int64_t x, int64_t y) {
  rect = {std::min(rect.x0, x), std::min(rect.y0, y), std::max(rect.x1, x + 1),
          std::max(rect.y1, y + 1)};
}

}  // namespace

MeshTracer::MeshTracer(std::shared_ptr<const Mesh> mesh, const Pose& pose, const Lens& lens,
                       const SurfaceMm& size, const LensOpening& opening, int32_t unasked)
    : mesh_(std::move(mesh)),
      pose_(pose),
      lens_(lens),
      size_(size),
      opening_(opening),
      unasked_(unasked),
      rays_(*mesh_) {
  const Eigen::Vector3d eye = pose_.ObjectFromCamera(Eigen::Vector3d::Zero());
  for (const auto& triangle : mesh_->triangles) {
    const auto corner = [&](int i) { return mesh_->vertices[static_cast<size_t>(triangle[i])]; };
    const Eigen::Vector3d outward = (corner(1) - corner(0)).cross(corner(2) - corner(0));
    front_.push_back(outward.dot(eye - corner(0)) > 0 ? 1 : 0);
  }
}

bool MeshTracer::AnyFront() const {
  return std::find(front_.begin(), front_.end(), 1) != front_.end();
}

MeshRay MeshTracer::RayOf(const PhotoPx& photo, const Eigen::Vector2d& off) const {
  const PhotoPx ideal = lens_.IdealFromPhoto(photo);
  const Eigen::Vector3d direction((ideal.x - lens_.principal.x) / lens_.focal_px,
                                  (ideal.y - lens_.principal.y) / lens_.focal_px, 1);
  const Eigen::Vector3d from(opening_.radius_mm * off.x(), opening_.radius_mm * off.y(), 0);
  return {pose_.ObjectFromCamera(from),
          pose_.rotation.transpose() * (direction - from / opening_.focus_mm)};
}

int32_t MeshTracer::FrontAt(const MeshRay& ray) const {
  const int32_t triangle = rays_.FirstTriangle(ray.from, ray.along);
  return triangle >= 0 && IsFront(triangle) ? triangle : -1;
}

SurfaceMm MeshTracer::MmOn(int32_t triangle, const MeshRay& ray) const {
  const auto& at = mesh_->triangles[static_cast<size_t>(triangle)];
  const auto& flat = mesh_->uv_triangles[static_cast<size_t>(triangle)];
  const auto corner = [&](size_t i) -> const Eigen::Vector3d& {
    return mesh_->vertices[static_cast<size_t>(at[i])];
  };
  const auto uv = [&](size_t i) -> const Eigen::Vector2d& {
    return mesh_->uvs[static_cast<size_t>(flat[i])];
  };
  const Eigen::Vector3d a = corner(1) - corner(0), b = corner(2) - corner(0);
  const Eigen::Vector3d across = a.cross(b), to = ray.from - corner(0);
  // From the first corner to where the ray meets the plane, in shares of both edges.
  const Eigen::Vector3d way = to - across.dot(to) / across.dot(ray.along) * ray.along;
  const double whole = across.squaredNorm();
  const double s = way.cross(b).dot(across) / whole, t = a.cross(way).dot(across) / whole;
  const Eigen::Vector2d met = uv(0) + s * (uv(1) - uv(0)) + t * (uv(2) - uv(0));
  return {met.x() * size_.x, (1 - met.y()) * size_.y};
}

double MeshTracer::NearnessAt(int32_t triangle, const PhotoPx& ideal) const {
  const auto& at = mesh_->triangles[static_cast<size_t>(triangle)];
  Eigen::Matrix3d corners;
  for (int i = 0; i < 3; ++i) {
    corners.col(i) = pose_.CameraFromObject(mesh_->vertices[static_cast<size_t>(at[i])]);
  }
  const Eigen::Vector3d ray((ideal.x - lens_.principal.x) / lens_.focal_px,
                            (ideal.y - lens_.principal.y) / lens_.focal_px, 1);
  return (corners.inverse() * ray).sum();
}

double MeshTracer::ConfusionPx(double nearness) const {
  return 2 * opening_.radius_mm * lens_.focal_px * std::abs(1 / opening_.focus_mm - nearness);
}

double MeshTracer::ConfusionPx(int32_t triangle, const PhotoPx& ideal) const {
  return ConfusionPx(NearnessAt(triangle, ideal));
}

Map<SurfaceMm, PhotoPx> MeshTracer::SurfaceFromIdeal(int32_t triangle) const {
  const auto& at = mesh_->triangles[static_cast<size_t>(triangle)];
  const auto& flat = mesh_->uv_triangles[static_cast<size_t>(triangle)];
  Eigen::Matrix3d corners, mm, camera_from_ideal;
  for (int i = 0; i < 3; ++i) {
    corners.col(i) = pose_.CameraFromObject(mesh_->vertices[static_cast<size_t>(at[i])]);
    const Eigen::Vector2d& uv = mesh_->uvs[static_cast<size_t>(flat[i])];
    mm.col(i) = Eigen::Vector3d(uv.x() * size_.x, (1 - uv.y()) * size_.y, 1);
  }
  camera_from_ideal << 1 / lens_.focal_px, 0, -lens_.principal.x / lens_.focal_px, 0,
      1 / lens_.focal_px, -lens_.principal.y / lens_.focal_px, 0, 0, 1;
  return Map<SurfaceMm, PhotoPx>(mm * corners.inverse() * camera_from_ideal);
}

std::shared_ptr<const MeshPicture> MeshTracer::Picture(const Frame& frame) const {
  {
    const std::lock_guard lock(mutex_);
    if (last_ && SameFrame(last_->frame, frame)) return last_;
  }
  // Not under the lock: a thread that waits for its rows may take up another's chart meanwhile.
  auto picture = std::make_shared<const MeshPicture>(Trace(frame));
  const std::lock_guard lock(mutex_);
  last_ = picture;
  return picture;
}

MeshPicture MeshTracer::Trace(const Frame& frame) const {
  const int64_t width = frame.size.width, height = frame.size.height;
  MeshPicture picture;
  picture.frame = frame;
  picture.triangles.assign(static_cast<size_t>(frame.size.area()), -1);
  picture.is_edge.assign(static_cast<size_t>(frame.size.area()), 0);
  picture.shares.resize(static_cast<size_t>(height));
  ParallelRows(height, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      for (int64_t x = 0; x < width; ++x) {
        picture.triangles[static_cast<size_t>(y * width + x)] = FrontAt(
            RayOf(frame.PhotoAt({static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5}),
                  Eigen::Vector2d::Zero()));
      }
    }
  });
  MarkEdges(picture);
  ParallelRows(height, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) TraceEdges(picture, y);
  });
  picture.regions.assign(static_cast<size_t>(mesh_->island_count), kNowhere);
  for (int64_t y = 0; y < height; ++y) {
    for (int64_t x = 0; x < width; ++x) {
      const auto pixel = static_cast<size_t>(y * width + x);
      if (picture.triangles[pixel] < 0 || picture.is_edge[pixel]) continue;
      const int32_t island = mesh_->islands[static_cast<size_t>(picture.triangles[pixel])];
      Include(picture.regions[static_cast<size_t>(island)], x, y);
    }
    for (const MeshShare& share : picture.shares[static_cast<size_t>(y)]) {
      Include(picture.regions[static_cast<size_t>(share.island)], share.x, y);
    }
  }
  return picture;
}

double MeshTracer::BlurReach(const MeshPicture& picture, int64_t x, int64_t y) const {
  const int64_t width = picture.frame.size.width, height = picture.frame.size.height;
  std::array<double, 9> nearness;
  size_t count = 0;
  // Behind what is asked for, edges of its own may be hidden that its blur shows, so it counts near or far; what nobody asks for does
  // not where it is farther than all that is.
  double least_asked = std::numeric_limits<double>::infinity();
  for (int64_t j = std::max<int64_t>(y - 1, 0); j < std::min(y + 2, height); ++j) {
    for (int64_t i = std::max<int64_t>(x - 1, 0); i < std::min(x + 2, width); ++i) {
      const int32_t triangle = picture.triangles[static_cast<size_t>(j * width + i)];
      if (triangle < 0) continue;
      const PhotoPx ideal = lens_.IdealFromPhoto(
          picture.frame.PhotoAt({static_cast<double>(i) + 0.5, static_cast<double>(j) + 0.5}));
      const double near = nearness[count++] = NearnessAt(triangle, ideal);
      const bool is_asked = mesh_->islands[static_cast<size_t>(triangle)] != unasked_;
      if (is_asked) least_asked = std::min(least_asked, near);
    }
  }
  if (std::isinf(least_asked)) least_asked = 0;
  double most = 0;
  for (size_t i = 0; i < count; ++i) {
    if (nearness[i] >= least_asked) most = std::max(most, ConfusionPx(nearness[i]));
  }
  return picture.frame.scale() / 2 * most;
}

void MeshTracer::MarkEdges(MeshPicture& picture) const {
  const int64_t width = picture.frame.size.width, height = picture.frame.size.height;
  const auto island_at = [&](int64_t x, int64_t y) {
    const int32_t triangle = picture.triangles[static_cast<size_t>(y * width + x)];
    return triangle < 0 ? -1 : mesh_->islands[static_cast<size_t>(triangle)];
  };
  const auto mark = [&](int64_t x0, int64_t x1, int64_t y) {
    std::fill(picture.is_edge.begin() + y * width + x0, picture.is_edge.begin() + y * width + x1,
              uint8_t{1});
  };
  for (int64_t row = 0; row < height; ++row) {
    for (int64_t x = 0; x < width; ++x) {
      const int32_t own = island_at(x, row);
      bool agree = true;
      const int64_t y1 = std::min(row + 2, height), x1 = std::min(x + 2, width);
      for (int64_t y = std::max<int64_t>(row - 1, 0); y < y1; ++y) {
        for (int64_t i = std::max<int64_t>(x - 1, 0); i < x1; ++i) {
          agree = agree && island_at(i, y) == own;
        }
      }
      if (agree) continue;
      mark(x, x + 1, row);
      if (!has_blur()) continue;
      const double reach = BlurReach(picture, x, row);  // px
      const auto rows = static_cast<int64_t>(std::ceil(std::min(reach, 1e4)));
      for (int64_t step = -rows; step <= rows; ++step) {
        if (row + step < 0 || row + step >= height) continue;
        const auto across = static_cast<int64_t>(
            std::ceil(std::sqrt(std::max(0.0, reach * reach - static_cast<double>(step * step)))));
        mark(std::max<int64_t>(x - across, 0), std::min(x + across + 1, width), row + step);
      }
    }
  }
}

void MeshTracer::TraceEdges(MeshPicture& picture, int64_t row) const {
  const int64_t width = picture.frame.size.width;
  const auto island_of = [&](int32_t triangle) {
    return triangle < 0 ? -1 : mesh_->islands[static_cast<size_t>(triangle)];
  };
  std::vector<MeshShare>& shares = picture.shares[static_cast<size_t>(row)];
  std::vector<double> nearest;  // squared distances from the pixel's centre, of this pixel's shares
  const std::vector<SubRay>& rays = SubRaysOf(has_blur());
  const float one = 1.0f / static_cast<float>(rays.size());
  for (int64_t x = 0; x < width; ++x) {
    if (!picture.is_edge[static_cast<size_t>(row * width + x)]) continue;
    const int32_t own = island_of(picture.triangles[static_cast<size_t>(row * width + x)]);
    const size_t first = shares.size();
    nearest.clear();
    for (const auto& [at, off] : rays) {
      const MeshRay ray = RayOf(picture.frame.PhotoAt({static_cast<double>(x) + at.x(),
                                                       static_cast<double>(row) + at.y()}),
                                off);
      const int32_t triangle = FrontAt(ray);
      if (triangle < 0) continue;
      const int32_t island = island_of(triangle);
      const double distance = (at - Eigen::Vector2d(0.5, 0.5)).squaredNorm() + off.squaredNorm();
      size_t k = first;
      while (k < shares.size() && shares[k].island != island) ++k;
      if (k == shares.size()) {
        shares.push_back({x, island, triangle, at, std::nullopt, 0});
        nearest.push_back(distance);
      }
      MeshShare& share = shares[k];
      share.share += one;
      if (has_blur()) {
        const SurfaceMm mm = MmOn(triangle, ray);
        const SurfaceMm sum = share.mm.value_or(SurfaceMm{});
        share.mm = SurfaceMm{sum.x + mm.x, sum.y + mm.y};
      }
      if (distance < nearest[k - first]) {
        nearest[k - first] = distance;
        share.triangle = triangle;
        share.at = at;
      }
    }
    for (size_t k = first; k < shares.size(); ++k) {
      MeshShare& share = shares[k];
      if (share.mm) {
        const double count = std::round(static_cast<double>(share.share / one));
        share.mm = SurfaceMm{share.mm->x / count, share.mm->y / count};
      }
      if (share.island != own) continue;
      share.triangle = picture.triangles[static_cast<size_t>(row * width + x)];
      share.at = {0.5, 0.5};
    }
  }
}

Eigen::Vector3d MeshTracer::NormalAt(int32_t triangle, const PhotoPx& ideal) const {
  // On this thread alone: one that waited for others could be given work that waits for this.
  std::call_once(normals_made_, [this] { normals_ = CornerNormals(*mesh_); });
  const Eigen::Vector3d ray((ideal.x - lens_.principal.x) / lens_.focal_px,
                            (ideal.y - lens_.principal.y) / lens_.focal_px, 1);
  const auto& at = mesh_->triangles[static_cast<size_t>(triangle)];
  Eigen::Matrix3d corners;
  for (int i = 0; i < 3; ++i) {
    corners.col(i) = pose_.CameraFromObject(mesh_->vertices[static_cast<size_t>(at[i])]);
  }
  const Eigen::Vector3d shares = corners.inverse() * ray;
  const auto& own = normals_[static_cast<size_t>(triangle)];
  const Eigen::Vector3d mean =
      pose_.rotation * (shares[0] * own[0] + shares[1] * own[1] + shares[2] * own[2]);
  const double length = mean.norm();
  if (length > 0 && mean.dot(ray) / shares.sum() < 0) return mean / length;
  return (corners.col(1) - corners.col(0)).cross(corners.col(2) - corners.col(0)).normalized();
}

}  // namespace wheatpaste

#include "surface/mesh_chart.h"

#include <algorithm>
#include <array>
#include <limits>
#include <utility>

#include <Eigen/Geometry>
#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "surface/mesh_normals.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr RectPx kNowhere{std::numeric_limits<int64_t>::max(), std::numeric_limits<int64_t>::max(),
                          -1, -1};

// Where in its pixel a sub-ray stands, each coordinate in (0, 1).
Eigen::Vector2d SubRay(int i) {
  double reversed = 0, weight = 0.5;
  for (int bits = i; bits > 0; bits /= 2, weight /= 2) reversed += (bits % 2) * weight;
  return {(i + 0.5) / kSubRays, reversed + 0.5 / kSubRays};
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
                       const SurfaceMm& size)
    : mesh_(std::move(mesh)), pose_(pose), lens_(lens), size_(size), rays_(*mesh_) {
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

int32_t MeshTracer::TriangleAt(const PhotoPx& photo) const {
  const PhotoPx ideal = lens_.IdealFromPhoto(photo);
  const Eigen::Vector3d direction((ideal.x - lens_.principal.x) / lens_.focal_px,
                                  (ideal.y - lens_.principal.y) / lens_.focal_px, 1);
  const int32_t triangle = rays_.FirstTriangle(pose_.ObjectFromCamera(Eigen::Vector3d::Zero()),
                                               pose_.rotation.transpose() * direction);
  return triangle >= 0 && IsFront(triangle) ? triangle : -1;
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
        picture.triangles[static_cast<size_t>(y * width + x)] =
            TriangleAt(frame.PhotoAt({static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5}));
      }
    }
  });
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

void MeshTracer::TraceEdges(MeshPicture& picture, int64_t row) const {
  const int64_t width = picture.frame.size.width, height = picture.frame.size.height;
  const auto island_of = [&](int32_t triangle) {
    return triangle < 0 ? -1 : mesh_->islands[static_cast<size_t>(triangle)];
  };
  const auto island_at = [&](int64_t x, int64_t y) {
    return island_of(picture.triangles[static_cast<size_t>(y * width + x)]);
  };
  std::vector<MeshShare>& shares = picture.shares[static_cast<size_t>(row)];
  std::vector<double> nearest;  // squared distances from the pixel's centre, of this pixel's shares
  for (int64_t x = 0; x < width; ++x) {
    const int32_t own = island_at(x, row);
    bool agree = true;
    for (int64_t y = std::max<int64_t>(row - 1, 0); y < std::min(row + 2, height); ++y) {
      for (int64_t i = std::max<int64_t>(x - 1, 0); i < std::min(x + 2, width); ++i) {
        agree = agree && island_at(i, y) == own;
      }
    }
    if (agree) continue;
    picture.is_edge[static_cast<size_t>(row * width + x)] = 1;
    const size_t first = shares.size();
    nearest.clear();
    for (int i = 0; i < kSubRays; ++i) {
      const Eigen::Vector2d at = SubRay(i);
      const int32_t triangle = TriangleAt(picture.frame.PhotoAt(
          {static_cast<double>(x) + at.x(), static_cast<double>(row) + at.y()}));
      if (triangle < 0) continue;
      const int32_t island = island_of(triangle);
      const double distance = (at - Eigen::Vector2d(0.5, 0.5)).squaredNorm();
      size_t k = first;
      while (k < shares.size() && shares[k].island != island) ++k;
      if (k == shares.size()) {
        shares.push_back({x, island, triangle, i, 0});
        nearest.push_back(distance);
      }
      shares[k].share += 1.0f / kSubRays;
      if (distance < nearest[k - first]) {
        nearest[k - first] = distance;
        shares[k].triangle = triangle;
        shares[k].sub_ray = i;
      }
    }
    for (size_t k = first; k < shares.size(); ++k) {
      if (shares[k].island != own) continue;
      shares[k].triangle = picture.triangles[static_cast<size_t>(row * width + x)];
      shares[k].sub_ray = -1;
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

ChartPicture MeshChart::Picture(const Frame& frame) const {
  const std::shared_ptr<const MeshPicture> traced = tracer_->Picture(frame);
  ChartPicture picture;
  const RectPx region = traced->regions[static_cast<size_t>(island_)];
  if (region.empty()) return picture;
  picture.region = region;
  picture.seen = Image<Coverage>({region.width(), region.height()});
  picture.mm = Image<SurfaceMmPlanes>({region.width(), region.height()});
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
      const auto put = [&](int64_t x, int32_t triangle, const Eigen::Vector2d& at, float share) {
        if (triangle != mapped) map = tracer_->SurfaceFromIdeal(triangle);
        mapped = triangle;
        const PhotoPx photo =
            frame.PhotoAt({static_cast<double>(x) + at.x(), static_cast<double>(y) + at.y()});
        const PhotoPx ideal = lens.IdealFromPhoto(photo);
        const SurfaceMm mm = map(ideal);
        const Eigen::Matrix2d change =
            map.Jacobian(ideal) * lens.IdealChange(photo) / frame.scale();
        const int64_t i = x - region.x0;
        seen[i] = share;
        const double values[] = {mm.x,         mm.y,         change(0, 0),
                                 change(0, 1), change(1, 0), change(1, 1)};
        for (size_t plane = 0; plane < out.size(); ++plane) {
          out[plane][i] = static_cast<float>(values[plane]);
        }
      };
      const Eigen::Vector2d centre(0.5, 0.5);
      for (int64_t x = region.x0; x < region.x1; ++x) {
        const auto pixel = static_cast<size_t>(y * frame.size.width + x);
        const int32_t triangle = traced->triangles[pixel];
        if (triangle < 0 || traced->is_edge[pixel]) continue;
        if (mesh.islands[static_cast<size_t>(triangle)] == island_) put(x, triangle, centre, 1);
      }
      for (const MeshShare& share : traced->shares[static_cast<size_t>(y)]) {
        if (share.island != island_) continue;
        put(share.x, share.triangle, share.sub_ray < 0 ? centre : SubRay(share.sub_ray),
            share.share);
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
  // 0: known.
  cv::Mat unknown(static_cast<int>(region.height()), static_cast<int>(region.width()), CV_8U,
                  cv::Scalar(1));
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
        unknown.at<uint8_t>(static_cast<int>(y - region.y0), static_cast<int>(x - region.x0)) = 0;
      };
      for (const MeshShare& share : traced->shares[static_cast<size_t>(y)]) {
        if (share.island != island_ || share.x < within.x0 || share.x >= within.x1) continue;
        put(share.x, share.triangle,
            share.sub_ray < 0 ? Eigen::Vector2d(0.5, 0.5) : SubRay(share.sub_ray));
      }
      for (int64_t x = within.x0; x < within.x1; ++x) {
        const int32_t triangle = traced->triangles[static_cast<size_t>(y * frame.size.width + x)];
        if (triangle < 0 || mesh.islands[static_cast<size_t>(triangle)] != island_) continue;
        put(x, triangle, Eigen::Vector2d(0.5, 0.5));
      }
    }
  });
  if (cv::countNonZero(unknown) == 0) return normals;
  if (cv::countNonZero(unknown) == static_cast<int>(unknown.total())) return std::nullopt;
  // The others from the nearest known pixel.
  cv::Mat distances, labels;
  cv::distanceTransform(unknown, distances, labels, cv::DIST_L2, cv::DIST_MASK_5,
                        cv::DIST_LABEL_PIXEL);
  std::vector<std::pair<int64_t, int64_t>> known(static_cast<size_t>(unknown.total()) + 1);
  for (int y = 0; y < unknown.rows; ++y) {
    for (int x = 0; x < unknown.cols; ++x) {
      if (unknown.at<uint8_t>(y, x) == 0) known[static_cast<size_t>(labels.at<int>(y, x))] = {x, y};
    }
  }
  ParallelRows(region.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const int* label = labels.ptr<int>(static_cast<int>(y));
      for (int64_t x = 0; x < region.width(); ++x) {
        if (unknown.at<uint8_t>(static_cast<int>(y), static_cast<int>(x)) == 0) continue;
        const auto& [from_x, from_y] = known[static_cast<size_t>(label[x])];
        for (int plane = 0; plane < 3; ++plane) {
          normals.row(plane, y)[x] = normals.row(plane, from_y)[from_x];
        }
      }
    }
  });
  return normals;
}

}  // namespace wheatpaste

#include "stage/stage_surfaces.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/parallel.h"
#include "stage/find_face.h"
#include "surface/mesh_chart.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

// A chart of the mesh with the mm of a face of it.
class FaceChart : public Chart {
 public:
  FaceChart(std::shared_ptr<const MeshTracer> tracer, int32_t island,
            const Map<SurfaceMm, SurfaceMm>& face_from_sheet)
      : sheet_(std::move(tracer), island), face_from_sheet_(face_from_sheet.matrix()) {}

  ChartPicture Picture(const Frame& frame) const override {
    ChartPicture picture = sheet_.Picture(frame);
    if (picture.region.empty()) return picture;
    const Eigen::Matrix3d h = face_from_sheet_ / face_from_sheet_(2, 2);
    const Eigen::Matrix2d turn = h.topLeftCorner<2, 2>();
    const Eigen::Vector2d move = h.topRightCorner<2, 1>();
    ParallelRows(picture.region.height(), kBandRows, [&](int64_t from, int64_t to) {
      for (int64_t y = from; y < to; ++y) {
        std::array<float*, SurfaceMmPlanes::kPlanes> mm;
        for (size_t k = 0; k < mm.size(); ++k) mm[k] = picture.mm.row(static_cast<int>(k), y);
        const float* const seen = picture.seen.row(0, y);
        for (int64_t x = 0; x < picture.region.width(); ++x) {
          if (seen[x] <= 0) continue;
          const Eigen::Vector2d at = turn * Eigen::Vector2d(mm[0][x], mm[1][x]) + move;
          Eigen::Matrix2d change;
          change << mm[2][x], mm[3][x], mm[4][x], mm[5][x];
          change = turn * change;
          const double values[] = {at.x(),       at.y(),       change(0, 0),
                                   change(0, 1), change(1, 0), change(1, 1)};
          for (size_t k = 0; k < mm.size(); ++k) mm[k][x] = static_cast<float>(values[k]);
        }
      }
    });
    return picture;
  }

  std::optional<Image<NormalPlanes>> Normals(const Frame& frame,
                                             const RectPx& region) const override {
    return sheet_.Normals(frame, region);
  }

 private:
  MeshChart sheet_;
  Eigen::Matrix3d face_from_sheet_;
};

// The part that takes up most of the face.
const std::string& PartOf(const Solid& solid, const SolidFace& face) {
  std::vector<double> areas(solid.parts.size());
  for (const SolidTriangle& triangle : solid.triangles) {
    if (std::find(face.charts.begin(), face.charts.end(), triangle.chart) == face.charts.end()) {
      continue;
    }
    const auto corner = [&](size_t k) { return triangle.sheet[k].vector(); };
    const Eigen::Vector2d a = corner(1) - corner(0), b = corner(2) - corner(0);
    areas[static_cast<size_t>(triangle.part)] += std::abs(a.x() * b.y() - a.y() * b.x());
  }
  const auto largest = std::max_element(areas.begin(), areas.end()) - areas.begin();
  return solid.parts[static_cast<size_t>(largest)];
}

}  // namespace

std::shared_ptr<const MeshTracer> TracerOf(const BuiltStage& built,
                                           const std::vector<bool>& is_asked) {
  const World& world = built.world;
  auto mesh = std::make_shared<Mesh>();
  mesh->vertices = world.vertices;
  // All that nobody asks for is one island more.
  mesh->island_count = built.chart_count + 1;
  for (const WorldTriangle& triangle : world.triangles) {
    mesh->triangles.push_back(triangle.vertices);
    const bool asked = triangle.chart >= 0 && is_asked[static_cast<size_t>(triangle.chart)];
    mesh->islands.push_back(asked ? triangle.chart : built.chart_count);
    const auto first = static_cast<int32_t>(mesh->uvs.size());
    mesh->uv_triangles.push_back({first, first + 1, first + 2});
    for (const Eigen::Vector2f& mm : triangle.sheet_mm) {
      mesh->uvs.emplace_back(mm.x(), 1 - static_cast<double>(mm.y()));
    }
  }
  const WorldCamera& camera = world.camera;
  const Pose pose{camera.rotation, -camera.rotation * camera.at};
  // uv are mm: a square of one mm.
  return std::make_shared<const MeshTracer>(
      std::move(mesh), pose, CameraOf(built).lens, SurfaceMm{1, 1},
      LensOpening{camera.lens_radius_mm, camera.focus_mm}, built.chart_count);
}

Camera CameraOf(const BuiltStage& built) {
  const WorldCamera& from = built.world.camera;
  Camera camera;
  camera.focal_px = from.focal_px;
  camera.source = FocalSource::kScene;
  camera.principal = {static_cast<double>(from.size.width) / 2,
                      static_cast<double>(from.size.height) / 2};
  camera.lens.focal_px = from.focal_px;
  camera.lens.principal = camera.principal;
  return camera;
}

Result<std::vector<FittedSurface>> StageSurfaces(const Stage& stage, const BuiltStage& built,
                                                 const std::vector<Surface>& surfaces) {
  std::vector<const SolidFace*> faces;
  std::vector<bool> is_asked(static_cast<size_t>(built.chart_count), false);
  Errors errors;
  for (const Surface& surface : surfaces) {
    const size_t index = surface.stage_face->object;
    const BuiltObject& object = built.objects[index];
    const auto found =
        FindFace(stage.objects[index], object.solid, surface.name, surface.stage_face->face);
    if (!found) {
      errors.insert(errors.end(), found.errors().begin(), found.errors().end());
      continue;
    }
    faces.push_back(*found);
    for (const int32_t chart : (*found)->charts) {
      is_asked[static_cast<size_t>(object.first_chart + chart)] = true;
    }
  }
  if (!errors.empty()) return errors;
  const auto tracer = TracerOf(built, is_asked);
  std::vector<FittedSurface> fitted;
  for (size_t i = 0; i < surfaces.size(); ++i) {
    const BuiltObject& object = built.objects[surfaces[i].stage_face->object];
    Face face;
    face.area = {faces[i]->low, faces[i]->high, faces[i]->centre, faces[i]->outline};
    for (const int32_t chart : faces[i]->charts) {
      face.charts.push_back(std::make_shared<const FaceChart>(tracer, object.first_chart + chart,
                                                              faces[i]->face_from_sheet));
    }
    FittedSurface known;
    known.size = SizeOf(face.area);
    known.aspect = {known.size.x / known.size.y, 0};
    known.faces.push_back(std::move(face));
    fitted.push_back(std::move(known));
  }
  return fitted;
}

Result<std::vector<Placed<Substrate>>> PrintedSubstrates(const Stage& stage,
                                                         const BuiltStage& built,
                                                         const std::vector<Surface>& surfaces) {
  std::vector<Placed<Substrate>> substrates;
  Errors errors;
  for (const Surface& surface : surfaces) {
    const size_t index = surface.stage_face->object;
    const StageObject& object = stage.objects[index];
    const Solid& solid = built.objects[index].solid;
    const auto face = FindFace(object, solid, surface.name, surface.stage_face->face);
    WHEATPASTE_CHECK(face.ok());
    const std::string& part = PartOf(solid, **face);
    const StageMaterial* const material = MaterialFor(object, part);
    if (material == nullptr || !material->substrate) {
      errors.push_back(
          {surface.name.place, fmt::format("{} = \"{}\"", surface.name.key, surface.name.value),
           fmt::format("expected a face of a substrate; part \"{}\" of \"{}\" is of {}", part,
                       object.name.value,
                       material != nullptr && material->glass ? "glass" : "metal")});
      continue;
    }
    substrates.push_back(*material->substrate);
  }
  if (!errors.empty()) return errors;
  return substrates;
}

}  // namespace wheatpaste

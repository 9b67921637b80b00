#include "composite/bend_surface.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include <fmt/format.h>

#include "composite/face_light.h"
#include "light/height_picture.h"
#include "light/relief.h"
#include "surface/artwork_spans.h"
#include "surface/bend_chart.h"

namespace wheatpaste {
namespace {

// A step of the heights' grid, output px, and how many nodes it has at most along a side.
constexpr double kStepPx = 1.5;
constexpr int kMostNodes = 192;
// Less than this is not worth a word.
constexpr double kLeastHidden = 0.01;

double Degrees(double rad) { return rad * 180 / std::numbers::pi; }

void NoteLight(const Relief& relief, const FaceView& view, const SurfaceMm& middle, bool estimated,
               const std::string& name, std::vector<std::string>& notes) {
  const double sine = std::sin(relief.light.slant_rad);
  const Eigen::Vector3d own(sine * std::cos(relief.light.tilt_rad),
                            sine * std::sin(relief.light.tilt_rad),
                            std::cos(relief.light.slant_rad));
  const Eigen::Vector3d to_light = view.AxesAt(middle) * own;
  notes.push_back(
      fmt::format("folds of {} are read as lit from {}, {:.0f} degrees off its face{}{}", name,
                  SideOf(own), Degrees(relief.light.slant_rad),
                  estimated ? fmt::format(" (estimated: light_from = [{:.2f}, {:.2f}, {:.2f}])",
                                          to_light.x(), -to_light.y(), -to_light.z())
                            : "",
                  relief.shadows ? "; hard shadow edges are left out" : ""));
}

}  // namespace

Errors BendSurfaces(const SolvedScene& solved, PreparedScene& prepared) {
  Errors errors;
  const bool any =
      std::any_of(solved.scene.surfaces.begin(), solved.scene.surfaces.end(),
                  [](const Surface& surface) { return surface.relief.kind == ReliefKind::kPhoto; });
  const std::optional<FittedLight> fitted = any ? FitSceneLight(prepared) : std::nullopt;
  for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
    const ReliefMarks& marks = solved.scene.surfaces[i].relief;
    if (marks.kind == ReliefKind::kNone) continue;
    PreparedSurface& surface = prepared.surfaces[i];
    std::optional<HeightPicture> picture;
    if (marks.kind != ReliefKind::kPhoto) {
      auto read = ReadHeightPicture(marks);
      if (!read) {
        errors.insert(errors.end(), read.errors().begin(), read.errors().end());
        continue;
      }
      picture = std::move(*read);
    }
    for (PreparedChart& chart : surface.charts) {
      const Face& face = solved.surfaces[i].faces[chart.face];
      const std::string name =
          solved.scene.surfaces[i].name.value + (face.name.empty() ? "" : "." + face.name);
      ChartPicture& flat = chart.picture;
      const auto normals = chart.chart->Normals(prepared.analysed, flat.region);
      if (!normals) {
        surface.relief_notes.push_back(name +
                                       ": how it stands in space is not known, so that its relief "
                                       "is left out; give the photo's focal length");
        continue;
      }
      const PrintArea& area = face.area;
      StoreMm(flat, area.low, area.high);
      const auto view = ViewFace(flat, area, *normals, prepared.analysed, solved.camera.lens);
      const auto shape = GridOver(flat, area, kStepPx, kMostNodes);
      if (!view || !shape) continue;
      GridValues heights;
      if (picture) {
        heights = picture->HeightsOn(*shape, area);
      } else {
        const ImageView<SceneLinear> part = prepared.base.light.view().Part(flat.region);
        auto relief =
            ReadRelief(LayFlat(part, flat.seen.view(), flat.mm.view(), *shape), *view, area,
                       {marks.light_from, marks.light_from ? std::nullopt : fitted});
        if (!relief) {
          surface.relief_notes.push_back(
              name +
              ": light_from comes from behind the face or straight onto it, where folds "
              "cast no shading; its relief is left out");
          continue;
        }
        NoteLight(*relief, *view, area.centre, !marks.light_from, name, surface.relief_notes);
        heights = std::move(relief->heights);
      }
      for (double& z : heights) z *= marks.amount;
      BendReport report = BendPicture(*view, area, *shape, std::move(heights), flat);
      if (report.kept < 1) {
        surface.relief_notes.push_back(fmt::format(
            "{}: its relief is lowered to {:.0f} %, where the artwork would fold over itself", name,
            100 * report.kept));
      }
      if (report.hidden_share > kLeastHidden) {
        surface.relief_notes.push_back(
            fmt::format("{}: {:.0f} % of it stands behind its own folds, as its relief is read",
                        name, 100 * report.hidden_share));
      }
      chart.heights = std::move(report.heights);
      chart.bend = std::make_shared<const FaceBend>(std::move(report.bend));
      chart.px_per_mm = LargestPxPerMm(flat, SizeOf(area));
    }
  }
  return errors;
}

}  // namespace wheatpaste

#include "brand/flat_rules.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

constexpr double kOnCreaseMm = 0.01;
constexpr char kGlueSource[] = "common practice: glue holds on bare board";

bool IsOnCrease(const Dieline& dieline, const Vector2d& point) {
  return std::any_of(dieline.creases.begin(), dieline.creases.end(), [&](auto& crease) {
    return DistanceToLine(point, crease.from, crease.to) < kOnCreaseMm;
  });
}

// The bounds of a row on the blank.
FlatOutline BoxOf(const LetterRow& row, const Map<SurfaceMm, ArtworkUv>& flat_from_artwork) {
  FlatOutline box;
  for (const ArtworkUv& corner :
       {row.low, ArtworkUv{row.high.x, row.low.y}, row.high, ArtworkUv{row.low.x, row.high.y}}) {
    box.push_back(flat_from_artwork(corner).vector());
  }
  return box;
}

// mm between the box and the crease; 0 where the box reaches over it.
double Apart(const FlatOutline& box, const DielineCrease& crease) {
  const Vector2d along = (crease.to - crease.from).normalized(), across(-along.y(), along.x());
  const double length = (crease.to - crease.from).norm();
  double low = std::numeric_limits<double>::infinity(), high = -low;
  double first = low, last = -low, apart = low;
  for (size_t i = 0; i < box.size(); ++i) {
    const double side = (box[i] - crease.from).dot(across), at = (box[i] - crease.from).dot(along);
    low = std::min(low, side);
    high = std::max(high, side);
    first = std::min(first, at);
    last = std::max(last, at);
    apart = std::min({apart, DistanceToLine(box[i], crease.from, crease.to),
                      DistanceToLine(crease.from, box[i], box[(i + 1) % box.size()]),
                      DistanceToLine(crease.to, box[i], box[(i + 1) % box.size()])});
  }
  const bool beside = last < 0 || first > length;
  if (!beside && low < -kReachesOverMm && high > kReachesOverMm) return 0;
  return apart;
}

double DistanceToCreases(const Dieline& dieline, const Vector2d& point) {
  double nearest = std::numeric_limits<double>::infinity();
  for (const DielineCrease& crease : dieline.creases) {
    nearest = std::min(nearest, DistanceToLine(point, crease.from, crease.to));
  }
  return nearest;
}

}  // namespace

FlatFace LayFlat(const Dieline& dieline) {
  FlatFace face;
  for (const DielinePanel& panel : dieline.panels) {
    face.outlines.push_back(panel.outline);
    if (panel.glued) continue;
    const auto walk = [&](const FlatOutline& outline) {
      for (size_t i = 0; i < outline.size(); ++i) {
        const Vector2d &from = outline[i], &to = outline[(i + 1) % outline.size()];
        if (IsOnCrease(dieline, (from + to) / 2)) continue;
        const Vector2d along = (to - from).normalized();
        face.edges.push_back({from, to, {along.y(), -along.x()}, EdgeKind::kTrim, false});
      }
    };
    walk(panel.outline);
    for (const FlatOutline& hole : panel.holes) walk(hole);
  }
  for (const DielineCrease& crease : dieline.creases) {
    const Vector2d along = (crease.to - crease.from).normalized();
    face.edges.push_back(
        {crease.from, crease.to, {along.y(), -along.x()}, EdgeKind::kCrease, true});
  }
  return face;
}

Finding CheckCreases(const Dieline& dieline, const std::vector<LetterRow>& rows,
                     const Map<SurfaceMm, ArtworkUv>& flat_from_artwork) {
  Finding finding{.rule = "lettering on creases", .subject = "the blank", .unit = "mm"};
  double nearest = std::numeric_limits<double>::infinity();
  const DielineCrease* crossed = nullptr;
  Vector2d at(0, 0);
  int crossing = 0;
  for (const LetterRow& row : rows) {
    const FlatOutline box = BoxOf(row, flat_from_artwork);
    bool crosses = false;
    for (const DielineCrease& crease : dieline.creases) {
      const double apart = Apart(box, crease);
      crosses = crosses || apart == 0;
      if (apart >= nearest) continue;
      nearest = apart;
      crossed = &crease;
      at = flat_from_artwork(row.place).vector();
    }
    crossing += crosses;
  }
  if (crossed == nullptr) {
    finding.words = "no rows of letters were found";
    return finding;
  }
  finding.measured = nearest;
  const auto name = [&](size_t side) {
    return dieline.panels[static_cast<size_t>(crossed->panels[side])].name;
  };
  if (crossing == 0) {
    finding.verdict = Finding::Verdict::kKept;
    finding.words = fmt::format("all lettering keeps {:.1f} mm or more from creases", nearest);
    return finding;
  }
  finding.verdict = Finding::Verdict::kBroken;
  finding.words = fmt::format(
      "what looks like lettering at [{:.0f}, {:.0f}] runs across the crease between {} and {}{}; "
      "folded, it breaks "
      "there",
      at.x(), at.y(), name(0), name(1),
      crossing > 2    ? fmt::format(", as do {} other rows", crossing - 1)
      : crossing == 2 ? ", as does another row"
                      : "");
  return finding;
}

Finding CheckGlue(const Dieline& dieline, const FlatDrawing& drawing,
                  const Map<SurfaceMm, ArtworkUv>& flat_from_artwork) {
  Finding finding{.rule = "glue",
                  .subject = "glue areas",
                  .measured = 0.0,
                  .unit = "mm^2",
                  .source = kGlueSource};
  const Map<ArtworkUv, SurfaceMm> artwork_from_flat = flat_from_artwork.Inverse();
  const double step = std::max(drawing.mm_per_px, 0.25);
  for (const FlatOutline& area : dieline.glue) {
    Vector2d low = area.front(), high = low;
    for (const Vector2d& p : area) {
      low = low.cwiseMin(p);
      high = high.cwiseMax(p);
    }
    for (double y = low.y() + step / 2; y < high.y(); y += step) {
      for (double x = low.x() + step / 2; x < high.x(); x += step) {
        const ArtworkUv uv = artwork_from_flat({x, y});
        if (!(uv.x >= 0 && uv.x < 1 && uv.y >= 0 && uv.y < 1)) continue;
        const auto px = static_cast<int64_t>(uv.x * static_cast<double>(drawing.size.width));
        const auto py = static_cast<int64_t>(uv.y * static_cast<double>(drawing.size.height));
        if (drawing.part[drawing.At(px, py)] == drawing.clear()) continue;
        const Vector2d point(x, y);
        if (!IsInside(area, point) || DistanceToCreases(dieline, point) <= kGlueLapMm) continue;
        *finding.measured += step * step;
      }
    }
  }
  const bool bare = *finding.measured <= kMostGluePrintMm2;
  finding.verdict = bare ? Finding::Verdict::kKept : Finding::Verdict::kBroken;
  finding.words =
      bare ? "the glue areas are bare"
           : fmt::format(
                 "{:.0f} mm^2 of a glue area are printed; glue wants bare board, save {:g} "
                 "mm along its crease",
                 *finding.measured, kGlueLapMm);
  return finding;
}

}  // namespace wheatpaste

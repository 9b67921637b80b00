#include "brand/place_rules.h"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

constexpr char kEdgeSource[] = "common practice, no source: 3 mm from trim and crease";
constexpr char kBleedSource[] = "common practice: 3 mm of bleed";
constexpr char kClearSource[] = "the scene";

using Corners = std::array<Eigen::Vector2d, 4>;

double DistanceToSegment(const Eigen::Vector2d& point, const Eigen::Vector2d& from,
                         const Eigen::Vector2d& to) {
  return DistanceTo({from, to, Eigen::Vector2d::Zero()}, point);
}

double Side(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& p) {
  return (b.x() - a.x()) * (p.y() - a.y()) - (b.y() - a.y()) * (p.x() - a.x());
}

// A side of `a` that all of `b` lies beyond parts the two; for convex outlines there is one, of `a` or of `b`, or they
// overlap.
bool IsPartedBy(const Corners& a, const Corners& b) {
  const double turn = Side(a[0], a[1], a[2]);
  for (size_t i = 0; i < 4; ++i) {
    if (std::all_of(b.begin(), b.end(), [&](const Eigen::Vector2d& p) {
          return Side(a[i], a[(i + 1) % 4], p) * turn < 0;
        })) {
      return true;
    }
  }
  return false;
}

std::string MmText(double mm) { return fmt::format("{:.1f} mm", mm); }

}  // namespace

std::optional<UvBounds> BoundsOfDrawn(const FlatDrawing& drawing) {
  RectPx bounds;
  for (int64_t y = 0; y < drawing.size.height; ++y) {
    for (int64_t x = 0; x < drawing.size.width; ++x) {
      if (drawing.part[drawing.At(x, y)] == drawing.clear()) continue;
      const RectPx pixel{x, y, x + 1, y + 1};
      bounds = bounds.empty() ? pixel : Hull(bounds, pixel);
    }
  }
  if (bounds.empty()) return {};
  const auto width = static_cast<double>(drawing.size.width);
  const auto height = static_cast<double>(drawing.size.height);
  return UvBounds{
      {static_cast<double>(bounds.x0) / width, static_cast<double>(bounds.y0) / height},
      {static_cast<double>(bounds.x1) / width, static_cast<double>(bounds.y1) / height}};
}

std::vector<DrawnBounds> BoundsOnFaces(const SolvedScene& solved, size_t placement,
                                       const UvBounds& bounds,
                                       const Map<SurfaceMm, ArtworkUv>& area_from_artwork) {
  const Placement& placed = solved.scene.placements[placement];
  const PlacedArea area = AreaOf(solved.surfaces[placed.surface], placed);
  std::vector<DrawnBounds> drawn;
  for (size_t i = 0; i < area.faces.size(); ++i) {
    const auto face_from_artwork = area.area_from_face[i].Inverse() * area_from_artwork;
    const auto corner = [&](double u, double v) { return face_from_artwork({u, v}).vector(); };
    drawn.push_back({placement,
                     placed.surface,
                     area.faces[i],
                     {corner(bounds.low.x, bounds.low.y), corner(bounds.high.x, bounds.low.y),
                      corner(bounds.high.x, bounds.high.y), corner(bounds.low.x, bounds.high.y)}});
  }
  return drawn;
}

double DistanceBetween(const Corners& a, const Corners& b) {
  if (!IsPartedBy(a, b) && !IsPartedBy(b, a)) return 0;
  double least = std::numeric_limits<double>::infinity();
  for (size_t i = 0; i < 4; ++i) {
    for (size_t j = 0; j < 4; ++j) {
      least = std::min({least, DistanceToSegment(a[i], b[j], b[(j + 1) % 4]),
                        DistanceToSegment(b[i], a[j], a[(j + 1) % 4])});
    }
  }
  return least;
}

Finding CheckClearSpace(const Placement& placement, const std::optional<EdgeDistances>& edges,
                        const std::vector<DrawnBounds>& own, const std::vector<DrawnBounds>& all,
                        double height_mm) {
  Finding finding{.rule = "clear space",
                  .subject = "nothing near",
                  .expected = placement.clear_space_mm,
                  .unit = "mm",
                  .source = kClearSource};
  if (placement.clear_space) finding.expected = *placement.clear_space * height_mm;
  if (!finding.expected) finding.source.clear();
  if (edges) {
    finding.measured = edges->any;
    finding.subject = "an edge or crease";
  }
  for (const DrawnBounds& mine : own) {
    for (const DrawnBounds& other : all) {
      if (other.placement == mine.placement || other.surface != mine.surface ||
          other.face != mine.face) {
        continue;
      }
      const double distance = DistanceBetween(mine.corners, other.corners);
      if (finding.measured && *finding.measured <= distance) continue;
      finding.measured = distance;
      finding.subject = fmt::format("placement {}", other.placement + 1);
    }
  }
  if (!finding.measured) {
    finding.words = "nothing stands near the mark, and its surface has no edges that are known";
    return finding;
  }
  finding.words = *finding.measured > 0
                      ? fmt::format("the mark stands {} clear of {}", MmText(*finding.measured),
                                    finding.subject)
                      : fmt::format("the mark overlaps or reaches {}", finding.subject);
  if (finding.expected) {
    finding.words += fmt::format("; {} are expected", MmText(*finding.expected));
  } else {
    finding.words += "; no clear space is given";
  }
  return Judged(std::move(finding));
}

Findings CheckEdges(const EdgeDistances& edges, bool is_vector) {
  Findings findings;
  const auto distance = [&](const char* rule, const char* edge,
                            const EdgeDistances::Nearest& nearest) {
    Finding finding{.rule = rule,
                    .subject = edge,
                    .measured = nearest.mm,
                    .expected = kLeastEdgeMm,
                    .unit = "mm",
                    .source = kEdgeSource};
    finding.words = fmt::format(
        "the artwork comes to {} of {} without crossing it, at [{:.0f}, {:.0f}]; {:g} mm are "
        "expected, as cutting and folding wander",
        MmText(nearest.mm), edge, nearest.place.x, nearest.place.y, kLeastEdgeMm);
    findings.push_back(Judged(std::move(finding)));
  };
  if (edges.trim) distance("edge distance", "an edge", *edges.trim);
  if (edges.seam) distance("edge distance", "the seam", *edges.seam);
  if (edges.crease) distance("crease distance", "a crease", *edges.crease);
  if (edges.bleed) {
    const char* edge = edges.bleed_kind == EdgeKind::kCrease ? "a crease" : "an edge";
    Finding finding{.rule = "bleed",
                    .subject = edge,
                    .measured = edges.bleed,
                    .expected = kLeastBleedMm,
                    .unit = "mm",
                    .source = kBleedSource};
    finding.words = fmt::format(
        "the artwork reaches {} and goes on for {} beyond it; {:g} mm of bleed are expected", edge,
        MmText(*finding.measured), kLeastBleedMm);
    if (is_vector && *edges.bleed < kBleedSlackMm) {
      finding.measured.reset();
      finding.can_be_mended = true;
      finding.words = fmt::format(
          "the artwork's page ends at {}, and what is drawn beyond a page is not looked at; {:g} "
          "mm "
          "of bleed are expected there",
          edge, kLeastBleedMm);
      findings.push_back(std::move(finding));
      return findings;
    }
    finding.verdict = *edges.bleed > kLeastBleedMm - kBleedSlackMm ? Finding::Verdict::kKept
                                                                   : Finding::Verdict::kBroken;
    findings.push_back(std::move(finding));
  }
  return findings;
}

}  // namespace wheatpaste

#include "composite/guides.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

// Linear light, working primaries. Told apart from each other and from most photographs; not a standard.
constexpr std::array<float, 3> kGridColour{0.05f, 0.45f, 0.80f};
constexpr std::array<float, 3> kCentreColour{0.90f, 0.10f, 0.35f};
constexpr std::array<float, 3> kEdgeColour{0.95f, 0.62f, 0.03f};
constexpr std::array<float, 3> kMarkColour{0.95f, 0.95f, 0.95f};
constexpr std::array<float, 3> kMarkRimColour{0.01f, 0.01f, 0.01f};

constexpr double kGridLines = 10;  // about so many across the shorter side
constexpr int kStrongEvery = 5;    // each fifth line
constexpr float kLeastGapPx = 5;   // lines that lie closer are left out
constexpr double kMarkArmPx = 7, kMarkGapPx = 2;

// 1, 2 or 5 times a power of ten, nearest above `mm`.
double RoundStep(double mm) {
  const double power = std::pow(10, std::floor(std::log10(mm)));
  for (const double step : {1.0, 2.0, 5.0}) {
    if (step * power >= mm) return step * power;
  }
  return 10 * power;
}

// Cover of a line of `width` px whose middle is `distance` px away.
float LineCover(float distance, float width) {
  return std::clamp(width / 2 + 0.5f - std::abs(distance), 0.0f, 1.0f);
}

// Distance to the nearest multiple of `step`.
float ToMultiple(float value, float step) { return value - step * std::round(value / step); }

// Signed distance in mm to the area's edge, positive inside; how far along the edge the nearest place is; the
// direction from it.
struct EdgeDistance {
  double mm = 0, along_mm = 0;
  double x = 0, y = 0;
};
EdgeDistance DistanceToEdge(const PrintArea& area, double x, double y) {
  std::array<SurfaceMm, 4> corners{
      {area.low, {area.high.x, area.low.y}, area.high, {area.low.x, area.high.y}}};
  const SurfaceMm* points = area.outline.empty() ? corners.data() : area.outline.data();
  const size_t count = area.outline.empty() ? corners.size() : area.outline.size();
  EdgeDistance nearest{std::numeric_limits<double>::infinity()};
  double along = 0;
  bool inside = false;
  for (size_t i = 0; i < count; ++i) {
    const SurfaceMm &a = points[i], &b = points[(i + 1) % count];
    const double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
    const double t =
        length2 > 0 ? std::clamp(((x - a.x) * dx + (y - a.y) * dy) / length2, 0.0, 1.0) : 0;
    const double off_x = x - a.x - t * dx, off_y = y - a.y - t * dy;
    const double distance = std::hypot(off_x, off_y), length = std::sqrt(length2);
    if (distance > 0 && distance < nearest.mm) {
      nearest = {distance, along + t * length, off_x / distance, off_y / distance};
    }
    along += length;
    if ((a.y > y) != (b.y > y) && x < a.x + dx * (y - a.y) / dy) inside = !inside;
  }
  if (!inside) nearest.mm = -nearest.mm;
  return nearest;
}

void Append(std::vector<PhotoPx>& marks, const std::vector<PhotoPx>& more) {
  marks.insert(marks.end(), more.begin(), more.end());
}

std::vector<PhotoPx> MarksOf(const Surface& surface) {
  std::vector<PhotoPx> marks = surface.corners;
  for (const Mark& mark : surface.marks) marks.push_back(mark.photo);
  Append(marks, surface.rims.top.points);
  Append(marks, surface.rims.bottom.points);
  for (const BoxVertex& vertex : surface.box.vertices) marks.push_back(vertex.photo);
  Append(marks, surface.patch.points);
  for (const MeshPin& pin : surface.mesh.pins) marks.push_back(pin.photo);
  return marks;
}

}  // namespace

Guides::Guides(const PreparedScene& scene) : scene_(scene) {
  const Map<OutputPx, PhotoPx> output_from_photo = scene.frame.output_from_photo();
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    const Surface& surface = scene.solved.scene.surfaces[i];
    const FittedSurface& fitted = scene.solved.surfaces[i];
    for (const PhotoPx& mark : MarksOf(surface)) marks_.push_back(output_from_photo(mark));
    size_t named = fitted.faces.size();  // the face whose words have been said
    for (const PreparedChart& chart : scene.surfaces[i].charts) {
      const Face& face = fitted.faces[chart.face];
      const SurfaceMm size = SizeOf(face.area);
      const double side = std::min(size.x, size.y);
      const double step = RoundStep(side / kGridLines);
      const double safe = std::max(kSafeEdgeMm, kSafeEdgeShare * side);
      faces_.push_back({&chart, &face.area, step, safe, fitted.size_known});
      if (chart.face == named) continue;
      named = chart.face;
      const std::string name = surface.name.value + (face.name.empty() ? "" : "." + face.name);
      legend_.push_back(
          fitted.size_known
              ? fmt::format("{}: a line every {:g} mm, strong every {:g} mm; dashed {:g} mm inside "
                            "the edge",
                            name, step, step * kStrongEvery, safe)
              : fmt::format("{}: no size given, so lines show proportions only", name));
    }
  }
}

std::vector<std::string> Guides::Legend() const { return legend_; }

void Guides::DrawFace(const FaceLines& face, int64_t y, float* const light[3], uint8_t* touched,
                      FootprintBuffer& room) const {
  const ChartPicture& picture = face.chart->picture;
  const RectPx& region = picture.region;
  if (y < region.y0 || y >= region.y1) return;
  // The flat mm themselves in place of artwork px.
  if (picture.output_from_surface) {
    const Map<ArtworkPx, SurfaceMm> same;
    MapPlaneRow(same * picture.output_from_surface->Inverse(), y, region.x0, region.x1, room);
  } else {
    MapStoredRow(picture, {}, y, region.x0, region.x1, room);
  }
  const auto step = static_cast<float>(face.step_mm);
  const auto centre_x = static_cast<float>(face.area->centre.x);
  const auto centre_y = static_cast<float>(face.area->centre.y);
  const float* seen = picture.seen.row(0, y - region.y0);
  for (int64_t i = 0; i < region.width(); ++i) {
    if (!(seen[i] > 0)) continue;
    const auto at = static_cast<size_t>(i);
    const float x = room.u[at], v = room.v[at];
    // mm along one px at the steepest.
    const float slope_x = std::max(1e-6f, std::hypot(room.du_dx[at], room.du_dy[at]));
    const float slope_y = std::max(1e-6f, std::hypot(room.dv_dx[at], room.dv_dy[at]));
    const auto draw = [&](const std::array<float, 3>& colour, float cover) {
      if (!(cover > 0)) return;
      touched[region.x0 + i] = 1;
      for (size_t k = 0; k < 3; ++k) {
        float& value = light[k][region.x0 + i];
        value += cover * seen[i] * (colour[k] - value);
      }
    };
    const auto grid = [&](float value, float slope) {
      // Lines at equal steps from the centre.
      const float fine =
          step / slope > kLeastGapPx ? LineCover(ToMultiple(value, step) / slope, 1) : 0;
      const float wide = step * kStrongEvery;
      const float strong =
          wide / slope > kLeastGapPx ? LineCover(ToMultiple(value, wide) / slope, 1.5f) : 0;
      return std::max(0.45f * fine, 0.8f * strong);
    };
    draw(kGridColour, std::max(grid(x - centre_x, slope_x), grid(v - centre_y, slope_y)));
    draw(kCentreColour,
         std::max(LineCover((x - centre_x) / slope_x, 2), LineCover((v - centre_y) / slope_y, 2)));
    // A ring of two steps about the centre, by the length of its own gradient.
    const float rx = x - centre_x, ry = v - centre_y, r = std::hypot(rx, ry);
    if (r > 0) {
      const float gx = (rx * room.du_dx[at] + ry * room.dv_dx[at]) / r;
      const float gy = (rx * room.du_dy[at] + ry * room.dv_dy[at]) / r;
      draw(kCentreColour, LineCover((r - 2 * step) / std::max(1e-6f, std::hypot(gx, gy)), 2));
    }
    if (face.has_mm) {
      const EdgeDistance edge = DistanceToEdge(*face.area, double{x}, double{v});
      const auto nx = static_cast<float>(edge.x), ny = static_cast<float>(edge.y);
      const float slope = std::max(1e-6f, std::hypot(nx * room.du_dx[at] + ny * room.dv_dx[at],
                                                     nx * room.du_dy[at] + ny * room.dv_dy[at]));
      const bool dash = std::fmod(edge.along_mm, 2 * face.step_mm) < face.step_mm;
      if (dash) {
        draw(kEdgeColour, LineCover(static_cast<float>(edge.mm - face.safe_mm) / slope, 2));
      }
    }
    // The outline as fitted: pixels that it cuts.
    draw(kEdgeColour, 4 * seen[i] * (1 - seen[i]));
  }
}

void Guides::DrawRow(int64_t y, float* const light[3], uint8_t* touched,
                     FootprintBuffer& room) const {
  for (int plane = 0; plane < 3; ++plane) {
    std::copy_n(scene_.base.light.row(plane, y), scene_.base.size.width, light[plane]);
  }
  for (const FaceLines& face : faces_) DrawFace(face, y, light, touched, room);
  const double cy = static_cast<double>(y) + 0.5;
  for (const OutputPx& mark : marks_) {
    if (std::abs(cy - mark.y) > kMarkArmPx + 2) continue;
    const double reach = kMarkArmPx + 2;
    const auto x0 = static_cast<int64_t>(
        std::clamp(std::floor(mark.x - reach), 0.0, static_cast<double>(scene_.base.size.width)));
    const auto x1 = static_cast<int64_t>(
        std::clamp(std::ceil(mark.x + reach), 0.0, static_cast<double>(scene_.base.size.width)));
    for (int64_t x = x0; x < x1; ++x) {
      const double dx = std::abs(static_cast<double>(x) + 0.5 - mark.x), dy = std::abs(cy - mark.y);
      // Two arms with a gap where the mark itself is.
      const auto arm = [](double along, double across, double width) {
        const double from = kMarkGapPx - along, beyond = along - kMarkArmPx;
        return LineCover(
            static_cast<float>(std::max({across, from + width / 2, beyond + width / 2})),
            static_cast<float>(width));
      };
      for (const auto& [colour, width] : {std::pair{kMarkRimColour, 3.0}, {kMarkColour, 1.0}}) {
        const float cover = std::max(arm(dx, dy, width), arm(dy, dx, width));
        if (!(cover > 0)) continue;
        touched[x] = 1;
        for (size_t k = 0; k < 3; ++k) light[k][x] += cover * (colour[k] - light[k][x]);
      }
    }
  }
}

}  // namespace wheatpaste

#include "surface/frustum_chart.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "surface/made_rims.h"
#include "surface/mark_rims.h"

namespace wheatpaste {
namespace {

using test::MadeRims;

constexpr double kPi = std::numbers::pi;
constexpr SizePx kPhoto{1600, 1200};

PosedFrustum Posed(const MadeRims& made, double turn_degrees, Lens lens) {
  const FrustumSize size{made.diameter_top, made.diameter_bottom, made.height};
  const Shape shape = size.is_cylinder() ? Shape::kCylinder : Shape::kCone;
  return {
      size, {made.rotation, made.origin}, PatternOf(size, shape), turn_degrees * kPi / 180, lens};
}
PosedFrustum Posed(const MadeRims& made, double turn_degrees) {
  return Posed(made, turn_degrees, {made.focal_px, made.principal, 0, 0});
}

MadeRims Cup(double tilt, double bottom = 56) {
  MadeRims made = MadeRims::Seen(tilt, 0.1, 1500, 300, 60, -150);
  made.diameter_bottom = bottom;
  return made;
}

struct Sum {
  double area_px = 0, most_overlap = 0;
};
Sum SumOf(const std::vector<ChartPicture>& pictures) {
  std::vector<double> seen(static_cast<size_t>(kPhoto.area()), 0.0);
  Sum sum;
  for (const ChartPicture& picture : pictures) {
    for (int64_t y = 0; y < picture.region.height(); ++y) {
      for (int64_t x = 0; x < picture.region.width(); ++x) {
        const double share = picture.seen.row(0, y)[x];
        double& at = seen[static_cast<size_t>((picture.region.y0 + y) * kPhoto.width +
                                              picture.region.x0 + x)];
        at += share;
        sum.area_px += share;
        sum.most_overlap = std::max(sum.most_overlap, at);
      }
    }
  }
  return sum;
}

std::vector<ChartPicture> PicturesOf(const PosedFrustum& posed) {
  std::vector<ChartPicture> pictures;
  for (const auto& chart : FrustumCharts(posed)) {
    pictures.push_back(chart->Picture(FramePhoto(kPhoto, kPhoto)));
  }
  return pictures;
}

// The mm that the pictures give at a photo point, bilinear between pixel centres; nothing off them.
std::optional<Eigen::Vector2d> MmAt(const std::vector<ChartPicture>& pictures, const PhotoPx& at) {
  for (const ChartPicture& picture : pictures) {
    const double x = at.x - 0.5 - static_cast<double>(picture.region.x0);
    const double y = at.y - 0.5 - static_cast<double>(picture.region.y0);
    const auto i = static_cast<int64_t>(std::floor(x)), j = static_cast<int64_t>(std::floor(y));
    if (i < 0 || j < 0 || i + 1 >= picture.region.width() || j + 1 >= picture.region.height()) {
      continue;
    }
    Eigen::Vector2d mm(0, 0);
    bool inside = true;
    for (const int dy : {0, 1}) {
      for (const int dx : {0, 1}) {
        inside = inside && picture.seen.row(0, j + dy)[i + dx] == 1;
        const double fx = x - static_cast<double>(i), fy = y - static_cast<double>(j);
        const double weight = (dx ? fx : 1 - fx) * (dy ? fy : 1 - fy);
        mm += weight *
              Eigen::Vector2d(picture.mm.row(0, j + dy)[i + dx], picture.mm.row(1, j + dy)[i + dx]);
      }
    }
    if (inside) return mm;
  }
  return std::nullopt;
}

}  // namespace

TEST_CASE("Frustum chart: a point of the side is found at its mm in the picture",
          "[surface][closed-form]") {
  for (const double bottom : {80.0, 56.0, 110.0}) {
    for (const double turn : {0.0, -20.0, 130.0, 180.0, 250.0}) {
      for (const double tilt : {0.4, -0.3}) {
        const MadeRims made = Cup(tilt, bottom);
        const PosedFrustum posed = Posed(made, turn);
        const auto pictures = PicturesOf(posed);
        int seen = 0;
        for (double azimuth = -0.9; azimuth <= 0.9; azimuth += 0.1) {
          for (const double down : {0.1, 0.5, 0.9}) {
            const auto mm = MmAt(pictures, made.At(azimuth, down));
            if (!mm) continue;  // at a seam or edge
            ++seen;
            // Where it lies from the centre line, by the definition of turn.
            const double from_line = std::remainder(azimuth - turn * kPi / 180, 2 * kPi);
            const SurfaceMm truth = posed.pattern.FlatFromSide({from_line, down * made.height});
            // Bilinear between pixels of 0.3 mm and more on a curve of 40 mm, and 32-bit numbers; nearer to
            // the limbs the next test looks without pixels.
            CHECK((*mm - truth.vector()).norm() < 0.02);
          }
        }
        CHECK(seen > 40);
      }
    }
  }
}

TEST_CASE("Frustum chart: a photo point has the mm of the ray through it, up to the limb",
          "[surface][closed-form]") {
  struct OpenChart : FrustumChart {
    using FrustumChart::FrustumChart;
    using FrustumChart::MmOfLine;
  };
  for (const double bottom : {80.0, 56.0, 110.0}) {
    const MadeRims made = Cup(0.4, bottom);
    const PosedFrustum posed = Posed(made, 30);
    const OpenChart chart(posed, -kPi, kPi / 2);
    int seen = 0;
    for (double azimuth = -1.5; azimuth <= 1.5; azimuth += 0.05) {
      for (const double down : {0.0, 0.4, 1.0}) {
        // Seen where the side's outward normal, square to its tangents, looks at the camera.
        const Eigen::Vector3d p = made.InCamera(azimuth, down);
        const Eigen::Vector3d around = made.InCamera(azimuth + 1e-6, down) - p;
        const Eigen::Vector3d along = made.InCamera(azimuth, down + 1e-6) - p;
        const Eigen::Vector3d outward = along.cross(around).normalized();
        if (outward.dot(p) > -0.01 * p.norm()) continue;
        ++seen;
        const PhotoPx at = made.At(azimuth, down);
        SurfaceMm mm[2];
        chart.MmOfLine(at.y, at.x - 1, 1, 2, mm);
        const SurfaceMm truth =
            posed.pattern.FlatFromSide({azimuth - 30 * kPi / 180, down * made.height});
        CHECK((mm[1].vector() - truth.vector()).norm() < 1e-8);
      }
    }
    CHECK(seen > 150);
  }
}

TEST_CASE("Frustum chart: a cylinder's wrap counts from its top left, mm to the right",
          "[surface][closed-form]") {
  const MadeRims made = Cup(0.3, 80);
  const auto pictures = PicturesOf(Posed(made, -20));
  const auto mm = MmAt(pictures, made.At(-20 * kPi / 180, 0.25));
  REQUIRE(mm);
  CHECK(mm->x() == Approx(40 * kPi).margin(0.02));
  CHECK(mm->y() == Approx(24).margin(0.02));
  const auto right = MmAt(pictures, made.At(0, 0.25));
  REQUIRE(right);
  CHECK(right->x() - mm->x() == Approx(40 * 20 * kPi / 180).margin(0.03));
}

TEST_CASE("Frustum chart: changes along a pixel are those of the mm", "[surface][closed-form]") {
  const auto pictures = PicturesOf(Posed(Cup(0.4), 15));
  REQUIRE(pictures.size() == 1);
  const ChartPicture& p = pictures[0];
  int checked = 0;
  for (int64_t y = 1; y + 1 < p.region.height(); y += 7) {
    for (int64_t x = 1; x + 1 < p.region.width(); x += 5) {
      bool inside = true;
      for (const int64_t i : {-1, 0, 1}) {
        inside = inside && p.seen.row(0, y + i)[x] == 1 && p.seen.row(0, y)[x + i] == 1;
      }
      // Central differences of the centres agree where the curve is not steep.
      if (!inside || p.mm.row(2, y)[x] > 1) continue;
      ++checked;
      for (const int plane : {0, 1}) {
        const double across = (p.mm.row(plane, y)[x + 1] - p.mm.row(plane, y)[x - 1]) / 2;
        const double down = (p.mm.row(plane, y + 1)[x] - p.mm.row(plane, y - 1)[x]) / 2;
        CHECK(std::abs(across - p.mm.row(2 + 2 * plane, y)[x]) < 0.02);
        CHECK(std::abs(down - p.mm.row(3 + 2 * plane, y)[x]) < 0.02);
      }
    }
  }
  CHECK(checked > 500);
}

TEST_CASE("Frustum chart: the seam cuts the side in two that together cover what one does",
          "[surface][invariant]") {
  for (const double bottom : {80.0, 56.0, 110.0}) {
    const MadeRims made = Cup(0.4, bottom);
    const Sum whole = SumOf(PicturesOf(Posed(made, 0)));
    for (const double turn : {150.0, 180.0, -135.0}) {
      const auto pictures = PicturesOf(Posed(made, turn));
      CHECK(pictures.size() == 2);
      const Sum cut = SumOf(pictures);
      CHECK(cut.area_px == Approx(whole.area_px).epsilon(1e-5));
      CHECK(cut.most_overlap < 1 + 1e-5);
    }
  }
}

TEST_CASE("Frustum chart: mm never jump where the side is seen", "[surface][invariant]") {
  for (const double turn : {0.0, 100.0, 180.0, -140.0}) {
    for (const double bottom : {80.0, 300.0}) {
      MadeRims made = Cup(bottom > 200 ? 1.35 : 0.4, bottom);
      if (bottom > 200) made.height = 30;
      int infinite = 0;
      float steepest = 0;
      for (const ChartPicture& p : PicturesOf(Posed(made, turn))) {
        for (int64_t y = 0; y < p.region.height(); ++y) {
          for (int64_t x = 0; x < p.region.width(); ++x) {
            if (p.seen.row(0, y)[x] == 0) continue;
            for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
              const float value = p.mm.row(plane, y)[x];
              infinite += !std::isfinite(value);
              if (plane >= 2) steepest = std::max(steepest, std::abs(value));
            }
          }
        }
      }
      CHECK(infinite == 0);
      // One px before a limb holds some sqrt(2 * 40 mm * 0.27 mm) = 5 mm; a jump would be 100 and more.
      CHECK(steepest < 12);
    }
  }
}

// The silhouette of the side from a dense set of its seen points' own small quads, added up.
TEST_CASE("Frustum chart: the area covered is that of the seen side", "[surface][closed-form]") {
  for (const double bottom : {80.0, 56.0, 110.0, 300.0}) {
    for (const double tilt : {0.0, 0.4, -0.5, 1.3}) {
      MadeRims made = Cup(tilt, bottom);
      if (bottom > 200) made.height = 30;
      constexpr int kAround = 2000, kDown = 40;
      double area = 0;
      for (int i = 0; i < kAround; ++i) {
        for (int j = 0; j < kDown; ++j) {
          const auto at = [&](int di, int dj) {
            return made.At(2 * kPi * (i + di) / kAround, static_cast<double>(j + dj) / kDown)
                .vector();
          };
          const Eigen::Vector2d a = at(1, 1) - at(0, 0), b = at(0, 1) - at(1, 0);
          // Its turn in the picture tells whether it is seen: facing sides run clockwise.
          area += std::max(0.0, (a.x() * b.y() - a.y() * b.x()) / 2);
        }
      }
      const Sum sum = SumOf(PicturesOf(Posed(made, 0)));
      CAPTURE(bottom, tilt, area);
      // Limbs fall between two of the quads: a share of 1 / kAround at most.
      CHECK(std::abs(sum.area_px - area) < 1e-3 * area + 1);
    }
  }
}

TEST_CASE("Frustum chart: a lampshade from above shows its side all around",
          "[surface][closed-form]") {
  MadeRims made;
  made.diameter_bottom = 300;
  made.height = 40;
  made.rotation = Eigen::AngleAxisd(1.5, Eigen::Vector3d::UnitX()).toRotationMatrix();
  made.origin = {0, 10, 700};
  made.FaceCamera();
  const auto pictures = PicturesOf(Posed(made, 30));
  CHECK(pictures.size() >= 2);
  const Sum sum = SumOf(pictures);
  CHECK(sum.most_overlap < 1 + 1e-5);
  for (double azimuth = -3; azimuth <= 3; azimuth += 0.37) {
    const auto mm = MmAt(pictures, made.At(azimuth, 0.6));
    REQUIRE(mm);
    const double from_line = std::remainder(azimuth - kPi / 6, 2 * kPi);
    const SurfaceMm truth =
        PatternOf({80, 300, 40}, Shape::kCone).FlatFromSide({from_line, 0.6 * 40});
    CHECK((*mm - truth.vector()).norm() < 0.03);
  }
}

TEST_CASE("Frustum chart: looking into a cup from above shows nothing of its side",
          "[surface][closed-form]") {
  MadeRims made;
  made.diameter_bottom = 56;
  made.rotation = Eigen::AngleAxisd(1.5, Eigen::Vector3d::UnitX()).toRotationMatrix();
  made.origin = {0, 0, 500};
  made.FaceCamera();
  CHECK(FrustumCharts(Posed(made, 0)).empty());
}

TEST_CASE("Frustum chart: a lens that bends lines bends the picture", "[surface][closed-form]") {
  const MadeRims made = Cup(0.4);
  const Lens lens{made.focal_px, made.principal, -0.25, 0.05};
  const PosedFrustum posed = Posed(made, 10, lens);
  const auto pictures = PicturesOf(posed);
  int seen = 0;
  for (double azimuth = -1.1; azimuth <= 1.1; azimuth += 0.2) {
    const PhotoPx ideal = made.At(azimuth, 0.5);
    // The model of lens.h, by hand.
    const double x = (ideal.x - lens.principal.x) / lens.focal_px;
    const double y = (ideal.y - lens.principal.y) / lens.focal_px;
    const double q = x * x + y * y, share = 1 + q * (lens.k1 + q * lens.k2);
    const auto mm = MmAt(pictures, {lens.principal.x + lens.focal_px * share * x,
                                    lens.principal.y + lens.focal_px * share * y});
    if (!mm) continue;
    ++seen;
    const SurfaceMm truth =
        posed.pattern.FlatFromSide({azimuth - 10 * kPi / 180, 0.5 * made.height});
    CHECK((*mm - truth.vector()).norm() < 0.02);
  }
  CHECK(seen > 8);
}

TEST_CASE("Frustum chart: the print area of a cone holds its sector", "[surface][closed-form]") {
  const FrustumSize size{80, 60, 95};
  const PrintArea area = AreaOf(size, PatternOf(size, Shape::kCone));
  CHECK(area.high.x - area.low.x == Approx(246.821253).margin(1e-5));  // reference check K04
  CHECK(area.high.y - area.low.y == Approx(110.883641).margin(1e-5));
  CHECK(area.centre.x == Approx(0).margin(1e-9));
  CHECK(area.centre.y == Approx(0).margin(1e-9));
  double twice = 0;
  for (size_t i = 0; i < area.outline.size(); ++i) {
    const SurfaceMm &a = area.outline[i], &b = area.outline[(i + 1) % area.outline.size()];
    twice += a.x * b.y - a.y * b.x;
  }
  CHECK(std::abs(twice / 2) == Approx(21007.015180).epsilon(1e-5));
}

}  // namespace wheatpaste

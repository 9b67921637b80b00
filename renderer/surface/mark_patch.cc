#include "surface/mark_patch.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <ceres/cost_function.h>
#include <fmt/format.h>

#include "surface/fit_plane.h"
#include "surface/marked_shape.h"
#include "surface/patch_chart.h"
#include "surface/plane_chart.h"

namespace wheatpaste {
namespace {

// A determinant below this share of the mean counts as none: there the sheet is seen edge-on.
constexpr double kLeastDeterminant = 1e-6;

const PhotoPx& PointAt(const PatchMarks& marks, int row, int column) {
  return marks.points[static_cast<size_t>(row * marks.columns + column)];
}

double Distance(const PhotoPx& a, const PhotoPx& b) { return std::hypot(a.x - b.x, a.y - b.y); }

// Rows and columns are counted from 1 where people read them.
Error ErrorAt(const PatchMarks& marks, int row, int column, const std::string& message) {
  const auto index = static_cast<size_t>(row * marks.columns + column);
  return {index < marks.point_places.size() ? marks.point_places[index] : marks.place,
          fmt::format("surface.points, row {}, point {}", row + 1, column + 1), message};
}

std::optional<Error> FindCoincident(const PatchMarks& marks) {
  for (int row = 0; row < marks.rows; ++row) {
    for (int column = 0; column < marks.columns; ++column) {
      for (const auto& [down, across] : {std::pair{0, 1}, {1, -1}, {1, 0}, {1, 1}}) {
        const int other_row = row + down, other_column = column + across;
        if (other_row >= marks.rows || other_column < 0 || other_column >= marks.columns) continue;
        if (Distance(PointAt(marks, row, column), PointAt(marks, other_row, other_column)) >=
            kLeastSidePx) {
          continue;
        }
        return ErrorAt(marks, other_row, other_column,
                       fmt::format("expected a point at least {:g} px from its neighbours; it "
                                   "coincides with point {} of row {}",
                                   kLeastSidePx, column + 1, row + 1));
      }
    }
  }
  return std::nullopt;
}

double Cross(const PhotoPx& o, const PhotoPx& a, const PhotoPx& b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

// Twice the signed area of a cell between its marks, positive where it is seen from the front.
double CellArea(const PatchMarks& marks, int row, int column) {
  const Eigen::Vector2d a =
      PointAt(marks, row + 1, column + 1).vector() - PointAt(marks, row, column).vector();
  const Eigen::Vector2d b =
      PointAt(marks, row + 1, column).vector() - PointAt(marks, row, column + 1).vector();
  return a.x() * b.y() - a.y() * b.x();
}

bool IsMirrored(const PatchMarks& marks) {
  double sum = 0;
  int turned = 0, cells = 0;
  for (int row = 0; row + 1 < marks.rows; ++row) {
    for (int column = 0; column + 1 < marks.columns; ++column) {
      const double area = CellArea(marks, row, column);
      sum += area;
      turned += area < 0;
      ++cells;
    }
  }
  return sum < 0 && 2 * turned > cells;
}

// A cell that folds over, from 0, and the mark of it that is nearest to the fold.
struct Turn {
  int row = 0, column = 0, mark_row = 0, mark_column = 0;
};
std::optional<Turn> FindTurn(const PatchMarks& marks, const PatchSpline& spline) {
  const PatchSpline::Turning least = spline.LeastDeterminant();
  if (least.determinant >= kLeastDeterminant) return std::nullopt;
  // A mark out of its place makes the spline swing in other cells too: where marks themselves are out of order,
  // the cell is theirs.
  std::optional<Turn> turn;
  double least_area = 0;
  for (int row = 0; row + 1 < marks.rows; ++row) {
    for (int column = 0; column + 1 < marks.columns; ++column) {
      constexpr std::array<std::pair<int, int>, 4> kAround{{{0, 0}, {0, 1}, {1, 1}, {1, 0}}};
      for (size_t i = 0; i < 4; ++i) {
        const auto corner = [&](size_t at) -> const PhotoPx& {
          const auto& [down, across] = kAround[at % 4];
          return PointAt(marks, row + down, column + across);
        };
        const double area = Cross(corner(i), corner(i + 1), corner(i + 3));
        if (area >= least_area) continue;
        least_area = area;
        turn = {row, column, row + kAround[i].first, column + kAround[i].second};
      }
    }
  }
  if (turn) return turn;
  const SurfaceMm low = spline.MarkAt(least.row, least.column);
  const SurfaceMm high = spline.MarkAt(least.row + 1, least.column + 1);
  return Turn{least.row, least.column, least.row + (2 * least.mm.y > low.y + high.y),
              least.column + (2 * least.mm.x > low.x + high.x)};
}

bool Crosses(const PhotoPx& a, const PhotoPx& b, const PhotoPx& c, const PhotoPx& d) {
  if (std::max(a.x, b.x) < std::min(c.x, d.x) || std::max(c.x, d.x) < std::min(a.x, b.x) ||
      std::max(a.y, b.y) < std::min(c.y, d.y) || std::max(c.y, d.y) < std::min(a.y, b.y)) {
    return false;
  }
  return Cross(a, b, c) * Cross(a, b, d) <= 0 && Cross(c, d, a) * Cross(c, d, b) <= 0;
}

// To a px; on grids far larger than any photo to a share of them, which keeps the pieces few.
double CrossingTolerance(const PatchMarks& marks) {
  constexpr double kShare = 1e-3;
  double extent = 0;
  for (const PhotoPx& p : marks.points)
    extent = std::max(extent, Distance(p, marks.points.front()));
  return std::max(1.0, kShare * extent);
}

std::optional<PhotoPx> FindCrossing(const Polygon& outline) {
  const size_t count = outline.size();
  for (size_t i = 0; i < count; ++i) {
    for (size_t j = i + 2; j < count; ++j) {
      if (i == 0 && j + 1 == count) continue;  // neighbours
      if (Crosses(outline[i], outline[i + 1], outline[j], outline[(j + 1) % count])) {
        return outline[i];
      }
    }
  }
  return std::nullopt;
}

class MarkedPatch : public MarkedShape {
 public:
  MarkedPatch(const Surface& surface, PatchSpline spline)
      : surface_(surface), spline_(std::move(spline)) {}

  bool is_fitted() const override { return false; }
  bool tells_focal() const override { return false; }
  std::vector<ShapeParameters> Starts(double, PhotoPx) const override { return {}; }
  std::unique_ptr<ceres::CostFunction> Residuals(PhotoPx) const override { return nullptr; }

  Result<FittedSurface> Finish(const ShapeFit&, const Camera& camera, SizePx photo) const override;

 private:
  const Surface& surface_;
  PatchSpline spline_;
};

// How unlike each other the rows are in length, and the columns: a sheet that recedes or bends away shows it,
// and its mean proportions are no better known than that.
double ProportionSpread(const PatchMarks& marks) {
  const auto spread = [](const std::vector<double>& lengths) {
    double sum = 0, squares = 0;
    for (const double length : lengths) sum += length;
    const double mean = sum / static_cast<double>(lengths.size());
    for (const double length : lengths) squares += (length - mean) * (length - mean);
    return std::sqrt(squares / static_cast<double>(lengths.size())) / mean;
  };
  std::vector<double> across, down;
  for (int row = 0; row < marks.rows; ++row) {
    for (int column = 0; column < marks.columns; ++column) {
      const PhotoPx& p = PointAt(marks, row, column);
      if (column + 1 < marks.columns)
        across.push_back(Distance(p, PointAt(marks, row, column + 1)));
      if (row + 1 < marks.rows) down.push_back(Distance(p, PointAt(marks, row + 1, column)));
    }
  }
  return std::hypot(spread(across), spread(down));
}

Result<FittedSurface> MarkedPatch::Finish(const ShapeFit&, const Camera& camera,
                                          SizePx photo) const {
  const PatchMarks& marks = surface_.patch;
  Polygon outline = IdealOutlineOf(spline_, 1);
  for (PhotoPx& p : outline) p = camera.lens.PhotoFromIdeal(p);
  PhotoPx low = outline.front(), high = low;
  for (const PhotoPx& p : outline) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  if (high.x <= 0 || high.y <= 0 || low.x >= static_cast<double>(photo.width) ||
      low.y >= static_cast<double>(photo.height)) {
    return Error{marks.place, "surface.points",
                 fmt::format("the grid lies outside the photo, which is {} x {} px", photo.width,
                             photo.height)};
  }

  FittedSurface fitted;
  fitted.size = spline_.size();
  fitted.size_known = surface_.size.has_value();
  fitted.aspect.value = fitted.size.x / fitted.size.y;
  if (!fitted.size_known) {
    fitted.aspect.sd = fitted.aspect.value * ProportionSpread(marks);
    fitted.warnings.push_back(
        fmt::format("its proportions, {:.3g} wide to 1 high, are those of the picture: how much "
                    "of that is foreshortening is not known; give the surface a size",
                    fitted.aspect.value));
  }
  for (const auto& [row, column] : {std::pair{0, 0},
                                    {0, marks.columns - 1},
                                    {marks.rows - 1, marks.columns - 1},
                                    {marks.rows - 1, 0}}) {
    fitted.corners.push_back(camera.lens.PhotoFromIdeal(PointAt(marks, row, column)));
  }
  Face face;
  face.area = RectangleArea(fitted.size);
  face.charts.push_back(std::make_shared<PatchChart>(spline_, camera.lens));
  fitted.faces.push_back(std::move(face));
  return fitted;
}

}  // namespace

SurfaceMm PatchSizeOf(const Surface& surface) {
  if (surface.size) return *surface.size;
  const PatchMarks& marks = surface.patch;
  double across = 0, down = 0;
  for (int row = 0; row < marks.rows; ++row) {
    for (int column = 0; column < marks.columns; ++column) {
      const PhotoPx& p = PointAt(marks, row, column);
      if (column + 1 < marks.columns) across += Distance(p, PointAt(marks, row, column + 1));
      if (row + 1 < marks.rows) down += Distance(p, PointAt(marks, row + 1, column));
    }
  }
  return {kUnsizedWidthMm, kUnsizedWidthMm * (down / marks.columns) / (across / marks.rows)};
}

std::optional<Error> FindPatchMistake(const PatchMarks& marks, const PatchSpline& spline) {
  if (auto error = FindCoincident(marks)) return error;
  if (IsMirrored(marks)) {
    return Error{marks.place, "surface.points",
                 "expected rows from the surface's own top to its bottom, each from left to right; "
                 "this grid is mirrored, and so would be the artwork"};
  }
  if (const auto turn = FindTurn(marks, spline)) {
    return ErrorAt(
        marks, turn->mark_row, turn->mark_column,
        fmt::format(
            "the cell in row {}, column {} folds over: near this point the sheet would show its "
            "back; expected points that stay in their order, and where the sheet turns away the "
            "last that is still seen",
            turn->row + 1, turn->column + 1));
  }
  if (const auto crossing = FindCrossing(IdealOutlineOf(spline, CrossingTolerance(marks)))) {
    int nearest_row = 0, nearest_column = 0;
    for (int row = 0; row < marks.rows; ++row) {
      for (int column = 0; column < marks.columns; ++column) {
        if (Distance(PointAt(marks, row, column), *crossing) <
            Distance(PointAt(marks, nearest_row, nearest_column), *crossing)) {
          nearest_row = row;
          nearest_column = column;
        }
      }
    }
    return ErrorAt(marks, nearest_row, nearest_column,
                   "the outline of the grid crosses itself near this point; expected a sheet no "
                   "part of which lies over another");
  }
  return std::nullopt;
}

Result<MarkedShapePtr> MarkPatch(const Surface& surface) {
  const PatchMarks& marks = surface.patch;
  WHEATPASTE_CHECK_OP(marks.points.size(), ==,
                      static_cast<size_t>(marks.columns) * static_cast<size_t>(marks.rows));
  for (int row = 0; row < marks.rows; ++row) {
    for (int column = 0; column < marks.columns; ++column) {
      const PhotoPx& p = PointAt(marks, row, column);
      if (!std::isfinite(p.x) || !std::isfinite(p.y)) {
        return ErrorAt(marks, row, column, "expected finite photo px");
      }
    }
  }
  if (auto error = FindCoincident(marks)) return *error;
  PatchSpline spline(marks.columns, marks.rows, marks.points, PatchSizeOf(surface));
  if (auto error = FindPatchMistake(marks, spline)) return *error;
  return MarkedShapePtr(std::make_unique<MarkedPatch>(surface, std::move(spline)));
}

}  // namespace wheatpaste

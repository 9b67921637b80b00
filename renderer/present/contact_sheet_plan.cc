#include "present/contact_sheet_plan.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/check.h"
#include "present/page_picture.h"

namespace wheatpaste {
namespace {

// Part of a group in a row.
struct Segment {
  size_t group = 0, first = 0, count = 0;  // pictures from `first` of the group
};
using Row = std::vector<Segment>;

std::vector<Row> RowsOf(const std::vector<std::vector<SizePx>>& groups, size_t columns) {
  std::vector<Row> rows;
  size_t free = 0;  // in the last row, where it holds whole groups only
  for (size_t group = 0; group < groups.size(); ++group) {
    const size_t count = groups[group].size();
    if (count <= free) {
      rows.back().push_back({group, 0, count});
      free -= count;
      continue;
    }
    for (size_t first = 0; first < count; first += columns) {
      rows.push_back({{group, first, std::min(columns, count - first)}});
    }
    free = count < columns ? columns - count : 0;
  }
  return rows;
}

double AspectOf(const SizePx& size) {
  return static_cast<double>(size.width) / static_cast<double>(size.height);
}

// By width, of the highest that a picture may be.
double HeightShare(const std::vector<std::vector<SizePx>>& groups) {
  double widest = 0, narrowest = INFINITY;
  for (const auto& group : groups) {
    for (const SizePx& size : group) {
      widest = std::max(widest, AspectOf(size));
      narrowest = std::min(narrowest, AspectOf(size));
    }
  }
  return 1 / std::sqrt(widest * narrowest);
}

size_t EmptyCells(const std::vector<Row>& rows, size_t columns) {
  size_t empty = 0;
  for (const Row& row : rows) {
    empty += columns;
    for (const Segment& segment : row) empty -= segment.count;
  }
  return empty;
}

}  // namespace

SheetPlan PlanSheet(const std::vector<std::vector<SizePx>>& groups, const SheetGrid& grid,
                    size_t columns) {
  WHEATPASTE_CHECK_OP(columns, >, 0u);
  SheetPlan plan;
  plan.columns = columns;
  const auto count = static_cast<double>(columns);
  plan.column_width = (grid.area.width - (count - 1) * grid.column_gap) / count;
  const double most_height =
      grid.endless ? INFINITY : grid.area.height - grid.first_head - grid.heading - grid.caption;
  const double picture_height = std::min(plan.column_width * HeightShare(groups), most_height);

  std::vector<size_t> numbers;  // of each group's first picture
  size_t pictures = 0;
  for (const auto& group : groups)
    numbers.push_back(std::exchange(pictures, pictures + group.size()));

  double top = grid.area.y + grid.first_head;
  plan.pages.emplace_back();
  for (const Row& row : RowsOf(groups, columns)) {
    const auto fitted = [&](const SizePx& size) {
      return FitInto(size, {0, 0, plan.column_width, picture_height});
    };
    const auto height_of = [&](const Segment& segment) {
      double highest = 0;
      for (size_t i = 0; i < segment.count; ++i) {
        highest = std::max(highest, fitted(groups[segment.group][segment.first + i]).height);
      }
      return highest;
    };
    double height = 0;
    bool begins = false;
    for (const Segment& segment : row) {
      begins = begins || segment.first == 0;
      height = std::max(height, height_of(segment));
    }
    const bool fresh = plan.pages.back().cells.empty();
    const double needed = (begins || fresh ? grid.heading : 0) + height + grid.caption;
    if (!grid.endless && !fresh && top + needed > grid.area.bottom() + 1e-6) {
      plan.pages.emplace_back();
      top = grid.area.y;
    }
    SheetPage& page = plan.pages.back();
    const bool headed = grid.heading > 0 && (begins || page.cells.empty());
    const double pictures_top = top + (headed ? grid.heading : 0);
    double x = grid.area.x;
    for (const Segment& segment : row) {
      const double step = plan.column_width + grid.column_gap;
      if (headed) {
        page.headings.push_back({segment.group, segment.first > 0, x, top,
                                 static_cast<double>(segment.count) * step - grid.column_gap});
      }
      const double line = pictures_top + height_of(segment);
      for (size_t i = 0; i < segment.count; ++i, x += step) {
        RectMm rect = fitted(groups[segment.group][segment.first + i]);
        rect.x = x;
        rect.y = line - rect.height;
        page.cells.push_back({numbers[segment.group] + segment.first + i, rect, x});
      }
    }
    page.bottom = pictures_top + height + grid.caption;
    top = page.bottom + grid.row_gap;
  }
  return plan;
}

size_t ColumnsOf(const std::vector<std::vector<SizePx>>& groups, const SheetGrid& grid,
                 double column_mm) {
  const double wanted = std::max(1.0, std::round(grid.area.width / column_mm));
  size_t pictures = 0;
  for (const auto& group : groups) pictures += group.size();
  const auto most = static_cast<size_t>(std::ceil(wanted * 4 / 3));
  if (!grid.endless) {
    for (size_t columns = 1; columns <= std::min(most, pictures); ++columns) {
      if (PlanSheet(groups, grid, columns).pages.size() == 1) return columns;
    }
  }
  // Cells that stay empty, and the distance from what is wanted, both as shares.
  size_t best = 1;
  double best_cost = INFINITY;
  for (auto columns = static_cast<size_t>(std::ceil(wanted * 2 / 3)); columns <= most; ++columns) {
    const std::vector<Row> rows = RowsOf(groups, columns);
    const double empty =
        static_cast<double>(EmptyCells(rows, columns)) / static_cast<double>(rows.size() * columns);
    const double cost = empty + 0.25 * std::abs(std::log(static_cast<double>(columns) / wanted));
    if (cost < best_cost) {
      best_cost = cost;
      best = columns;
    }
  }
  return std::min(best, pictures);
}

size_t ColumnsOfShape(const std::vector<std::vector<SizePx>>& groups, SheetGrid grid,
                      double column_mm, double shape, size_t most) {
  grid.endless = true;
  size_t best = 1;
  double best_distance = INFINITY;
  for (size_t columns = 1; columns <= most; ++columns) {
    const auto count = static_cast<double>(columns);
    grid.area.width = count * column_mm + (count - 1) * grid.column_gap;
    const double height = PlanSheet(groups, grid, columns).pages.front().bottom - grid.area.y;
    const double distance = std::abs(std::log(grid.area.width / height / shape));
    if (distance < best_distance) {
      best_distance = distance;
      best = columns;
    }
  }
  return best;
}

}  // namespace wheatpaste

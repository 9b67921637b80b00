// Where a contact sheet's pictures stand, against what its header says of areas, order and edges.
#include "present/contact_sheet_plan.h"

#include <cmath>
#include <random>

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

using Groups = std::vector<std::vector<SizePx>>;

const SheetGrid kGrid{{16, 16, 265, 172}, 20, false, 5, 6.5, 9, 12};

Groups OneShape(const std::vector<size_t>& counts, SizePx size) {
  Groups groups;
  for (const size_t count : counts) groups.emplace_back(count, size);
  return groups;
}

TEST_CASE("PlanSheet: one shape fills its column", "[present][closed-form]") {
  const SheetPlan plan = PlanSheet(OneShape({3}, {1920, 1080}), kGrid, 3);
  REQUIRE(plan.pages.size() == 1);
  const double width = (265.0 - 2 * 5) / 3;
  CHECK(plan.column_width == Approx(width));
  REQUIRE(plan.pages[0].cells.size() == 3);
  for (size_t i = 0; i < 3; ++i) {
    const SheetCell& cell = plan.pages[0].cells[i];
    CHECK(cell.picture == i);
    CHECK(cell.rect.x == Approx(16 + static_cast<double>(i) * (width + 5)));
    CHECK(cell.rect.y == Approx(16 + 20 + 12));
    CHECK(cell.rect.width == Approx(width));
    CHECK(cell.rect.height == Approx(width * 9 / 16));
  }
  REQUIRE(plan.pages[0].headings.size() == 1);
  CHECK(plan.pages[0].headings[0].width == Approx(265));
  CHECK(plan.pages[0].bottom == Approx(16 + 20 + 12 + width * 9 / 16 + 9));
}

TEST_CASE("PlanSheet: the widest and the narrowest shape have one area, and stand on one line",
          "[present][closed-form]") {
  const SheetPlan plan = PlanSheet({{{1920, 1080}, {1080, 1920}, {1000, 1000}}}, kGrid, 4);
  const auto& cells = plan.pages[0].cells;
  REQUIRE(cells.size() == 3);
  const auto area = [](const RectMm& rect) { return rect.width * rect.height; };
  CHECK(area(cells[0].rect) == Approx(area(cells[1].rect)));
  CHECK(cells[0].rect.width == Approx(plan.column_width));
  for (const SheetCell& cell : cells) CHECK(cell.rect.bottom() == Approx(cells[0].rect.bottom()));
}

TEST_CASE("PlanSheet: groups that fit share a row, others begin one", "[present][closed-form]") {
  const SheetPlan plan = PlanSheet(OneShape({2, 2, 3, 6, 1}, {1600, 900}), kGrid, 5);
  REQUIRE(plan.pages.size() == 1);
  // Rows: 2 + 2, 3, 5, 1 of the fourth; the fifth does not join a row that is only part of a group.
  std::vector<double> tops;
  for (const SheetHeading& heading : plan.pages[0].headings) tops.push_back(heading.top);
  REQUIRE(tops.size() == 5);
  CHECK(tops[0] == Approx(tops[1]));
  CHECK(tops[2] > tops[1]);
  CHECK(tops[3] > tops[2]);
  CHECK(tops[4] > tops[3]);
  CHECK(plan.pages[0].headings[1].x == Approx(16 + 2 * (plan.column_width + 5)));
}

TEST_CASE("PlanSheet: any batch is whole, in order, within the page, undistorted, apart",
          "[present][invariant]") {
  std::mt19937 random(7);
  const SizePx shapes[] = {{1920, 1080}, {1080, 1920}, {1000, 1000}, {3000, 900}, {800, 1200}};
  for (int round = 0; round < 200; ++round) {
    Groups groups(1 + random() % 12);
    std::vector<SizePx> all;
    for (auto& group : groups) {
      const size_t count = 1 + random() % 9;
      for (size_t i = 0; i < count; ++i) group.push_back(shapes[random() % 5]);
      all.insert(all.end(), group.begin(), group.end());
    }
    SheetGrid grid = kGrid;
    grid.endless = round % 5 == 0;
    if (round % 3 == 0) grid.heading = 0;
    const size_t columns = round % 2 == 0 ? 1 + random() % 10 : ColumnsOf(groups, grid, 45);
    const SheetPlan plan = PlanSheet(groups, grid, columns);
    size_t next = 0;
    for (const SheetPage& page : plan.pages) {
      REQUIRE_FALSE(page.cells.empty());
      if (grid.heading > 0) REQUIRE_FALSE(page.headings.empty());
      if (!grid.endless) REQUIRE(page.bottom <= grid.area.bottom() + 1e-6);
      for (size_t i = 0; i < page.cells.size(); ++i) {
        const SheetCell& cell = page.cells[i];
        REQUIRE(cell.picture == next);
        const SizePx& size = all[next++];
        REQUIRE(cell.rect.width / cell.rect.height ==
                Approx(static_cast<double>(size.width) / static_cast<double>(size.height)));
        REQUIRE(cell.rect.x >= grid.area.x);
        REQUIRE(cell.rect.right() <= grid.area.right() + 1e-6);
        REQUIRE(cell.rect.bottom() + grid.caption <= page.bottom + 1e-6);
        for (size_t other = 0; other < i; ++other) {
          const RectMm& a = page.cells[other].rect;
          const bool apart = a.right() < cell.rect.x || cell.rect.right() < a.x ||
                             a.bottom() + grid.caption < cell.rect.y ||
                             cell.rect.bottom() + grid.caption < a.y;
          REQUIRE(apart);
        }
      }
    }
    REQUIRE(next == all.size());
    REQUIRE((grid.endless ? plan.pages.size() == 1 : !plan.pages.empty()));
  }
}

TEST_CASE("ColumnsOf: one page while they fit, then columns that groups fill",
          "[present][closed-form]") {
  CHECK(ColumnsOf(OneShape({1}, {1920, 1080}), kGrid, 45) == 1);
  CHECK(ColumnsOf(OneShape({2}, {1920, 1080}), kGrid, 45) == 2);
  const Groups fours = OneShape(std::vector<size_t>(15, 4), {1920, 1080});
  CHECK(ColumnsOf(fours, kGrid, 45) % 4 == 0);
  CHECK(ColumnsOf(OneShape({300}, {1920, 1080}), kGrid, 45) == 6);  // 265 / 45
  // A sheet of one page: 300 squares in columns of 60 mm, at 1.5 to 1.
  SheetGrid bare;
  const size_t columns = ColumnsOfShape(OneShape({300}, {100, 100}), bare, 60, 1.5, 40);
  CHECK(std::abs(static_cast<double>(columns) - std::sqrt(300 * 1.5)) < 1);
}

}  // namespace
}  // namespace wheatpaste

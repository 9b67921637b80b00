#include <catch2/catch.hpp>

#include <cmath>
#include <ctime>

#include "stage/solid_measures.h"
#include "stage/solids.h"
#include "stage/tote_cloth.h"

namespace wheatpaste {
namespace {

// Largest change of length along the threads, over `span` cells, where no handle is near.
double WorstThread(const ToteShape& shape, int span) {
  double worst = 0;
  for (size_t p = 0; p < shape.cloth.panels.size(); ++p) {
    const TotePanel& panel = shape.cloth.panels[p];
    const double w = panel.width / (panel.columns - 1), h = panel.height / (panel.rows - 1);
    for (int r = 0; r < panel.rows; ++r) {
      for (int c = 0; c < panel.columns; ++c) {
        bool near = false;
        for (const ToteAnchor& anchor : shape.anchors[p % 2]) {
          near |= p < 2 && r * h < shape.handle_end + 25 &&
                  std::abs(c * w - anchor.flat_x) < shape.handle_width / 2 + 25;
        }
        if (near) continue;
        for (const auto& [dr, dc] : {std::pair{0, span}, std::pair{span, 0}}) {
          if (r + dr >= panel.rows || c + dc >= panel.columns) continue;
          double length = 0;
          for (int k = 0; k < span; ++k) {
            const auto at = [&](int i) {
              return shape.cloth.points[static_cast<size_t>(
                  panel.At(r + (dr > 0 ? i : 0), c + (dc > 0 ? i : 0)))];
            };
            length += (at(k + 1) - at(k)).norm();
          }
          worst = std::max(worst, std::abs(length / (span * (dr > 0 ? h : w)) - 1));
        }
      }
    }
  }
  return worst;
}

}  // namespace

TEST_CASE("Tote: what measure", "[.]") {
  for (const auto& [gusset, fill, hangs] :
       {std::tuple{0.0, 0.0, true}, std::tuple{0.0, 0.3, true}, std::tuple{0.0, 1.0, true},
        std::tuple{0.0, 0.3, false}, std::tuple{0.0, 1.0, false}, std::tuple{100.0, 0.0, true},
        std::tuple{100.0, 0.5, true}, std::tuple{100.0, 1.0, false}}) {
    ToteSolid tote;
    tote.gusset = gusset;
    tote.fill = fill;
    tote.hangs = hangs;
    const std::clock_t start = std::clock();
    const ToteShape shape = HangTote(tote, 2.2);
    const double seconds =
        static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
    double low = 1e9, high = -1e9, front = -1e9;
    for (const auto& at : shape.cloth.points) {
      low = std::min(low, at.y()), high = std::max(high, at.y()), front = std::max(front, at.z());
    }
    printf("gusset %g fill %g hangs %d: cell %.4f, 14 mm %.4f, y %.1f to %.1f, front %.1f, %.2f s\n",
           gusset, fill, hangs, WorstThread(shape, 1), WorstThread(shape, 6), low, high, front,
           seconds);
  }
}

}  // namespace wheatpaste

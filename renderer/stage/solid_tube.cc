// solid_tube.cc - a tube of wound board with caps set in at both ends.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "stage/solid_builder.h"
#include "stage/solids.h"
#include "stage/turned.h"

namespace wheatpaste {
namespace {

// One end's profile, from the middle of its cap to the wall's outside; `up` 1 above, -1 below (drawn mirrored, walked back).
struct End {
  double radius, board, edge, recess, y;
};

void AddCap(SolidBuilder& builder, const End& end, int32_t chart) {
  // The lid's plate: a disc with a chart, its middle at (inner, inner) on the sheet; see AddFace below.
  const double inner = end.radius - end.board, y = end.y - end.recess;
  SolidGrid disc(2, kSegmentsAround + 1);
  for (int c = 0; c <= kSegmentsAround; ++c) {
    const Column column = ColumnAt(c);
    for (int r = 0; r < 2; ++r) {
      const double x = r * inner * column.sine, z = r * inner * column.cosine;
      const double left = end.radius * 2 * std::numbers::pi + 10;
      disc.At(r, c) = {{x, y, z}, {0, 1, 0}, {x, -z}, {left + inner + x, inner + z}};
    }
  }
  builder.AddGrid(disc, builder.Part("cap"), chart);
}

}  // namespace

Solid BuildSolid(const TubeSolid& tube) {
  SolidBuilder builder;
  const double radius = tube.diameter / 2, height = tube.height;
  const double board = std::min(std::clamp(0.03 * tube.diameter, 0.6, 2.2), 0.4 * radius);
  const double edge = std::min(0.35 * board, 0.1 * height);
  const double recess = std::min(1.6 * board, 0.15 * height), inner = radius - board;
  const int32_t body = builder.Part("body");

  AddWrap(builder, {tube.diameter, tube.diameter, height}, 0, edge, height - edge, body);
  const int32_t lid = builder.AddChart();
  AddCap(builder, {radius, board, edge, recess, height}, lid);
  builder.AddFace("lid", {lid}, {tube.diameter * std::numbers::pi + 10, 0}, {2 * inner, 2 * inner});
  for (int c = 0; c < kSegmentsAround; ++c) {
    const Column column = ColumnAt(c);
    builder.LastFace().outline.push_back(
        {inner + inner * column.sine, inner + inner * column.cosine});
  }

  TurnedProfile above({inner, height - recess});
  above.LineTo({inner, height - edge}, 2);
  above.CurveTo({inner, height}, {inner + edge, height}, 6);
  above.LineTo({radius - edge, height});
  above.CurveTo({radius, height}, {radius, height - edge}, 6);
  AddTurned(builder, above, body);

  TurnedProfile below({radius, edge});
  below.CurveTo({radius, 0}, {radius - edge, 0}, 6);
  below.LineTo({inner + edge, 0});
  below.CurveTo({inner, 0}, {inner, edge}, 6);
  below.LineTo({inner, recess}, 2);
  AddTurned(builder, below, body);
  TurnedProfile base({inner, recess});
  base.LineTo({0, recess});
  AddTurned(builder, base, builder.Part("cap"));
  return builder.Finish();
}

}  // namespace wheatpaste

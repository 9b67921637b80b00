// solid_cup.cc - a paper cup: one turned skin from the inside over the rolled rim down the wall to the recessed base.
//
// Sizes   of what the scene does not say: paper board, rim and base of a 250 ml cup, from memory, no source.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "stage/solid_builder.h"
#include "stage/solids.h"
#include "stage/turned.h"

namespace wheatpaste {
namespace {

constexpr double kBoardMm = 0.45;
constexpr double kBaseEdgeMm = 0.5;
constexpr double kLidSheetMm = 0.5;

struct CupShape {
  FrustumSize size;
  double rim;     // radius of the roll
  double recess;  // of the base
  double hem;     // thickness of the wall's foot, folded about the base
  double RadiusAtHeight(double y) const { return size.RadiusAt(size.height - y); }
};

// From the underside's middle outwards is the other way round: a lid lies over the rim, open below.
void AddLid(SolidBuilder& builder, const CupShape& cup) {
  const double top = cup.size.height, wall = cup.size.diameter_top / 2;
  const double outer = wall - kBoardMm + 2 * cup.rim + 0.25;  // clear of the rim
  const double t = kLidSheetMm, scale = std::min(1.0, cup.size.diameter_top / 80);
  const double ring = top + 8.5 * scale, plate = top + 3.5 * scale;
  const double ring_in = wall - 9 * scale, ring_out = wall - 2.5 * scale;
  TurnedProfile lid({0, plate});
  lid.LineTo({ring_in - 3 * scale, plate}, 4);
  lid.CurveTo({ring_in, plate}, {ring_in + 0.8 * scale, plate + 2.5 * scale});
  lid.CurveTo({ring_in + 1.6 * scale, ring}, {ring_in + 3.4 * scale, ring});
  lid.LineTo({ring_out - 1.6 * scale, ring});
  lid.CurveTo({ring_out, ring}, {ring_out + 0.5 * scale, ring - 2 * scale});
  lid.LineTo({outer - 1.2 * scale, top + 2.4 * scale});
  lid.CurveTo({outer + 0.1 * scale, top + 1.6 * scale},
              {outer + t + 0.4 * scale, top - 0.4 * scale});
  // The bead that snaps under the rim, then the skirt.
  const double under = top - 2 * cup.rim;
  lid.CurveTo({outer + t + 0.7 * scale, under + 0.3 * scale}, {outer + t, under - 0.6 * scale}, 8);
  lid.CurveTo({outer + t - 0.5 * scale, under - 1.2 * scale},
              {outer + t + 0.1, under - 2.0 * scale}, 8);
  lid.LineTo({outer + t + 0.5 * scale, under - 4.5 * scale}, 2);
  lid.Arc({outer + t / 2 + 0.5 * scale, under - 4.5 * scale}, -std::numbers::pi, 8);
  // Back up inside.
  lid.LineTo({outer + 0.1, under - 2.0 * scale}, 2);
  lid.LineTo({outer, top - 0.5 * scale}, 2);
  lid.LineTo({outer - 1.4 * scale, top + 1.7 * scale}, 2);
  lid.LineTo({ring_out - t, ring - 2.2 * scale}, 2);
  lid.LineTo({ring_out - 1.6 * scale, ring - t});
  lid.LineTo({ring_in + 3.4 * scale, ring - t});
  lid.LineTo({ring_in + 0.8 * scale + t, plate + 2.3 * scale});
  lid.LineTo({ring_in - 2.6 * scale, plate - t});
  lid.LineTo({0, plate - t}, 4);
  AddTurned(builder, lid, builder.Part("lid"));
}

}  // namespace

Solid BuildSolid(const CupSolid& cup) {
  SolidBuilder builder;
  CupShape shape{{cup.diameter_top, cup.diameter_bottom, cup.height}, 0, 0, 0};
  const double narrow = std::min(cup.diameter_top, cup.diameter_bottom);
  shape.rim =
      std::min({std::clamp(0.026 * cup.diameter_top, 0.8, 2.3), 0.04 * cup.height, 0.1 * narrow});
  shape.recess = std::min({0.085 * cup.height, 9.0, 0.2 * narrow});
  shape.hem = std::min(1.3, 0.1 * narrow);
  const double board = std::min(kBoardMm, 0.02 * narrow), top = cup.height;

  // The roll: about (centre, top - rim), touching the wall's inside, closed where it meets its outside again.
  const Eigen::Vector2d roll(shape.RadiusAtHeight(top) - board + shape.rim, top - shape.rim);
  double meets = top - 1.5 * shape.rim, angle = 0;
  for (int i = 0; i < 50; ++i) {
    angle = std::acos(std::clamp((roll.x() - shape.RadiusAtHeight(meets)) / shape.rim, -1.0, 1.0));
    meets = roll.y() - shape.rim * std::sin(angle);
  }

  const int32_t body = builder.Part("body"), inside = builder.Part("inside");
  const double floor = shape.recess + board, corner = std::min(1.5, 0.05 * narrow);
  const auto inner = [&](double y) { return shape.RadiusAtHeight(y) - board; };
  TurnedProfile within({0, floor});
  within.LineTo({inner(floor) - corner, floor}, 8);
  within.CurveTo({inner(floor), floor}, {inner(floor + corner), floor + corner}, 8);
  within.LineTo({roll.x() - shape.rim, roll.y()}, 16);
  AddTurned(builder, within, inside);

  TurnedProfile rim({roll.x() - shape.rim, roll.y()});
  rim.Arc(roll, -(2 * std::numbers::pi - angle), 40);
  rim.LineTo({shape.RadiusAtHeight(meets), meets});  // rounding
  AddTurned(builder, rim, builder.Part("rim"));

  const double edge = std::min(kBaseEdgeMm, shape.hem / 3);
  AddWrap(builder, shape.size, 0, top - meets, top - edge, body);

  const double foot = shape.RadiusAtHeight(0);
  TurnedProfile base({shape.RadiusAtHeight(edge), edge});
  base.CurveTo({foot, 0}, {foot - edge, 0}, 6);
  base.LineTo({foot - shape.hem + edge, 0});
  base.CurveTo({foot - shape.hem, 0}, {foot - shape.hem, edge}, 6);
  base.LineTo({shape.RadiusAtHeight(shape.recess) - shape.hem, shape.recess}, 4);
  base.LineTo({0, shape.recess}, 8);
  AddTurned(builder, base, builder.Part("base"));

  if (cup.lid) AddLid(builder, shape);
  return builder.Finish();
}

}  // namespace wheatpaste

// pins.h - numbered discs that stand on a picture for a sheet's comments, and beside the comments.
#pragma once

#include <cstddef>
#include <vector>

#include "present/contact_sheet_look.h"

namespace wheatpaste {

struct PointMm {
  double x = 0, y = 0;
};

// The radius of a disc, mm.
double PinRadius(const SheetLook& look);

// A disc with this centre, the number in it. outdated: an outline, for a comment on an earlier picture.
void DrawPin(const Page& page, const SheetLook& look, const PointMm& centre, size_t number,
             bool outdated);

// Where the discs of these points of a picture stand: on the point, or beside it where an earlier one would be covered,
// whole within the picture. Of more discs than there is room for, the last cover others.
std::vector<PointMm> PlacePins(const SheetLook& look, const RectMm& picture,
                               const std::vector<PointMm>& points);

// A dot on the point of a disc that stands beside it.
void DrawPinPoint(const Page& page, const SheetLook& look, const PointMm& point, bool outdated);

}  // namespace wheatpaste

// pins.h - numbered discs that stand on a picture for a sheet's comments, and beside the comments.
#pragma once

#include <cstddef>

#include "present/contact_sheet_look.h"

namespace wheatpaste {

// The radius of a disc, mm.
double PinRadius(const SheetLook& look);

// A disc with its centre at (x, y), the number in it. outdated: an outline, for a comment on an earlier picture.
void DrawPin(const Page& page, const SheetLook& look, double x, double y, size_t number,
             bool outdated);

// Where a disc's centre stands for the point at these shares of a picture: there, or as near as the disc lies within it.
struct PinCentre {
  double x = 0, y = 0;
};
PinCentre PinCentreOf(const SheetLook& look, const RectMm& picture, double share_x, double share_y);

}  // namespace wheatpaste

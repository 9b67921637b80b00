// join_charts.h - a surface's charts as one: light and edges go on across them.
#pragma once

#include <vector>

#include "image/image.h"
#include "surface/chart.h"

namespace wheatpaste {

// Output px that hold all the pictures, at least one.
RectPx BoundsOf(const std::vector<const ChartPicture*>& pictures);

// How much of each pixel of `bounds`, which holds them all, they show together.
Image<Coverage> SeenTogether(const std::vector<const ChartPicture*>& pictures,
                             const RectPx& bounds);

}  // namespace wheatpaste

// grow_matte.h - a matte from a few strokes over a photo: white where a surface is seen, black where something
// stands in front of it.
//
// Model   on the photo reduced to at most kGrowPx pixels, what looks and lies like a stroke's pixels is taken to be
//         its side's; two mixtures of colours are fitted, and the rest is cut in two along strong edges (GrabCut,
//         five rounds, one seed). At full size, in a narrow band along the cut, with F and B the mean colours of
//         the two sides near by (linear light):
//             alpha = (C - B) . (F - B) / |F - B|^2, clamped to [0, 1]
//         is how much of the pixel stands in front: soft and antialiased edges stay so. Where the sides hardly
//         differ, are noisier than they differ, or C lies off their line, the cut itself stands in. The strokes'
//         own pixels are theirs.
// Source  Rother, Kolmogorov, Blake 2004, ACM Trans. Graphics 23(3), 309-314, as built into OpenCV 4.6, module
//         imgproc; the edge is derived here (tests/surface/grow_matte_test.cc).
// Threads the cut runs on one thread, the edge in parallel; the same bits for any thread count.
#pragma once

#include <span>
#include <string>

#include "base/error.h"
#include "image/bitmap.h"
#include "image/image.h"
#include "scene/scene.h"

namespace wheatpaste {

inline constexpr int64_t kGrowPx = 200'000;

// key       of the strokes, "surface.matte_strokes".
// outlines  of the surfaces that the matte is for, photo px; only near them is it grown, elsewhere it is white.
//           Empty: all over the photo.
// errors    no strokes of one kind, a stroke off the photo, strokes of both kinds on one pixel, strokes too short
//           to tell colours from: at the strokes' place. A CMYK photo without a profile.
// returns   of the photo's size: 1 where the surface is seen.
Result<Image<Coverage>> GrowMatte(const Bitmap& photo, const MatteStrokes& strokes,
                                  const std::string& key, std::span<const Polygon> outlines);

}  // namespace wheatpaste

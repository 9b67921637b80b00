// marked_box.h - a box among the marked shapes: pose, and those of its lengths that are not known.
//
// Starts  unknown lengths follow from the faces of which all corners are marked (quad.h), where they reach;
//         the rest is tried at a few ratios.
#pragma once

#include <utility>
#include <vector>

#include "surface/box_marks.h"
#include "surface/marked_shape.h"
#include "surface/scaled_points.h"

namespace wheatpaste {

class MarkedBox : public MarkedShape {
 public:
  // surface  its marks without faults; outlives this.
  // marks    those that are fitted: the surface's, or some of them with other knowledge of the size.
  MarkedBox(const Surface& surface, BoxMarks marks);

  int extra_count() const override { return UnknownCount(known_); }
  bool tells_focal() const override {
    return static_cast<int>(2 * points_.size()) >= 1 + 6 + extra_count();
  }
  std::vector<double> FocalStarts(PhotoPx principal) const override;
  std::vector<ShapeParameters> Starts(double focal_px, PhotoPx principal) const override;
  std::unique_ptr<ceres::CostFunction> Residuals(PhotoPx principal) const override;
  Result<FittedSurface> Finish(const ShapeFit& fit, const Camera& camera,
                               SizePx photo) const override;

  BoxSize SizeOf(const ShapeParameters& parameters) const {
    return LengthsOf(known_, parameters.extra);
  }
  std::vector<ObjectPoint> ObjectPoints(const ShapeParameters& parameters) const {
    return ObjectPointsOf(points_, SizeOf(parameters));
  }
  const BoxMarks& marks() const { return marks_; }

 private:
  std::vector<Lengths> LengthsToTry(double focal_px, PhotoPx principal) const;

  const Surface& surface_;
  BoxMarks marks_;
  KnownLengths known_;  // with the width that stands in where nothing is known
  std::vector<ScaledPoint> points_;
};

// How marks that fit badly are told: an error where they contradict the size or the box's sense of left and
// right, else the warning.
struct PoorBox {
  std::optional<Error> error;
  std::string warning;
};
// rms_px  of `fit`, above kPoorFitPx.
PoorBox ExplainPoorBox(const MarkedBox& box, const Surface& surface, const ShapeFit& fit,
                       const Camera& camera, double rms_px);

}  // namespace wheatpaste

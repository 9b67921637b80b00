// paper_ring.h - the walls of a gusseted paper bag as a developable shell.
//
// Flat    s mm around from the middle of the back, to the right as seen from outside: half the back, left side, front, right side, half
//         the back; w mm up from the bottom's fold.
// Model   at each w the walls' cross-section is a polygon whose sides' middles are pushed in by p(w); corners and middle folds are arcs of
//         `radius`. Depth and width follow from p so that every arc and straight is as long as in the flat. Front and back bend about
//         horizontal lines alone, so y(w) takes up what z(w) does: their lengths are exact; along a side's folded middle they are short by
//         less than (p'(w))^2 / 2.
// Source  derived here; solid_paper_bag_test.cc measures lengths.
#pragma once

#include <vector>

#include <Eigen/Core>

namespace wheatpaste {

class PaperRing {
 public:
  // push  of the sides' middles at the rim, mm.
  PaperRing(double width, double height, double depth, double radius, double push);

  double around() const { return 2 * (width_ + depth_); }
  // s where each panel begins: left, front, right; then where the back begins again.
  double PanelStart(int panel) const;
  Eigen::Vector3d At(double s, double w) const;

 private:
  struct Section {
    double turn_corner = 0, turn_fold = 0;  // radians
    double half_width = 0, half_depth = 0;  // of the polygon
    double push = 0;
  };
  Section SectionAt(double w) const;
  // Of the front's right half and the right side's front half; s from the front's middle.
  Eigen::Vector2d Quarter(const Section& section, double s) const;

  double width_, height_, depth_, radius_, push_;
  std::vector<double> ys_;  // at equal steps of w
};

}  // namespace wheatpaste

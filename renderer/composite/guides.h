// guides.h - the solved geometry drawn over the photo: what a designer looks at before trusting a preview.
//
// Drawn   over the base picture alone, on every face that the picture shows: a grid of flat mm (each fifth line stronger), the two lines
//         through its centre, a ring about the centre, a dashed line the safe edge inside its own, its outline
//         as fitted; and a cross on every mark of the scene.
// Model   a line is where a function f of the flat mm is 0; its distance in px is |f| over the length of f's
//         gradient in the picture, which the chart's own Jacobian gives. So lines are those of the very map
//         that prints, of even width, and smooth.
#pragma once

#include <string>
#include <vector>

#include "composite/prepare_scene.h"
#include "surface/map_row.h"

namespace wheatpaste {

// Distance of the dashed line from a face's edge: what must not be cut keeps so far away, at least this or this
// share of the shorter side (common practice, no source).
inline constexpr double kSafeEdgeMm = 5;
inline constexpr double kSafeEdgeShare = 0.02;

class Guides {
 public:
  // scene  prepared with all faces; it must outlive the guides.
  explicit Guides(const PreparedScene& scene);

  // The base picture's row y with the guides over it. light: three planes of linear light, written whole;
  // `touched` is set to 1 where something is drawn.
  // Threads  any; `room` is the worker's own.
  void DrawRow(int64_t y, float* const light[3], uint8_t* touched, FootprintBuffer& room) const;

  // In plain words: what is drawn, face by face.
  std::vector<std::string> Legend() const;

 private:
  struct FaceLines {
    const PreparedChart* chart;
    const PrintArea* area;
    double step_mm = 0, safe_mm = 0;
    bool has_mm = true;
  };
  void DrawFace(const FaceLines& face, int64_t y, float* const light[3], uint8_t* touched,
                FootprintBuffer& room) const;

  const PreparedScene& scene_;
  std::vector<FaceLines> faces_;
  std::vector<OutputPx> marks_;
  std::vector<std::string> legend_;
};

}  // namespace wheatpaste

// occluder.h - what stands in front of a surface: outlines and a matte, taken off what the geometry shows.
#pragma once

#include <optional>

#include "base/error.h"
#include "image/image.h"
#include "scene/scene.h"
#include "surface/chart.h"
#include "surface/frame.h"

namespace wheatpaste {

class Occluder {
 public:
  // occlusion must outlive the occluder.
  // errors  the matte is no picture, or not of the photo's size; at the matte's place.
  static Result<Occluder> Read(const Occlusion& occlusion, SizePx photo);

  // Multiplies picture.seen by how much of each pixel is free of what stands in front.
  void Hide(const Frame& frame, ChartPicture& picture) const;

 private:
  explicit Occluder(const Occlusion& occlusion) : occlusion_(&occlusion) {}

  const Occlusion* occlusion_;
  std::optional<Image<Coverage>> matte_;  // at the photo's size
};

}  // namespace wheatpaste

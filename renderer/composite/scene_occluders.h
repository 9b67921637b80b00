// scene_occluders.h - all that stands in front of a scene's surfaces, read once for any number of pictures of it.
#pragma once

#include <memory>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "surface/occluder.h"

namespace wheatpaste {

class SceneOccluders {
 public:
  // errors  those of every matte that cannot be used.
  static Result<SceneOccluders> Read(const Scene& scene, SizePx photo);

  // Takes what stands in front of the scene's surface off its chart's picture.
  void Hide(size_t surface, const Frame& frame, ChartPicture& picture) const;

 private:
  SceneOccluders() = default;

  std::unique_ptr<const std::vector<Occlusion>> occlusions_;  // which the occluders look at
  std::vector<Occluder> occluders_;  // of the photo, then one for each surface
};

}  // namespace wheatpaste

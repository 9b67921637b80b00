#include "composite/scene_occluders.h"

#include <utility>

namespace wheatpaste {

Result<SceneOccluders> SceneOccluders::Read(const Scene& scene, SizePx photo) {
  std::vector<Occlusion> occlusions{scene.photo.occlusion};
  for (const Surface& surface : scene.surfaces) occlusions.push_back(surface.occlusion);
  SceneOccluders all;
  all.occlusions_ = std::make_unique<const std::vector<Occlusion>>(std::move(occlusions));
  Errors errors;
  for (const Occlusion& occlusion : *all.occlusions_) {
    auto occluder = Occluder::Read(occlusion, photo);
    if (occluder) {
      all.occluders_.push_back(std::move(*occluder));
    } else {
      errors.insert(errors.end(), occluder.errors().begin(), occluder.errors().end());
    }
  }
  if (!errors.empty()) return errors;
  return all;
}

void SceneOccluders::Hide(size_t surface, const Frame& frame, ChartPicture& picture) const {
  occluders_.front().Hide(frame, picture);
  occluders_[surface + 1].Hide(frame, picture);
}

}  // namespace wheatpaste

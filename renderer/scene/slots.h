// slots.h - the slots of a scene: the names that its placements leave open for artwork.
#pragma once

#include <set>
#include <string>

#include "scene/scene.h"

namespace wheatpaste {

inline std::set<std::string> SlotsOf(const Scene& scene) {
  std::set<std::string> slots;
  for (const Placement& placement : scene.placements) {
    if (placement.artwork_path.empty()) slots.insert(placement.artwork.value);
  }
  return slots;
}

}  // namespace wheatpaste

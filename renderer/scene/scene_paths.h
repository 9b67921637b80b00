// scene_paths.h - which files a scene may name.
//
// Model   a name is joined to the scene's folder, links are followed, and what results must lie in
//         one of the allowed folders (links followed there too). The resolved path is the one that
//         is opened later, so what was checked is what is read.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "scene/read_scene.h"

namespace wheatpaste {

inline constexpr size_t kMaxPathBytes = 1024;

class ScenePaths {
 public:
  // scene_path  of the scene file; it need not exist.
  ScenePaths(const std::string& scene_path, const ReadSceneOptions& options);

  // The absolute path of `name`, no link left in it as far as it exists. The file need not exist.
  // errors  one whose message alone is set: the caller knows place and subject.
  Result<std::string> Resolve(const std::string& name) const;

 private:
  std::string folder_;
  std::vector<std::string> roots_;
};

}  // namespace wheatpaste

// scene_text.h - scenes as text for the tests of the scene reader.
#pragma once

#include <string>

#include "scene/read_scene.h"
#include "support.h"

namespace wheatpaste::test {

// Lines 1 to 6 of a scene that is right: a photo, and a plane of known size.
inline const std::string kPhoto = "[photo]\nfile = \"wall.jpg\"\n";
inline const std::string kCorners = "corners = [[0, 0], [100, 0], [100, 100], [0, 100]]\n";
inline const std::string kPoster =
    "[[surface]]\nname = \"poster\"\nshape = \"plane\"\nsize = [420, 594]\n" + kCorners;

inline ReadSceneOptions DataOptions() {
  return {.data_folder = SourcePath("."), .allowed_folders = {}};
}

// Parsed as "scenes/x.toml".
inline Result<Scene> Parse(const std::string& text) {
  return ParseScene(text, "scenes/x.toml", DataOptions());
}

// The printed errors; "" where there are none.
inline std::string ErrorsOf(const std::string& text) {
  const Result<Scene> scene = Parse(text);
  return scene.ok() ? "" : FormatErrors(scene.errors());
}

}  // namespace wheatpaste::test

// stage_scene.h - a folder with a scene of a stage, for tests that run the whole program; photographs are kept in the folder too.
#pragma once

#include <string>

#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste::test {

// A matt sheet of 200 x 200 mm that faces sun and camera, 48 x 36 px.
inline constexpr char kSheetStage[] = R"(title = "Sheet"
[stage]
size = [48, 36]
samples = 4
sun = { around = 0, height = 0, strength = 0.5 }
[stage.camera]
at = [0, 100, 600]
aim = [0, 100, 0]
focal_35mm = 50
[[stage.object]]
name = "sheet"
solid = "sheet"
size = [200, 200]
substrate = { reflectance = [0.8, 0.8, 0.8], gloss = 0 }
[[placement]]
surface = "sheet.front"
artwork = "mark"
width = 100
)";

// scene.toml, mark.svg (a red square).
class StageScene {
 public:
  explicit StageScene(const std::string& text = kSheetStage) {
    WriteText(folder / "scene.toml", text);
    WriteText(folder / "mark.svg",
              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"30mm\">"
              "<rect width=\"100%\" height=\"100%\" fill=\"#c02020\"/></svg>\n");
  }

  void Replace(const std::string& from, const std::string& to) const {
    std::string text = ReadText(folder / "scene.toml");
    const size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    WriteText(folder / "scene.toml", text.replace(at, from.size(), to));
  }

  RunResult Program(const std::string& arguments) const {
    return Run("cd '" + folder.path() + "' && WHEATPASTE_DATA='" + SourcePath(".") +
               "' XDG_CACHE_HOME=kept '" WHEATPASTE_PROGRAM "' " + arguments);
  }
  RunResult Done(const std::string& arguments) const {
    const RunResult run = Program(arguments);
    INFO(arguments << "\n" << run.err);
    REQUIRE(run.status == 0);
    return run;
  }

  TempFolder folder;
};

}  // namespace wheatpaste::test

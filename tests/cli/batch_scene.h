// batch_scene.h - a folder with two small scenes and a run sheet, for tests of batches by the whole program.
#pragma once

#include <map>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "cli/small_scene.h"

namespace wheatpaste::test {

inline constexpr char kRunText[] = R"(title = "Round one"
scenes = ["scene.toml", "wide.toml"]
[[artwork]]
name = "plain"
slots = { mark = "mark.svg" }
[[artwork]]
name = "round"
slots = { mark = "round.svg" }
[[colourway]]
name = "night"
recolour = { "#c02020" = "#204080" }
[[output]]
name = "page"
size = "160x120"
format = "jpeg"
[[output]]
name = "sheet"
format = "png"
)";

// run.toml makes 2 scenes x 2 artworks x 2 colourways x 2 outputs = 16 pictures into run-out/.
class BatchScene : public SmallScene {
 public:
  static constexpr size_t kPictures = 16;

  BatchScene() {
    std::string wide = ReadText(folder / "scene.toml");
    const size_t at = wide.find("width = 300");
    WriteText(folder / "wide.toml", wide.replace(at, 11, "width = 390"));
    WriteText(folder / "round.svg",
              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"30mm\">"
              "<circle cx=\"50%\" cy=\"50%\" r=\"50%\" fill=\"#c02020\"/></svg>\n");
    WriteText(folder / "run.toml", kRunText);
  }

  // Exchanges a part of a file.
  void Exchange(const std::string& file, const std::string& from, const std::string& to) const {
    std::string text = ReadText(folder / file);
    const size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    WriteText(folder / file, text.replace(at, from.size(), to));
  }
  RunResult Batch(const std::string& arguments = "") const {
    return Program("batch run.toml " + arguments);
  }
  // Every file below `inside`, with its SHA-256; of manifests only that they are there.
  std::map<std::string, std::string> Files(const std::string& inside = "run-out") const {
    std::map<std::string, std::string> files;
    const auto list = Run("cd '" + folder / inside +
                          "' && find . -type f ! -name '*.lock' | sort | "
                          "xargs -r sha256sum");
    REQUIRE(list.status == 0);
    for (size_t at = 0; at < list.out.size();) {
      const size_t end = list.out.find('\n', at);
      const std::string line = list.out.substr(at, end - at);
      const std::string name = line.substr(68);
      files[name] = name.find("manifest") == 0 ? "" : line.substr(0, 64);
      at = end + 1;
    }
    return files;
  }
};

}  // namespace wheatpaste::test

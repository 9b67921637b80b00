// small_scene.h - a folder with a small scene in it, for tests that run the whole program.
#pragma once

#include <cstdint>
#include <cstdlib>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "must_run.h"
#include "support.h"

namespace wheatpaste::test {

inline constexpr int kWidth = 320;
inline constexpr int kHeight = 240;

// The surface's box in photo px, a filter's width wider: [x0, x1) x [y0, y1).
struct Box {
  int x0, y0, x1, y1;
  bool Holds(int x, int y) const { return x >= x0 && x < x1 && y >= y0 && y < y1; }
};
inline constexpr Box kCard{73, 58, 242, 192};

inline constexpr char kSceneText[] = R"(title = "Small"
[photo]
file = "photo.png"
focal_px = 400
[[surface]]
name = "card"
shape = "plane"
size = [400, 300]
corners = [[80, 60], [240, 70], [235, 190], [75, 180]]
substrate = "coated paper"
[[placement]]
surface = "card"
artwork = "mark"
width = 300
)";

// Codes as ImageMagick reads them, RGB, 16 bits a channel whatever the file holds: eyes not our
// own.
inline std::vector<uint16_t> CodesOf(const std::string& path) {
  const std::string raw = path + ".raw";
  MustRun("/usr/bin/convert '" + path + "' -depth 16 -endian LSB rgb:'" + raw + "'");
  const std::string bytes = ReadText(raw);
  MustRun("rm '" + raw + "'");
  std::vector<uint16_t> codes(bytes.size() / 2);
  for (size_t i = 0; i < codes.size(); ++i) {
    codes[i] = static_cast<uint16_t>(static_cast<uint8_t>(bytes[2 * i]) |
                                     static_cast<uint8_t>(bytes[2 * i + 1]) << 8);
  }
  return codes;
}

// scene.toml (slot "mark"), mark.svg, photo.png: light noise, so that a shifted or filtered pixel
// shows.
class SmallScene {
 public:
  explicit SmallScene(int depth = 8, const std::string& photo = "photo.png") {
    // Presets are found beside the sources, wherever the build folder is.
    setenv("WHEATPASTE_DATA", SourcePath(".").c_str(), 1);
    std::string ppm = "P6\n320 240\n" + std::to_string((1 << depth) - 1) + "\n";
    uint32_t noise = 7;
    for (int i = 0; i < kWidth * kHeight * 3; ++i) {
      noise = noise * 1664525 + 1013904223;
      ppm += static_cast<char>(150 + (noise >> 24) % 90);
      if (depth == 16) ppm += static_cast<char>(noise >> 16);
    }
    WriteText(folder / "noise.ppm", ppm);
    MustRun("/usr/bin/convert '" + folder / "noise.ppm" + "' -quality 95 " +
            (photo.ends_with(".png") ? depth == 16 ? "PNG48:" : "PNG24:" : "") + "'" +
            folder / photo + "'");
    MustRun("rm '" + folder / "noise.ppm" + "'");
    WriteText(folder / "scene.toml", kSceneText);
    Replace("photo.png", photo);
    WriteText(folder / "mark.svg",
              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"20mm\">"
              "<rect width=\"100%\" height=\"100%\" fill=\"#c02020\"/></svg>\n");
  }

  // Exchanges a part of the scene file.
  void Replace(const std::string& from, const std::string& to) {
    std::string text = ReadText(folder / "scene.toml");
    const size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    WriteText(folder / "scene.toml", text.replace(at, from.size(), to));
  }

  // Runs in the folder, so that messages hold short names.
  RunResult Program(const std::string& arguments) const {
    return Run("cd '" + folder.path() + "' && '" WHEATPASTE_PROGRAM "' " + arguments);
  }
  RunResult Render(const std::string& arguments) const {
    return Program("render scene.toml --artwork mark=mark.svg " + arguments);
  }

  TempFolder folder;
};

// Refused as bad input: status 2, the message, nothing on the standard output, the folder as
// before.
inline void CheckRefused(const SmallScene& scene, const std::string& arguments,
                         const std::string& message) {
  const auto before = scene.folder.List();
  const RunResult run = scene.Program(arguments);
  INFO(arguments);
  CHECK(run.status == 2);
  CHECK(run.err == message);
  CHECK(run.out.empty());
  CHECK(scene.folder.List() == before);
}

}  // namespace wheatpaste::test

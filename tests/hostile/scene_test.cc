// Scenes written to harm: deep, huge, or full of mistakes. Each must end in an error, soon.
#include <catch2/catch.hpp>

#include "scene/stage_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

std::string Repeat(const std::string& part, size_t times) {
  std::string text;
  for (size_t i = 0; i < times; ++i) text += part;
  return text;
}

}  // namespace

TEST_CASE("Hostile scene: nesting without end", "[hostile][bad-input]") {
  CHECK(ErrorsOf(std::string("a = ").append(100'000, '[')) ==
        "scenes/x.toml:1:37: error: expected TOML; in value: exceeded maximum nested value depth "
        "of 32\n");
  CHECK(ErrorsOf(std::string("a = ").append(Repeat("{ a = ", 100'000)))
            .ends_with("exceeded maximum nested value depth of 32\n"));
  CHECK(ErrorsOf(Repeat("a.", 100'000) + "a = 1") ==
        "scenes/x.toml:1:32: error: expected a key of at most 16 parts\n");
  CHECK(ErrorsOf(std::string("[") + Repeat("'a' . ", 100'000) + "a]\n")
            .ends_with("error: expected a key of at most 16 parts\n"));
  // As deep as the limits let through: it is walked, and refused by name.
  const std::string key = Repeat("a.", 14) + "a";
  CHECK(
      ErrorsOf(std::string("[") + key + "]\n" + Repeat(key + " = { ", 30) + "b = 1" +
               std::string(30, '}'))
          .find("error: a: unknown key; known here: title, swatch, print_condition, photo, stage, "
                "surface, placement, frame, "
                "colourway\n") != std::string::npos);
}

TEST_CASE("Hostile scene: too much of everything", "[hostile][bad-input]") {
  CHECK(ErrorsOf(std::string("a = [") + Repeat("0,", 1'000'000) + "]")
            .ends_with("error: expected at most 250000 values in a file\n"));
  CHECK(ErrorsOf(Repeat("[[surface]]\n", 300'000))
            .ends_with("error: expected at most 250000 values in a file\n"));
  const TempFolder folder;
  WriteText(folder / "s.toml", std::string("#").append(static_cast<size_t>(kMaxSceneBytes), ' '));
  const Result<Scene> large = ReadScene(folder / "s.toml", DataOptions());
  REQUIRE_FALSE(large.ok());
  CHECK(FormatErrors(large.errors()) ==
        folder / "s.toml" + ": error: is 4194305 bytes long, expected at most 4194304\n");
}

TEST_CASE("Hostile scene: counts beyond the limits", "[hostile][bad-input]") {
  CHECK(ErrorsOf(kPhoto + Repeat("[[surface]]\nshape = \"box\"\n", 257))
            .find("scenes/x.toml:515:1: error: surface: expected at most 256 of them\n") !=
        std::string::npos);
  CHECK(ErrorsOf(kPhoto + kPoster + Repeat("[[placement]]\n", 1025))
            .find("error: 1549 more mistakes are not listed\n") != std::string::npos);
  const std::string outline = Repeat("[1, 2],", 10'001);
  CHECK(ErrorsOf(kPhoto + kPoster + "in_front = [[" + outline + "]]")
            .ends_with("outline 1: expected 3 to 10000 points [x, y] in photo px\n"));
  CHECK(ErrorsOf(kPhoto + kPoster + "marks = [" + Repeat("[1, 2, 3, 4],", 257) + "]")
            .ends_with("expected 1 to 256 rows [photo_x, photo_y, mm_x, mm_y]\n"));
}

TEST_CASE("Hostile scene: a hundred thousand unknown keys", "[hostile][bad-input]") {
  std::string text;
  for (int i = 0; i < 100'000; ++i) text.append("k").append(std::to_string(i)).append(" = 1\n");
  const Result<Scene> scene = Parse(text);
  REQUIRE_FALSE(scene.ok());
  CHECK(scene.errors().size() == 501);
  CHECK(FormatError(scene.errors().back()) ==
        "scenes/x.toml: error: 99502 more mistakes are not listed");
}

TEST_CASE("Hostile scene: numbers out of this world", "[hostile][bad-input]") {
  const std::string start =
      kPhoto + "[[surface]]\nname = \"a\"\nshape = \"plane\"\n" + kCorners + "size = ";
  CHECK(ErrorsOf(start + "[1e400, 1]\n") ==
        "scenes/x.toml:7:14: error: expected TOML; in floating-point: '1e400' could not be "
        "interpreted as a "
        "value\n");
  CHECK(
      ErrorsOf(start + "[99999999999999999999, 1]\n") ==
      "scenes/x.toml:7:29: error: expected TOML; in decimal integer: '99999999999999999999' is not "
      "representable in 64 bits\n");
  const std::string rule = ": expected a length above 0 mm, at most 1000000 mm\n";
  CHECK(ErrorsOf(start + "[1e308, 1]\n") ==
        "scenes/x.toml:7:9: error: surface.size = [1e+308, 1]" + rule);
  CHECK(ErrorsOf(start + "[-0.0, 1]\n") ==
        "scenes/x.toml:7:9: error: surface.size = [-0.0, 1]" + rule);
  CHECK(ErrorsOf(start + "[9223372036854775807, 1]\n") ==
        "scenes/x.toml:7:9: error: surface.size = [9223372036854775807, 1]" + rule);
}

TEST_CASE("Hostile scene: long and unprintable text is cut and made safe", "[hostile][bad-input]") {
  const std::string errors =
      ErrorsOf(kPhoto + kPoster + "substrate = \"\\u001b[31m" + std::string(100'000, 'x') + "\"\n");
  CHECK(errors.size() < 600);
  CHECK(errors.find('\x1b') == std::string::npos);
  CHECK(errors.starts_with("scenes/x.toml:8:13: error: surface.substrate = \"\\x1b[31mxxx"));
  const std::string key = ErrorsOf(std::string(100'000, 'k') + " = 1\n" + kPhoto + kPoster);
  CHECK(key ==
        "scenes/x.toml:1:1: error: " + std::string(64, 'k') +
            "...: unknown key; known here: title, swatch, print_condition, photo, stage, surface, "
            "placement, frame, colourway\n");
}

TEST_CASE("Hostile scene: every beginning of a good scene is a scene or errors",
          "[scene][invariant]") {
  const std::string scene =
      kPhoto + kPoster + "[[placement]]\nsurface = \"poster\"\nartwork = \"m\"\n";
  const std::string stage = kStage + "[[placement]]\nsurface = \"poster\"\nartwork = \"m\"\n";
  for (const std::string& text : {scene, stage}) {
    for (size_t length = 0; length < text.size(); ++length) {
      const Result<Scene> part = Parse(text.substr(0, length));
      if (part.ok()) continue;
      for (const Error& error : part.errors()) {
        CHECK(error.place.file == "scenes/x.toml");
        CHECK_FALSE(error.message.empty());
      }
    }
  }
}

TEST_CASE("Hostile scene: a stage without end", "[hostile][bad-input]") {
  const std::string start = "[stage]\nsun = { height = 50 }\n";
  CHECK(ErrorsOf(start + Repeat("[[stage.object]]\nsolid = \"wall\"\n", 257))
            .find("scenes/x.toml:515:1: error: stage.object: expected at most 256 of them\n") !=
        std::string::npos);
  CHECK(ErrorsOf(start + Repeat("[[stage.soft_light]]\n", 33))
            .find("scenes/x.toml:35:1: error: stage.soft_light: expected at most 32 of them\n") !=
        std::string::npos);
  CHECK(ErrorsOf(kStage + Repeat("[[stage.object.part]]\n", 33))
            .find("scenes/x.toml:42:1: error: stage.object.part: expected at most 32 of them\n") !=
        std::string::npos);
  // Faces are named without end, each another.
  std::string names = kStage;
  for (int i = 0; i < 60'000; ++i) {
    names.append("[[placement]]\nsurface = \"poster.").append(std::to_string(i)).append("\"\n");
  }
  CHECK(ErrorsOf(names).find("placement: expected at most 1024 of them\n") != std::string::npos);
  CHECK(ErrorsOf(kStage + "[[placement]]\nsurface = [" + Repeat("\"x\",", 100'000) + "]\n").size() <
        2000);
  const std::string long_face = ErrorsOf(kStage + "[[placement]]\nartwork = \"m\"\nsurface = \"" +
                                         std::string(100'000, '.') + "\"\n");
  CHECK(long_face.size() < 600);
  const std::string number = ErrorsOf("[stage]\nsize = [1e308, -0.0]\nseed = 1e300\n");
  CHECK(number.find("2:9: error: stage.size = [1e+308, -0.0]: expected a whole number of px") !=
        std::string::npos);
  CHECK(number.find("3:8: error: stage.seed = 1e+300: expected a whole number") !=
        std::string::npos);
}

#include "stage/build_stage.h"

#include <catch2/catch.hpp>

#include <fmt/format.h>

#include "scene/read_scene.h"
#include "stage/add_looks.h"
#include "stage/read_texture.h"
#include "support.h"

namespace wheatpaste::test {
namespace {

// The picture of colour as it is traced, its mean; the texture is the oak board that the sample scenes use.
SceneLinear TracedColour(const std::string& substrate) {
  const std::string oak = SourcePath("assets-open/textures/oak_colour.jpg");
  auto scene =
      ParseScene(fmt::format("[stage]\nlight_map = {{ file = \"{}\" }}\n"
                             "[stage.camera]\nat = [0, 500, 900]\naim = [0, 0, 0]\n"
                             "[[stage.object]]\nname = \"table\"\nsolid = \"floor\"\n{}\n"
                             "texture = {{ colour = \"{}\", tile = 700 }}\n",
                             SourcePath("assets-open/light-maps/lebombo.hdr"), substrate, oak),
                 SourcePath("table.toml"), {SourcePath(""), {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  auto built = BuildStage(*scene->stage);
  if (!built.ok()) FAIL(FormatErrors(built.errors()));
  if (const auto looks = AddLooks(*scene->stage, *built); !looks.ok()) {
    FAIL(FormatErrors(looks.errors()));
  }
  for (const WorldMaterial& material : built->world.materials) {
    if (!material.texture) continue;
    const SceneLinear mean = MeanOf(*material.texture->colour);
    const auto times = [](double a, float b) { return static_cast<float>(a * b); };
    return {times(material.albedo.r, mean.r), times(material.albedo.g, mean.g),
            times(material.albedo.b, mean.b)};
  }
  FAIL("no material has the texture");
  return {};
}

}  // namespace

TEST_CASE("Texture: its own colour without a substrate, else as light as the substrate",
          "[stage][reference]") {
  // Source  ImageMagick 6.9.11: convert oak_colour.jpg -colorspace RGB -filter box -resize 1x1 txt: means of linear light.
  // Limit   0.005: JPEG decoders differ by a code.
  const SceneLinear own = TracedColour("");
  CHECK(own.r == Approx(0.4093).margin(0.005));
  CHECK(own.g == Approx(0.2576).margin(0.005));
  CHECK(own.b == Approx(0.1499).margin(0.005));
  const SceneLinear stated = TracedColour("substrate = { reflectance = [0.3, 0.4, 0.5] }");
  CHECK(stated.r == Approx(0.3).margin(0.005));
  CHECK(stated.g == Approx(0.4).margin(0.005));
  CHECK(stated.b == Approx(0.5).margin(0.005));
}

TEST_CASE("Looks: a texture that has changed since the stage was built is told",
          "[stage][bad-input]") {
  const TempFolder folder;
  const auto paint = [&](const char* colour) {
    const RunResult made =
        Run(fmt::format("convert -size 8x8 xc:{} '{}'", colour, folder / "paint.png"));
    REQUIRE(made.status == 0);
  };
  paint("red");
  auto scene = ParseScene(
      "[stage]\nsun = { height = 40, around = 10 }\n"
      "[stage.camera]\nat = [0, 500, 900]\naim = [0, 0, 0]\n"
      "[[stage.object]]\nname = \"table\"\nsolid = \"floor\"\n"
      "texture = { colour = \"paint.png\", tile = 700 }\n",
      folder / "table.toml", {SourcePath(""), {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  auto built = BuildStage(*scene->stage);
  REQUIRE(built.ok());
  CHECK_FALSE(built->has_looks);
  REQUIRE(AddLooks(*scene->stage, *built).ok());
  CHECK(built->has_looks);
  auto again = BuildStage(*scene->stage);
  REQUIRE(again.ok());
  CHECK(again->digest == built->digest);
  paint("blue");
  const auto looks = AddLooks(*scene->stage, *again);
  REQUIRE_FALSE(looks.ok());
  CHECK(FormatErrors(looks.errors()) ==
        fmt::format("error: {}: has changed while it was used\n", folder / "paint.png"));
  CHECK_FALSE(again->has_looks);
  // Another content is another photograph.
  const auto painted = BuildStage(*scene->stage);
  REQUIRE(painted.ok());
  CHECK(painted->digest != built->digest);
}

}  // namespace wheatpaste::test

// Finishes as a scene writes them, and every mistake by its exact message.
#include <catch2/catch.hpp>

#include "scene/read_finish.h"
#include "scene_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

// A finish's keys begin at line 12.
const std::string kStart = kPhoto + kPoster +
                           "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\n"
                           "[[placement.finish]]\n";

std::string At(const std::string& keys) { return ErrorsOf(kStart + keys); }

}  // namespace

TEST_CASE("Finishes: presets, masks, colours, depths", "[scene][closed-form]") {
  const auto scene = Parse("[swatch]\nochre = \"#e3a02c\"\n" + kStart +
                           "finish = \"gold foil\"\nmask = \"spot.svg\"\n[[placement.finish]]\n"
                           "finish = \"deboss\"\ncolour = \"ochre\"\ndepth = 0.5\nedge = 1\n"
                           "[[placement.finish]]\nfinish = { kind = \"foil\", metal = \"copper\", "
                           "roughness = 0.3, lacquer = [0.5, 0.25, 1] }\n");
  if (!scene) FAIL(FormatErrors(scene.errors()));
  const Placement& placement = scene->placements[0];
  CHECK(placement.printed);
  REQUIRE(placement.finishes.size() == 3);
  const Finish &gold = placement.finishes[0], &deboss = placement.finishes[1],
               &copper = placement.finishes[2];
  CHECK(gold.kind == FinishKind::kFoil);
  CHECK(gold.metal == Metal::kGold);
  REQUIRE(gold.mask);
  CHECK(gold.mask->value.ends_with("scenes/spot.svg"));
  CHECK(deboss.kind == FinishKind::kDeboss);
  CHECK(deboss.height_mm() == -0.5);
  CHECK(deboss.edge_mm == 1);
  REQUIRE(deboss.colour);
  CHECK(deboss.colour->value == Srgb8{0xe3, 0xa0, 0x2c});
  CHECK(copper.name == "inline");
  CHECK(copper.metal == Metal::kCopper);
  CHECK(copper.roughness == 0.3);
  CHECK(copper.lacquer.g == 0.25);
}

TEST_CASE("Finishes: ink none prints nothing and wants a finish", "[scene][bad-input]") {
  const auto scene =
      Parse(kPhoto + kPoster +
            "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\nink = \"none\"\n"
            "[[placement.finish]]\nfinish = \"emboss\"\n");
  if (!scene) FAIL(FormatErrors(scene.errors()));
  CHECK_FALSE(scene->placements[0].printed);
  CHECK(ErrorsOf(kPhoto + kPoster +
                 "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\nink = \"none\"\n") ==
        "scenes/x.toml:11:7: error: placement.ink = \"none\": expected a [[placement.finish]] with "
        "it, as nothing is printed\n");
}

TEST_CASE("Finishes: mistakes", "[scene][bad-input]") {
  CHECK(At("") ==
        "scenes/x.toml:11:1: error: placement.finish.finish: missing; expected a preset's name, "
        "such as \"gold foil\"\n");
  CHECK(At("finish = 3\n") ==
        "scenes/x.toml:12:10: error: placement.finish.finish = 3: expected a preset's name or { "
        "kind = \"foil\", metal = \"gold\" }\n");
  CHECK(At("finish = \"gold foi\"\n")
            .find("unknown preset; did you mean \"gold foil\"? there are "
                  "\"gloss varnish\", ") != std::string::npos);
  CHECK(At("finish = \"gold foil\"\ndepth = 0.2\n") ==
        "scenes/x.toml:13:9: error: placement.finish.depth = 0.2: expected no depth, as \"gold "
        "foil\" is flat; only emboss and deboss have one\n");
  CHECK(
      At("finish = \"emboss\"\ndepth = 0\nedge = 11\n") ==
      "scenes/x.toml:13:9: error: placement.finish.depth = 0: expected a depth above 0 mm, at most "
      "5 mm\n"
      "scenes/x.toml:14:8: error: placement.finish.edge = 11: expected a width above 0 mm, at most "
      "10 mm\n");
  CHECK(
      At("finish = \"emboss\"\nmask = \"a.svg\"\ncolour = \"#ffffff\"\n") ==
      "scenes/x.toml:14:10: error: placement.finish.colour = \"#ffffff\": expected mask or colour, "
      "not both\n");
  CHECK(At("finish = \"emboss\"\nmsk = \"a.svg\"\n") ==
        "scenes/x.toml:13:1: error: placement.finish.msk: unknown key; did you mean mask?\n");
  CHECK(At("finish = { kind = \"foil\", roughness = 0, gloss = 2 }\n") ==
        "scenes/x.toml:12:10: error: placement.finish.finish.metal: missing; expected one of "
        "\"gold\", \"silver\", \"copper\" and \"aluminium\"\n"
        "scenes/x.toml:12:39: error: placement.finish.finish.roughness = 0: expected a roughness "
        "from 0.02 (mirror) to 1\n"
        "scenes/x.toml:12:42: error: placement.finish.finish.gloss: unknown key; known here: kind, "
        "roughness, metal, lacquer\n");
  CHECK(At("finish = { kind = \"varnish\", gloss = 9 }\n") ==
        "scenes/x.toml:12:38: error: placement.finish.finish.gloss = 9: expected a factor from 0 "
        "(matt) over 1 (as the bare print) to 8 on mirrored light\n");
  CHECK(
      ErrorsOf(kPhoto + kPoster +
               "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\nfinish = \"emboss\"\n") ==
      "scenes/x.toml:11:10: error: placement.finish = \"emboss\": expected [[placement.finish]] "
      "tables, in "
      "double brackets\n");
  CHECK(ErrorsOf(kPhoto + "[[surface]]\nname = \"poster\"\nshape = \"plane\"\n" + kCorners +
                 "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\n[[placement.finish]]\n"
                 "finish = \"emboss\"\n") ==
        "scenes/x.toml:11:10: error: placement.finish.finish = \"emboss\": expected no emboss, as "
        "surface \"poster\" has no size; write its size\n");
}

TEST_CASE("Finishes: light_from serves them without folds", "[scene][bad-input]") {
  const std::string lit =
      "[[surface]]\nname = \"poster\"\nshape = \"plane\"\nsize = [420, 594]\n" + kCorners +
      "light_from = [-1, 1, 1]\n[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\n";
  CHECK(Parse(kPhoto + lit + "[[placement.finish]]\nfinish = \"emboss\"\n").ok());
  CHECK_FALSE(Parse(kPhoto + lit).ok());
}

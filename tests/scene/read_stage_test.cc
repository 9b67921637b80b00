// A stage as read: every key in its place, and what stands where a key is left out.
#include <catch2/catch.hpp>

#include <filesystem>

#include "scene/stage.h"
#include "stage_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

Scene Parsed(const std::string& text) {
  auto scene = Parse(text);
  if (!scene) FAIL(FormatErrors(scene.errors()));
  REQUIRE(scene->stage);
  return std::move(*scene);
}

std::string FileOf(const std::optional<Placed<std::string>>& file) {
  return file ? std::filesystem::path(file->value).filename().string() : "";
}

template <typename Solid>
Solid SolidOf(const std::string& keys) {
  const Scene scene = Parsed(
      "[stage]\nsun = { height = 50 }\n[stage.camera]\nat = [0, 0, 1]\naim = [0, 0, 0]\n"
      "[[stage.object]]\nname = \"it\"\n" +
      keys);
  REQUIRE(scene.stage->objects.size() == 1);
  const auto* solid = std::get_if<Solid>(&scene.stage->objects[0].solid);
  REQUIRE(solid);
  return *solid;
}

}  // namespace

TEST_CASE("Stage: a scene that says everything", "[scene][closed-form]") {
  const Scene scene = Parsed(R"(title = "Carton on a doorstep"
[swatch]
dusk = "#808080"
[stage]
size = [800, 600]
samples = 64
denoise = false
seed = 9007199254740992
base = "doorstep.tif"
background = "dusk"
[stage.camera]
focal_35mm = 85
distance = 1500
around = 30
height = 700
aim = "seeds"
roll = -2
f_number = 2.8
focus = "step"
exposure = -0.5
[stage.light_map]
file = "street.hdr"
turn = 120
scale = 0.5
shown = false
blur = 3
[[stage.soft_light]]
at = [-1000, 1500, 800]
aim = [0, 100, 0]
size = [600, 900]
strength = 4
kelvin = 5600
shown = true
[[stage.soft_light]]
at = [1000, 1500, 800]
aim = "seeds"
size = [600, 900]
colour = [1, 0.5, 0.25]
[stage.sun]
around = -60
height = 12
size = 1
strength = 3
kelvin = 3500
[[stage.object]]
name = "step"
solid = "block"
size = [900, 150, 400]
edge = 4
at = [0, 1, 2]
substrate = "concrete wall"
roughness = 0.9
texture = { colour = "c.jpg", normal = "n.png", roughness = "r.png", displacement = "d.png", tile = [800, 600], turn = 90, displacement_mm = 2, normal_strength = 0.5 }
[[stage.object]]
name = "seeds"
solid = "carton"
style = "tuck"
inner = [60, 30, 110]
board = 0.4
closed = 0.75
lid = 100
at = [10, 150, 20]
turn = 15
tilt = 1
lean = 2
substrate = { reflectance = [0.7, 0.7, 0.6], gloss = 0.2 }
[[stage.object.part]]
name = "inside"
substrate = "gray board"
[[stage.object.part]]
name = "edges"
metal = "copper"
roughness = 0.3
texture = { colour = "c.jpg", tile = 50 }
[[stage.object]]
name = "jar"
solid = "tube"
diameter = 70
height = 90
glass = true
[[placement]]
surface = "seeds.front"
artwork = "mark"
width = 40
at = [30, 50]
thickness = 0.2
[[placement]]
surface = "step"
artwork = "mark"
[[placement]]
surface = "seeds.front"
artwork = "text"
[frame]
surface = "seeds.back"
)");
  const Stage& stage = *scene.stage;
  CHECK(scene.photo.file.value.empty());
  CHECK(stage.place.line == 4);
  CHECK(stage.size == SizePx{800, 600});
  CHECK(stage.samples == 64);
  CHECK_FALSE(stage.denoise);
  CHECK(stage.seed == 9007199254740992u);
  CHECK(FileOf(stage.base) == "doorstep.tif");
  // IEC 61966-2-1: 0x80 is 0.2158605 of white.
  CHECK(stage.background.g == Approx(0.2158605).epsilon(1e-6));

  const StageCamera& camera = stage.camera;
  CHECK(camera.focal_35mm == 85);
  REQUIRE(camera.stand);
  CHECK(camera.stand->distance == 1500);
  CHECK(camera.stand->around == 30);
  CHECK(camera.stand->height == 700.0);
  REQUIRE(camera.aim_object);
  CHECK(camera.aim_object->value == "seeds");
  CHECK(camera.aim_object->key == "stage.camera.aim");
  CHECK(camera.aim_object->place.line == 16);
  CHECK(camera.roll == -2);
  CHECK(camera.lens.f_number == 2.8);
  CHECK_FALSE(camera.lens.focus_mm);
  REQUIRE(camera.lens.focus_object);
  CHECK(camera.lens.focus_object->value == "step");
  CHECK(camera.exposure == -0.5);

  REQUIRE(stage.light_map);
  CHECK(FileOf(stage.light_map->file) == "street.hdr");
  CHECK(stage.light_map->turn == 120);
  CHECK(stage.light_map->scale == 0.5);
  CHECK_FALSE(stage.light_map->shown);
  CHECK(stage.light_map->blur == 3);
  REQUIRE(stage.soft_lights.size() == 2);
  CHECK(stage.soft_lights[0].at == Eigen::Vector3d(-1000, 1500, 800));
  CHECK(stage.soft_lights[0].aim == Eigen::Vector3d(0, 100, 0));
  CHECK_FALSE(stage.soft_lights[0].aim_object);
  CHECK(stage.soft_lights[0].size == std::array<double, 2>{600, 900});
  CHECK(stage.soft_lights[0].strength == 4);
  CHECK(stage.soft_lights[0].colour.kelvin == 5600.0);
  CHECK(stage.soft_lights[0].shown);
  CHECK(stage.soft_lights[1].aim_object->value == "seeds");
  CHECK(stage.soft_lights[1].strength == 1);
  CHECK_FALSE(stage.soft_lights[1].colour.kelvin);
  CHECK(stage.soft_lights[1].colour.colour.b == 0.25);
  CHECK_FALSE(stage.soft_lights[1].shown);
  REQUIRE(stage.sun);
  CHECK(stage.sun->around == -60);
  CHECK(stage.sun->height == 12);
  CHECK(stage.sun->size == 1);
  CHECK(stage.sun->strength == 3);
  CHECK(stage.sun->colour.kelvin == 3500.0);

  REQUIRE(stage.objects.size() == 3);
  const StageObject& step = stage.objects[0];
  CHECK(step.name.value == "step");
  CHECK(std::get<BlockSolid>(step.solid).edge == 4);
  CHECK(step.at == Eigen::Vector3d(0, 1, 2));
  REQUIRE(step.materials.size() == 1);
  CHECK(step.materials[0].part.empty());
  CHECK(step.materials[0].substrate->value.name == "concrete wall");
  CHECK(step.materials[0].roughness == 0.9);
  REQUIRE(step.materials[0].texture);
  const StageTexture& texture = *step.materials[0].texture;
  CHECK(FileOf(texture.colour) == "c.jpg");
  CHECK(FileOf(texture.normal) == "n.png");
  CHECK(FileOf(texture.roughness) == "r.png");
  CHECK(FileOf(texture.displacement) == "d.png");
  CHECK(texture.tile_mm == std::array<double, 2>{800, 600});
  CHECK(texture.turn == 90);
  CHECK(texture.displacement_mm == 2);
  CHECK(texture.normal_strength == 0.5);

  const StageObject& seeds = stage.objects[1];
  CHECK(seeds.turn == 15);
  CHECK(seeds.tilt == 1);
  CHECK(seeds.lean == 2);
  const auto& carton = std::get<CartonSolid>(seeds.solid);
  CHECK(carton.style == "tuck");
  CHECK(carton.inner == std::array<double, 3>{60, 30, 110});
  CHECK(carton.board == 0.4);
  CHECK(carton.closed == 0.75);
  CHECK(carton.lid == 100.0);
  REQUIRE(seeds.materials.size() == 3);
  CHECK(seeds.materials[0].substrate->value.name == "inline");
  CHECK(seeds.materials[0].substrate->value.gloss == 0.2);
  CHECK(seeds.materials[1].part == "inside");
  CHECK(seeds.materials[1].substrate->value.name == "gray board");
  CHECK(seeds.materials[2].part == "edges");
  CHECK(seeds.materials[2].metal == Metal::kCopper);
  CHECK_FALSE(seeds.materials[2].substrate);
  CHECK(seeds.materials[2].texture->tile_mm == std::array<double, 2>{50, 50});
  CHECK(stage.objects[2].materials[0].glass);
  CHECK_FALSE(stage.objects[2].materials[0].substrate);

  // One surface for each face that is named, in the order of their names.
  REQUIRE(scene.surfaces.size() == 3);
  const Surface& front = scene.surfaces[0];
  CHECK(front.name.value == "seeds.front");
  CHECK(std::string(NameOf(front.shape)) == "stage");
  REQUIRE(front.stage_face);
  CHECK(front.stage_face->object == 1);
  CHECK(front.stage_face->face == "front");
  CHECK(front.stage_face->place.line == front.name.place.line);
  CHECK(front.substrate.value.reflectance.b == 0.6);
  CHECK(front.substrate.value.stated);
  CHECK(scene.surfaces[1].name.value == "step");
  CHECK(scene.surfaces[1].stage_face->object == 0);
  CHECK(scene.surfaces[1].stage_face->face.empty());
  CHECK(scene.surfaces[2].stage_face->face == "back");
  REQUIRE(scene.placements.size() == 3);
  CHECK(scene.placements[0].surface == 0);
  CHECK(scene.placements[0].width_mm == 40.0);
  CHECK(scene.placements[0].thickness_mm == 0.2);
  CHECK(scene.placements[0].faces.empty());
  CHECK(scene.placements[1].surface == 1);
  CHECK(scene.placements[2].surface == 0);
  CHECK(scene.frame->surface == 2);
}

TEST_CASE("Stage: a scene that says the least", "[scene][closed-form]") {
  const Scene scene = Parsed(kStage);
  const Stage& stage = *scene.stage;
  CHECK(stage.size == SizePx{1600, 1200});
  CHECK(stage.samples == 128);
  CHECK(stage.denoise);
  CHECK(stage.seed == 1);
  CHECK_FALSE(stage.base);
  CHECK(stage.camera.focal_35mm == 50);
  CHECK(stage.camera.at == Eigen::Vector3d(0, 500, 2000));
  CHECK_FALSE(stage.camera.stand);
  CHECK(stage.camera.lens.f_number == 0);
  CHECK_FALSE(stage.light_map);
  CHECK(stage.soft_lights.empty());
  REQUIRE(stage.sun);
  CHECK(stage.sun->around == 0);
  CHECK(stage.sun->size == 0.53);
  CHECK(stage.sun->strength == 1);
  CHECK_FALSE(stage.sun->colour.kelvin);
  REQUIRE(stage.objects.size() == 1);
  REQUIRE(stage.objects[0].materials.size() == 1);
  CHECK(stage.objects[0].materials[0].substrate->value.name == "coated paper");
  CHECK_FALSE(stage.objects[0].materials[0].substrate->value.stated);
  CHECK_FALSE(stage.objects[0].materials[0].roughness);
  CHECK(scene.surfaces.empty());
  CHECK_FALSE(Parse(kPhoto + kPoster)->stage);
}

TEST_CASE("Stage: a camera that stands around what it aims at", "[scene][closed-form]") {
  const Eigen::Vector3d aim(10, 200, 30);
  CHECK((PlaceOf({.distance = 100, .around = 0, .height = 50}, aim) - Eigen::Vector3d(10, 50, 130))
            .norm() < 1e-9);
  CHECK(
      (PlaceOf({.distance = 100, .around = 90, .height = {}}, aim) - Eigen::Vector3d(110, 200, 30))
          .norm() < 1e-9);
}

TEST_CASE("Stage: every solid with its own keys", "[scene][closed-form]") {
  const auto sheet = SolidOf<SheetSolid>(
      "solid = \"sheet\"\nsize = [50, 90]\nthickness = 0.5\ncurl = 3\nhole = 4\n");
  CHECK(sheet.size == std::array<double, 2>{50, 90});
  CHECK(sheet.thickness == 0.5);
  CHECK(sheet.curl == 3);
  CHECK(sheet.hole == 4.0);
  CHECK(SolidOf<WallSolid>("solid = \"wall\"\nsize = [10, 20]\n").size[1] == 20);
  CHECK(SolidOf<FloorSolid>("solid = \"floor\"\n").size[0] == 6000);
  const auto sweep = SolidOf<SweepSolid>("solid = \"sweep\"\nsize = [900, 500, 400]\n");
  CHECK(sweep.size == std::array<double, 3>{900, 500, 400});
  CHECK(sweep.radius == 400);  // no more than fits
  CHECK(SolidOf<BlockSolid>("solid = \"block\"\nsize = [9, 9, 1]\n").edge == 0.5);
  CHECK(SolidOf<TubeSolid>("solid = \"tube\"\ndiameter = 60\nheight = 9\n").diameter == 60);
  const auto cup = SolidOf<CupSolid>(
      "solid = \"cup\"\ndiameter_top = 80\ndiameter_bottom = 56\nheight = 95\nlid = true\n");
  CHECK(cup.diameter_top == 80);
  CHECK(cup.diameter_bottom == 56);
  CHECK(cup.height == 95);
  CHECK(cup.lid);
  CHECK(SolidOf<CanSolid>("solid = \"can\"\ndiameter = 66\nheight = 115\n").height == 115);
  const auto tote = SolidOf<ToteSolid>(
      "solid = \"tote bag\"\nsize = [300, 350]\ngusset = 80\nhandle = 200\nfill = 0.8\n"
      "hangs = false\nseed = 7\n");
  CHECK(tote.size[1] == 350);
  CHECK(tote.gusset == 80);
  CHECK(tote.handle == 200);
  CHECK(tote.fill == 0.8);
  CHECK_FALSE(tote.hangs);
  CHECK(tote.seed == 7);
  const auto bag = SolidOf<PaperBagSolid>(
      "solid = \"paper bag\"\nsize = [180, 240, 80]\nhandles = \"flat\"\ncrease = 0\nseed = 3\n");
  CHECK(bag.size[2] == 80);
  CHECK(bag.handles == "flat");
  CHECK(bag.crease == 0);
  CHECK(bag.seed == 3);
  const auto carton = SolidOf<CartonSolid>(
      "solid = \"carton\"\ndieline = \"d.svg\"\nboard = 0.5\ncut = \"cut\"\ncrease = "
      "\"#00ff00\"\n");
  CHECK(FileOf(carton.dieline) == "d.svg");
  CHECK(carton.cut->value == "cut");
  CHECK(carton.crease->value == "#00ff00");
  CHECK(carton.closed == 1);
  CHECK_FALSE(carton.lid);
  const auto mesh = SolidOf<MeshSolid>("solid = \"mesh\"\nfile = \"m.obj\"\nmm_per_unit = 10\n");
  CHECK(std::filesystem::path(mesh.file.value).filename() == "m.obj");
  CHECK(mesh.mm_per_unit == 10);
}

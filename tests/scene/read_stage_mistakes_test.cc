// Mistakes in a stage, each by its exact message.
#include <catch2/catch.hpp>

#include <algorithm>

#include "stage_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

struct Case {
  std::string text;
  std::string errors;  // without "scenes/x.toml:"
};

void CheckAll(const std::vector<Case>& cases) {
  for (const Case& each : cases) {
    INFO(each.text);
    std::string errors = ErrorsOf(each.text);
    for (size_t at = 0; (at = errors.find("scenes/x.toml:", at)) != std::string::npos;) {
      errors.erase(at, 14);
    }
    CHECK(errors == each.errors);
  }
}

const std::string kCamera = "[stage.camera]\nat = [0, 500, 2000]\naim = [0, 0, 0]\n";
const std::string kLight = "sun = { height = 50 }\n";
// Lines 1 to 5; an object follows.
const std::string kEmpty = "[stage]\n" + kLight + kCamera;
// Lines 1 to 8; its own keys follow.
std::string Object(const std::string& solid) {
  return kEmpty + "[[stage.object]]\nname = \"it\"\nsolid = \"" + solid + "\"\n";
}

}  // namespace

TEST_CASE("Stage mistakes: beside a photo, beside surfaces, no table", "[scene][bad-input]") {
  CheckAll({
      {kStage + kPhoto, "1:1: error: stage: expected [photo] or [stage], not both\n"},
      {kStage + kPoster,
       "10:1: error: surface: expected none beside a [stage]: its objects are its surfaces\n"},
      {"stage = 5\n", "1:9: error: stage = 5: expected a [stage] table\n"},
      {"[stage]\n",
       "1:1: error: stage.object: missing; expected at least one [[stage.object]] table\n"
       "1:1: error: stage.camera: missing; expected a [stage.camera] table\n"
       "1:1: error: stage: expected some light: a [stage.light_map], a [[stage.soft_light]] or a "
       "[stage.sun]\n"},
      {"[stage]\nbackground = \"#fff\"\n" + kCamera +
           "[[stage.object]]\nname = \"it\"\nsolid = \"wall\"\n",
       "1:1: error: stage: expected some light: a [stage.light_map], a [[stage.soft_light]] or a "
       "[stage.sun]\n"},
      {"[stage]\nobject = []\ncamera = 1\nsun = 2\n",
       "2:10: error: stage.object = []: expected at least one [[stage.object]] table\n"
       "3:10: error: stage.camera = 1: expected a [stage.camera] table\n"
       "4:7: error: stage.sun = 2: expected a [stage.sun] table\n"},
      {"[stage]\nobject = 1\n" + kLight + kCamera,
       "2:10: error: stage.object = 1: expected [[stage.object]] tables, in double brackets\n"},
  });
}

TEST_CASE("Stage mistakes: the photograph", "[scene][bad-input]") {
  const auto with = [](const std::string& line) {
    return "[stage]\n" + line + "\n" + kStage.substr(8);
  };
  CheckAll({
      {with("size = [1600]"), "2:8: error: stage.size = [1600]: expected [width, height] in px\n"},
      {with("size = [0, 1200.5]"),
       "2:9: error: stage.size = [0, 1200.5]: expected a whole number of px from 1 to 16000\n"},
      {with("size = [1600, 1200.5]"),
       "2:15: error: stage.size = [1600, 1200.5]: expected a whole number of px from 1 to 16000\n"},
      {with("size = [16000, 16000]"),
       "2:8: error: stage.size = [16000, 16000]: expected at most 40 million px in all\n"},
      {with("samples = 0"),
       "2:11: error: stage.samples = 0: expected a whole number from 1 to "
       "65536\n"},
      {with("samples = 1.5"),
       "2:11: error: stage.samples = 1.5: expected a whole number from 1 to 65536\n"},
      {with("denoise = \"yes\""), "2:11: error: stage.denoise = \"yes\": expected true or false\n"},
      {with("seed = -1"),
       "2:8: error: stage.seed = -1: expected a whole number from 0 to 9007199254740992\n"},
      {with("base = \"a.png\""),
       "2:8: error: stage.base = \"a.png\": expected a file ending in tif or tiff\n"},
      {with("base = \"../a.tif\""),
       "2:8: error: stage.base = \"../a.tif\": lies outside the scene's folder; name its folder "
       "with --allow FOLDER\n"},
      {with("sample = 5"), "2:1: error: stage.sample: unknown key; did you mean samples?\n"},
      {with("zzz = 5"),
       "2:1: error: stage.zzz: unknown key; known here: size, samples, denoise, seed, base, "
       "object, colour_transfer, camera, background, light_map, soft_light, sun\n"},
  });
}

TEST_CASE("Stage mistakes: the camera", "[scene][bad-input]") {
  const std::string object = "[[stage.object]]\nname = \"poster\"\nsolid = \"wall\"\n";
  const auto with = [&object](const std::string& lines) {
    return "[stage]\n" + kLight + "[stage.camera]\n" + lines + object;
  };
  const std::string at = "at = [0, 0, 9]\naim = [0, 0, 0]\n";
  CheckAll({
      {with(""),
       "3:1: error: stage.camera.at: missing; expected [x, y, z] in mm, or distance\n"
       "3:1: error: stage.camera.aim: missing; expected [x, y, z] in mm, or an object's name\n"},
      {with("at = [1, 2]\naim = 5\n"),
       "4:6: error: stage.camera.at = [1, 2]: expected [x, y, z] in mm\n"
       "5:7: error: stage.camera.aim = 5: expected [x, y, z] in mm, or an object's name\n"},
      {with("at = [1, 2, 3]\naim = [1, 2, 3]\n"),
       "5:7: error: stage.camera.aim = [1, 2, 3]: expected another point than at\n"},
      {with("at = [1, 2, 3]\naim = \"postr\"\n"),
       "5:7: error: stage.camera.aim = \"postr\": no object of the stage has this name; did you "
       "mean \"poster\"?\n"},
      {with("at = [1, 2, 3]\naim = \"bag\"\n"),
       "5:7: error: stage.camera.aim = \"bag\": no object of the stage has this name; there is "
       "\"poster\"\n"},
      {with("at = [1, 2, 3]\ndistance = 5\naim = \"poster\"\n"),
       "5:12: error: stage.camera.distance = 5: expected at or distance, not both\n"},
      {with("around = 3\nheight = 5\n" + at),
       "4:10: error: stage.camera.around = 3: expected distance beside it, in plan from what the "
       "camera aims at\n"
       "5:10: error: stage.camera.height = 5: expected distance beside it, in plan from what the "
       "camera aims at\n"},
      {with("distance = 0\naim = \"poster\"\n"),
       "4:12: error: stage.camera.distance = 0: expected a length above 0 mm, at most 1000000 "
       "mm\n"},
      {with(at + "focal_35mm = 0\nf_number = 0\nfocus = -5\n"),
       "6:14: error: stage.camera.focal_35mm = 0: expected a focal length in mm on 36 x 24 mm, "
       "from 1 to 10000\n"
       "7:12: error: stage.camera.f_number = 0: expected an f-number above 0, at most 1000\n"
       "8:9: error: stage.camera.focus = -5: expected a length above 0 mm, at most 1000000 mm\n"},
      {with(at + "focus = 900\n"),
       "6:9: error: stage.camera.focus = 900: expected f_number beside it; without one everything "
       "is sharp\n"},
      {with(at + "f_number = 4\nfocus = \"Poster\"\n"),
       "7:9: error: stage.camera.focus = \"Poster\": no object of the stage has this name; did you "
       "mean \"poster\"?\n"},
      {with(at + "roll = true\nexposure = 31\nzoom = 2\n"),
       "6:8: error: stage.camera.roll = true: expected a number, not true or false\n"
       "7:12: error: stage.camera.exposure = 31: expected stops from -30 to 30\n"
       "8:1: error: stage.camera.zoom: unknown key; known here: focal_35mm, at, distance, around, "
       "height, aim, roll, f_number, focus, exposure\n"},
  });
}

TEST_CASE("Stage mistakes: faces that throw colour", "[scene][bad-input]") {
  const auto with = [](const std::string& line) {
    return kStage.substr(0, 8) + line + kStage.substr(8);
  };
  CheckAll({
      {with("colour_transfer = \"poster\"\n"),
       "2:19: error: stage.colour_transfer = \"poster\": expected at most 8 faces in [ ], such as "
       "[\"carton.front\"]\n"},
      {with("colour_transfer = [1, \"poser\", \"poster\", \"poster\"]\n"),
       "2:20: error: stage.colour_transfer = 1: expected a face, such as \"carton.front\"\n"
       "2:23: error: stage.colour_transfer = \"poser\": no object of the stage has this "
       "name; did you mean \"poster\"?\n"
       "2:42: error: stage.colour_transfer = \"poster\": expected each face once\n"},
  });
}

TEST_CASE("Stage mistakes: lights", "[scene][bad-input]") {
  const auto with = [](const std::string& lines) { return kStage + lines; };  // from line 10
  // The same with an empty line in place of the sun that it has.
  const auto sunless = [](const std::string& lines) {
    std::string stage = kStage;
    return stage.replace(stage.find("sun"), stage.find('\n', 8) - 8, "") + lines;
  };
  CheckAll({
      {with("[stage.light_map]\nblur = 91\nscale = -1\nshown = 1\n"),
       "10:1: error: stage.light_map.file: missing; expected an equirectangular picture, .hdr\n"
       "11:8: error: stage.light_map.blur = 91: expected an angle in degrees, from 0 to 90\n"
       "12:9: error: stage.light_map.scale = -1: expected a factor from 0 to 1000000\n"
       "13:9: error: stage.light_map.shown = 1: expected true or false\n"},
      {with("[stage.light_map]\nfile = \"/etc/a.hdr\"\nturns = 1\n"),
       "11:8: error: stage.light_map.file = \"/etc/a.hdr\": lies outside the scene's folder; name "
       "its folder with --allow FOLDER\n"
       "12:1: error: stage.light_map.turns: unknown key; did you mean turn?\n"},
      {with("[[stage.soft_light]]\n"),
       "10:1: error: stage.soft_light.at: missing; expected [x, y, z] in mm, its middle\n"
       "10:1: error: stage.soft_light.aim: missing; expected [x, y, z] in mm, or an object's "
       "name\n"
       "10:1: error: stage.soft_light.size: missing; expected [width, height] in mm\n"},
      {with("[[stage.soft_light]]\nat = [1, 2, 3]\naim = [1, 2, 3]\nsize = [1, 0]\nkelvin = 900\n"
            "colour = \"#000\"\nstrength = -2\n"),
       "12:7: error: stage.soft_light.aim = [1, 2, 3]: expected another point than at\n"
       "13:12: error: stage.soft_light.size = [1, 0]: expected a length above 0 mm, at most "
       "1000000 mm\n"
       "14:10: error: stage.soft_light.kelvin = 900: expected a colour temperature from 1000 to "
       "40000 K\n"
       "15:10: error: stage.soft_light.colour = \"#000\": expected a colour other than black\n"
       "15:10: error: stage.soft_light.colour = \"#000\": expected kelvin or colour, not both\n"
       "16:12: error: stage.soft_light.strength = -2: expected a strength from 0 to 1000000\n"},
      {sunless("[stage.sun]\nheight = -1\nsize = 0\ncolour = 3\nwarm = 1\n"),
       "11:10: error: stage.sun.height = -1: expected degrees above the horizon, from 0 to 90\n"
       "12:8: error: stage.sun.size = 0: expected a diameter above 0 degrees, at most 90\n"
       "13:10: error: stage.sun.colour = 3: expected [r, g, b], linear, a swatch's name or "
       "#rrggbb\n"
       "14:1: error: stage.sun.warm: unknown key; known here: around, height, size, strength, "
       "kelvin, colour\n"},
      {sunless("[stage.sun]\ncolour = \"dusk\"\n"),
       "11:10: error: stage.sun.colour = \"dusk\": no swatch has this name; there are none; write "
       "#rrggbb\n"},
  });
}

TEST_CASE("Stage mistakes: objects and solids", "[scene][bad-input]") {
  const std::string solids =
      "one of \"sheet\", \"wall\", \"floor\", \"sweep\", \"block\", \"tube\", \"cup\", \"can\", "
      "\"tote bag\", \"paper bag\", \"carton\" and \"mesh\"";
  const std::string length = ": expected a length above 0 mm, at most 1000000 mm\n";
  CheckAll({
      {kEmpty + "[[stage.object]]\n",
       "6:1: error: stage.object.name: missing; expected a name, such as \"carton\"\n"
       "6:1: error: stage.object.solid: missing; expected " +
           solids + "\n"},
      {kEmpty + "[[stage.object]]\nname = \"a.b\"\nsolid = \"ball\"\nradius = 5\n",
       "7:8: error: stage.object.name = \"a.b\": expected letters, digits, - and _\n"
       "8:9: error: stage.object.solid = \"ball\": expected " +
           solids + "; did you mean \"wall\"?\n" +
           "9:1: error: stage.object.radius: unknown key; known here: name, solid, size, at, turn, "
           "tilt, lean, substrate, metal, glass, roughness, texture, part\n"},
      {kEmpty + "[[stage.object]]\nname = \"a\"\nsolid = \"pyramid\"\nradius = 5\n",
       "8:9: error: stage.object.solid = \"pyramid\": expected " + solids + "\n"},
      {kStage + "[[stage.object]]\nname = \"poster\"\nsolid = \"wall\"\nat = 5\nturn = 1e6\n",
       "11:8: error: stage.object.name = \"poster\": already used in line 7\n"
       "13:6: error: stage.object.at = 5: expected [x, y, z] in mm\n"
       "14:8: error: stage.object.turn = 1000000.0: expected an angle in degrees, from -36000 to "
       "36000\n"},
      {Object("sheet") + "curl = -1\n",
       "6:1: error: stage.object.size: missing; expected [width, height] in mm\n"
       "9:8: error: stage.object.curl = -1: expected a length in mm, from 0 to 1000000\n"},
      {Object("sheet") + "size = [50, 90]\nhole = 26\ncurl = 46\nthickness = 0\ndiameter = 3\n",
       "10:8: error: stage.object.hole = 26: expected at most 25 mm, half of the sheet's smaller "
       "side\n"
       "11:8: error: stage.object.curl = 46: expected at most 45 mm, half of the sheet's height\n"
       "12:13: error: stage.object.thickness = 0: expected a thickness above 0 mm, at most 100 mm\n"
       "13:1: error: stage.object.diameter: unknown key; known here: name, solid, size, thickness, "
       "curl, hole, at, turn, tilt, lean, substrate, metal, glass, roughness, texture, part\n"},
      {Object("sweep") + "size = [1000, 500, 400]\nradius = 450\n",
       "10:10: error: stage.object.radius = 450: expected at most 400 mm, the smaller of height "
       "and depth\n"},
      {Object("block") + "size = [9, 2, 9]\nedge = 1.5\n",
       "10:8: error: stage.object.edge = 1.5: expected at most 1 mm, half of the smallest side\n"},
      {Object("tube"),
       "6:1: error: stage.object.diameter: missing; expected a length in mm\n"
       "6:1: error: stage.object.height: missing; expected a length in mm\n"},
      {Object("cup") + "diameter_top = -1\ndiameter_bottom = 5\nheight = 3\nlid = 1\n",
       "9:16: error: stage.object.diameter_top = -1" + length +
           "12:7: error: stage.object.lid = 1: expected true or false\n"},
      {Object("can") + "diameter = nan\nheight = \"5\"\n",
       "9:12: error: stage.object.diameter = nan: expected a finite number\n"
       "10:10: error: stage.object.height = \"5\": expected a number, not a string; write it "
       "without quotes\n"},
      {Object("tote bag") + "gusset = 400\nfill = 2\nseed = 0.5\n",
       "9:10: error: stage.object.gusset = 400: expected at most 380 mm, the smaller side of the "
       "front\n"
       "10:8: error: stage.object.fill = 2: expected a number from 0 to 1\n"
       "11:8: error: stage.object.seed = 0.5: expected a whole number from 0 to 1000000000\n"},
      // Their makers want room for seams, and an end to cloth's coming to rest.
      {Object("tote bag") + "size = [1, 900]\nhandle = 5000\n",
       "9:9: error: stage.object.size = [1, 900]: expected a length from 50 to 800 mm\n"
       "9:12: error: stage.object.size = [1, 900]: expected a length from 50 to 800 mm\n"
       "10:10: error: stage.object.handle = 5000: expected a length from 20 to 1000 mm\n"},
      {Object("paper bag") + "size = [1, 300, 100]\n",
       "9:9: error: stage.object.size = [1, 300, 100]: expected a length from 20 to 1000 mm\n"},
      {Object("paper bag") + "handles = \"rope\"\n",
       "9:11: error: stage.object.handles = \"rope\": expected one of \"cord\", \"flat\" and "
       "\"none\"\n"},
      {Object("carton"),
       "6:1: error: stage.object.dieline: missing; expected a dieline's file, .svg, or a style\n"
       "6:1: error: stage.object.board: missing; expected the board's thickness in mm\n"},
      {Object("carton") + "style = \"0202\"\nboard = 3\ncut = \"cut\"\n",
       "6:1: error: stage.object.inner: missing; expected [length, breadth, height] within in mm\n"
       "9:9: error: stage.object.style = \"0202\": expected one of \"0201\", \"0427\", \"tuck\", "
       "\"reverse tuck\" "
       "and "
       "\"sleeve\"\n"
       "11:7: error: stage.object.cut = \"cut\": expected dieline beside it\n"},
      {Object("carton") + "dieline = \"d.svg\"\nstyle = \"tuck\"\nboard = 3\ninner = [1, 2, 3]\n"
                          "closed = 1.5\nlid = 200\n",
       "10:9: error: stage.object.style = \"tuck\": expected dieline or style, not both\n"
       "12:9: error: stage.object.inner = [1, 2, 3]: expected it beside style alone; a dieline has "
       "its own size\n"
       "13:10: error: stage.object.closed = 1.5: expected a number from 0 to 1\n"
       "14:7: error: stage.object.lid = 200: expected degrees folded, from 0 to 180\n"},
      {Object("mesh") + "mm_per_unit = 0\n",
       "6:1: error: stage.object.file: missing; expected the mesh's file, .obj\n"
       "9:15: error: stage.object.mm_per_unit = 0: expected how many mm one unit of the file is, "
       "above 0, at most 1000000\n"},
  });
}

TEST_CASE("Stage mistakes: materials", "[scene][bad-input]") {
  const std::string wall = Object("wall");  // lines 1 to 8
  CheckAll({
      {wall + "substrate = 5\n",
       "9:13: error: stage.object.substrate = 5: expected a preset's name or { reflectance = [r, "
       "g, b], gloss = 0.0 }\n"},
      {wall + "substrate = { reflectance = [1, 1, 2] }\n",
       "9:36: error: stage.object.substrate.reflectance = [1, 1, 2]: expected a reflectance above "
       "0, at most 1\n"},
      {wall + "metal = \"tin\"\n",
       "9:9: error: stage.object.metal = \"tin\": expected one of \"gold\", \"silver\", \"copper\" "
       "and \"aluminium\"\n"},
      {wall + "substrate = \"ceramic\"\nmetal = \"gold\"\nglass = true\n",
       "10:9: error: stage.object.metal = \"gold\": expected substrate or metal, not both\n"
       "11:9: error: stage.object.glass = true: expected metal or glass, not both\n"},
      {wall + "glass = \"clear\"\nroughness = 2\n",
       "9:9: error: stage.object.glass = \"clear\": expected true or false\n"
       "10:13: error: stage.object.roughness = 2: expected a roughness from 0 (mirror) to 1\n"},
      {wall + "texture = \"a.jpg\"\n",
       "9:11: error: stage.object.texture = \"a.jpg\": expected { colour = \"FILE\", tile = "
       "[width, "
       "height] }, tile in mm\n"},
      {wall + "texture = {}\n",
       "9:11: error: stage.object.texture.colour: missing; expected a picture, or normal, "
       "roughness "
       "or displacement in its place\n"
       "9:11: error: stage.object.texture.tile: missing; expected mm that one copy covers: a "
       "number, or [width, height]\n"},
      {wall + "texture = { colour = \"../c.jpg\", tile = 0, scale = 3 }\n",
       "9:22: error: stage.object.texture.colour = \"../c.jpg\": lies outside the scene's folder; "
       "name its folder with --allow FOLDER\n"
       "9:41: error: stage.object.texture.tile = 0: expected a length above 0 mm, at most 1000000 "
       "mm\n"
       "9:44: error: stage.object.texture.scale: unknown key; known here: colour, normal, "
       "roughness, displacement, tile, turn, normal_strength, displacement_mm\n"},
      {wall + "texture = { colour = \"c.jpg\", tile = [1], displacement_mm = 1, normal_strength = "
              "11 }\n",
       "9:38: error: stage.object.texture.tile = [1]: expected mm that one copy covers: a number, "
       "or [width, height]\n"
       "9:61: error: stage.object.texture.displacement_mm = 1: expected displacement beside it\n"
       "9:82: error: stage.object.texture.normal_strength = 11: expected a factor from 0 to 10\n"
       "9:82: error: stage.object.texture.normal_strength = 11: expected normal beside it\n"},
      {wall + "texture = { displacement = \"d.png\", tile = 9 }\n",
       "9:11: error: stage.object.texture.displacement_mm: missing; expected the height of the "
       "picture's white above its black, mm\n"},
      {wall + "[[stage.object.part]]\nmetal = \"gold\"\n[[stage.object.part]]\nname = \"ends\"\n"
              "[[stage.object.part]]\nname = \"ends\"\nturn = 5\n",
       "9:1: error: stage.object.part.name: missing; expected the part's name, such as "
       "\"handles\"\n"
       "14:8: error: stage.object.part.name = \"ends\": already used in line 11\n"
       "15:1: error: stage.object.part.turn: unknown key; known here: name, substrate, metal, "
       "glass, roughness, texture\n"},
  });
  // A preset that is misspelt: the list of all of them is long.
  CHECK(ErrorsOf(wall + "substrate = \"photo\"\n")
            .find("substrate = \"photo\": unknown preset; there are \"coated paper\"") !=
        std::string::npos);
  CHECK(ErrorsOf(wall + "substrate = \"photo\"\n").find("read it from the photo") ==
        std::string::npos);
}

TEST_CASE("Stage mistakes: faces that placements and the frame name", "[scene][bad-input]") {
  const auto placed = [](const std::string& surface) {
    return kStage + "[[placement]]\nsurface = " + surface + "\nartwork = \"mark\"\n";
  };
  CheckAll({
      {placed("\"postr.front\""),
       "11:11: error: placement.surface = \"postr.front\": no object of the stage has this name; "
       "did you mean \"poster\"?\n"},
      {placed("\"bag\"") + "[frame]\nsurface = \"bag\"\n",
       "11:11: error: placement.surface = \"bag\": no object of the stage has this name; there is "
       "\"poster\"\n"},
      {placed("\"poster.\""),
       "11:11: error: placement.surface = \"poster.\": expected a face's name after the dot, such "
       "as \"carton.front\"\n"},
      {placed("\"\""),
       "11:11: error: placement.surface = \"\": expected some text between the "
       "quotes\n"},
      {placed("[\"poster.front\", \"poster.back\"]"),
       "11:12: error: placement.surface = \"poster.front\": expected a surface's name, or names of "
       "a box's faces that join edge to edge, such as [\"carton.front\", \"carton.right\"]\n"},
      {kStage + "metal = \"gold\"\n[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\n",
       "12:11: error: placement.surface = \"poster\": expected an object of a substrate; "
       "\"poster\" is of metal\n"},
      {kStage + "[frame]\nsurface = \"glass\"\n",
       "11:11: error: frame.surface = \"glass\": no object of the stage has this name; there is "
       "\"poster\"\n"},
      // Of an object that was refused nothing further is said.
      {kStage + "[[stage.object]]\nname = \"ball\"\nsolid = \"sphere\"\n[[placement]]\nsurface = "
                "\"ball.front\"\nartwork = \"mark\"\nwidth = 0\n",
       "12:9: error: stage.object.solid = \"sphere\": expected one of \"sheet\", \"wall\", "
       "\"floor\", \"sweep\", \"block\", \"tube\", \"cup\", \"can\", \"tote bag\", \"paper bag\", "
       "\"carton\" and \"mesh\"\n"
       "16:9: error: placement.width = 0: expected a length above 0 mm, at most 1000000 mm\n"},
  });
}

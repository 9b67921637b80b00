// Every mistake a scene can hold, by its exact message.
#include <catch2/catch.hpp>

#include "scene_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

const std::string kPlacementStart = "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\n";

struct Case {
  std::string text;
  std::string errors;  // all of them, without "scenes/x.toml:"
};

void CheckAll(const std::vector<Case>& cases) {
  for (const Case& each : cases) {
    INFO(each.text);
    std::string expected;
    for (size_t at = 0; at < each.errors.size();) {
      const size_t end = std::min(each.errors.find('\n', at), each.errors.size());
      expected += "scenes/x.toml:" + each.errors.substr(at, end - at) + "\n";
      at = end + 1;
    }
    CHECK(ErrorsOf(each.text) == expected);
  }
}

}  // namespace

TEST_CASE("Mistakes at the top and in [photo]", "[scene][bad-input]") {
  CheckAll({
      {"",
       "1:1: error: photo: missing; expected a [photo] table with file = \"...\", or a [stage]\n"
       "1:1: error: surface: missing; expected at least one [[surface]] table"},
      {"title = 5\n" + kPhoto + kPoster, "1:9: error: title = 5: expected a string, not a number"},
      {"title = \"a\\nb\"\n" + kPhoto + kPoster,
       "1:9: error: title = \"a\\x0ab\": expected one line of text, without control characters"},
      {"titel = \"a\"\n" + kPhoto + kPoster, "1:1: error: titel: unknown key; did you mean title?"},
      {"author = \"a\"\n" + kPhoto + kPoster,
       "1:1: error: author: unknown key; known here: title, swatch, print_condition, photo, stage, "
       "surface, placement, frame, "
       "colourway"},
      {"photo = \"wall.jpg\"\n" + kPoster,
       "1:9: error: photo = \"wall.jpg\": expected a [photo] table with file = \"...\""},
      {"[photo]\n" + kPoster,
       "1:1: error: photo.file: missing; expected the photograph's file name"},
      {"[photo]\nfile = \"\"\n" + kPoster,
       "2:8: error: photo.file = \"\": expected some text between the quotes"},
      {"[photo]\nfile = \"a\\u0000b\"\n" + kPoster,
       "2:8: error: photo.file = \"a\\x00b\": expected one line of text, without control "
       "characters"},
      {"[photo]\nfile = \"../wall.jpg\"\n" + kPoster,
       "2:8: error: photo.file = \"../wall.jpg\": lies outside the scene's folder; name its folder "
       "with "
       "--allow FOLDER"},
      {kPhoto + "focal_px = 0\n" + kPoster,
       "3:12: error: photo.focal_px = 0: expected a focal length above 0 px, at most 10000000 px"},
      {kPhoto + "focal_px = inf\n" + kPoster,
       "3:12: error: photo.focal_px = inf: expected a finite number"},
      {kPhoto + "focal_35mm = \"28\"\n" + kPoster,
       "3:14: error: photo.focal_35mm = \"28\": expected a number, not a string; write it without "
       "quotes"},
      {kPhoto + "focal_35mm = 28\nfocal_px = 900.0\n" + kPoster,
       "3:14: error: photo.focal_35mm = 28: expected focal_px or focal_35mm, not both"},
  });
}

TEST_CASE("Mistakes in a surface", "[scene][bad-input]") {
  const std::string start =
      kPhoto + "[[surface]]\nname = \"poster\"\nshape = \"plane\"\n";  // lines 3 to 5
  CheckAll({
      {kPhoto + "[surface]\nname = \"a\"\n",
       "3:1: error: surface = { name = \"a\" }: expected [[surface]] tables, in double brackets"},
      {"surface = []\n" + kPhoto,
       "1:11: error: surface = []: expected at least one [[surface]] table"},
      {"surface = [1]\n" + kPhoto,
       "1:12: error: surface: expected [[surface]] tables, in double brackets"},
      {kPhoto + "[[surface]]\n",
       "3:1: error: surface.name: missing; expected a name, to which placements refer\n"
       "3:1: error: surface.shape: missing; expected \"plane\", \"cylinder\", \"cone\", \"box\", "
       "\"patch\" or \"mesh\""},
      {kPhoto + kPoster + kPoster,
       "9:8: error: surface.name = \"poster\": expected a name of its own; the surface in line 4 "
       "has this "
       "one"},
      {kPhoto + "[[surface]]\nname = \"mug\"\nshape = \"sphere\"\nradius = 80\n",
       "5:9: error: surface.shape = \"sphere\": expected \"plane\", \"cylinder\", \"cone\", "
       "\"box\", \"patch\" or \"mesh\""},
      {kPhoto + "[[surface]]\nname = \"mug\"\nshape = \"plne\"\ncorner = 8\n",
       "3:1: error: surface.corners: missing; expected four points [x, y] in photo px, clockwise "
       "from the "
       "surface's own top left\n"
       "5:9: error: surface.shape = \"plne\": expected \"plane\", \"cylinder\", \"cone\", \"box\", "
       "\"patch\" or \"mesh\"; did you mean "
       "\"plane\"?\n"
       "6:1: error: surface.corner: unknown key; did you mean corners?"},
      {start + "size = [420, -1]\n" + kCorners,
       "6:14: error: surface.size = [420, -1]: expected a length above 0 mm, at most 1000000 mm"},
      {start + "size = 420\n" + kCorners,
       "6:8: error: surface.size = 420: expected [width, height] in mm"},
      {start + "size = [420, 594, 1]\n" + kCorners,
       "6:8: error: surface.size = [420, 594, 1]: expected [width, height] in mm"},
      {start + "size = [nan, true]\n" + kCorners,
       "6:9: error: surface.size = [nan, true]: expected a finite number\n"
       "6:14: error: surface.size = [nan, true]: expected a number, not true or false"},
      {start + "corners = [[0, 0], [1, 0], [1, 1]]\n",
       "6:11: error: surface.corners = [[0, 0], [1, 0], [1, 1]]: expected four points [x, y] in "
       "photo px, "
       "clockwise from the surface's own top left"},
      {start + "corners = [[0, 0], [1, 0],\n [1, 1, 1], [0, 1e7]]\n",
       "7:2: error: surface.corners = [[0, 0], [1, 0], [1, 1, 1], [0, 10000000.0]]: point 3: "
       "expected [x, "
       "y] in photo px\n"
       "7:17: error: surface.corners = [[0, 0], [1, 0], [1, 1, 1], [0, 10000000.0]]: point 4: "
       "expected a "
       "number from -1000000 to 1000000"},
      {start + "corners = [[0, 0], [1, 0], [0, 0.0], [0, 1]]\n",
       "6:28: error: surface.corners = [[0, 0], [1, 0], [0, 0.0], [0, 1]]: point 3: expected four "
       "different "
       "points, this one is there already"},
      {start + "marks = [[1, 2, 3, 4]]\n",
       "6:9: error: surface.marks = [[1, 2, 3, 4]]: expected `size` beside it; without the size no "
       "place on "
       "the surface is known\n"
       "6:9: error: surface.marks = [[1, 2, 3, 4]]: expected 4 to 256 rows [photo_x, photo_y, "
       "mm_x, mm_y] "
       "where `corners` is left out"},
      {kPhoto + kPoster + "marks = [[1, 2, 3]]\n",
       "8:10: error: surface.marks = [[1, 2, 3]]: row 1: expected [photo_x, photo_y, mm_x, mm_y]"},
      {kPhoto + kPoster + "in_front = [[[0, 0], [1, 1]], [[0, 0], [1, 1], [\"2\", 2]]]\n",
       "8:13: error: surface.in_front = [[[0, 0], [1, 1]], [[0, 0], [1, 1], [\"2\", 2]]]: outline "
       "1: "
       "expected 3 to 10000 points [x, y] in photo px\n"
       "8:49: error: surface.in_front = [[[0, 0], [1, 1]], [[0, 0], [1, 1], [\"2\", 2]]]: outline "
       "2, point "
       "3: expected a number, not a string; write it without quotes"},
      {kPhoto + kPoster + "in_front = 1979-05-27\n",
       "8:12: error: surface.in_front = 1979-05-27: expected at most 256 outlines, each [[x, y], "
       "[x, y], [x, "
       "y], ...]"},
      {kPhoto + kPoster + "sharpness = \"crisp\"\n",
       "8:13: error: surface.sharpness = \"crisp\": expected \"photo\" or \"artwork\""},
      {kPhoto + kPoster + "sharpness = 2\n",
       "8:13: error: surface.sharpness = 2: expected \"photo\" or \"artwork\""},
      {kPhoto + kPoster + "matte = \"/etc/passwd\"\n",
       "8:9: error: surface.matte = \"/etc/passwd\": lies outside the scene's folder; name its "
       "folder with "
       "--allow FOLDER"},
  });
}

TEST_CASE("Mistakes in a substrate", "[scene][bad-input]") {
  const std::string names =
      "there are \"coated paper\", \"uncoated paper\", \"magazine paper\", \"white-lined board\", "
      "\"brown "
      "kraft board\", \"natural cotton\", \"bleached cotton\", \"black cotton\", \"plaster wall\", "
      "\"concrete wall\", \"brick wall\", \"white painted wall\", \"gray board\", \"ceramic\", "
      "\"white "
      "film\", \"clear film\", \"paper label\", \"kraft label\", \"brushed metal\" and \"white "
      "vinyl "
      "cloth\", or \"photo\" to read it from the photo";
  CheckAll({
      {kPhoto + kPoster + "substrate = \"Coated papr\"\n",
       "8:13: error: surface.substrate = \"Coated papr\": unknown preset; did you mean \"coated "
       "paper\"? " +
           names},
      {kPhoto + kPoster + "substrate = \"velvet\"\n",
       "8:13: error: surface.substrate = \"velvet\": unknown preset; " + names},
      {kPhoto + kPoster + "substrate = 0.8\n",
       "8:13: error: surface.substrate = 0.8: expected a preset's name, \"photo\" or { "
       "reflectance = [r, g, b], gloss = 0.0 }"},
      {kPhoto + kPoster + "substrate = \"Photo\"\nold_print = \"Remove\"\n",
       "8:13: error: surface.substrate = \"Photo\": unknown preset; " + names +
           "\n9:13: error: surface.old_print = \"Remove\": expected \"keep\" or \"remove\""},
      {kPhoto + kPoster + "old_print = true\n",
       "8:13: error: surface.old_print = true: expected \"keep\" or \"remove\""},
      {kPhoto + kPoster + "old_prints = \"keep\"\n",
       "8:1: error: surface.old_prints: unknown key; did you mean old_print?"},
      {kPhoto + kPoster + "substrate = { gloss = 2 }\n",
       "8:13: error: surface.substrate.reflectance: missing; expected [r, g, b], linear, each "
       "above 0 and at most 1; or lab, colour or spectrum\n"
       "8:23: error: surface.substrate.gloss = 2: expected a gloss from 0 (matt) to 1 (mirror)"},
      {kPhoto + kPoster + "substrate = { reflectance = [0.8, 0, 1.1], glos = 0.0 }\n",
       "8:35: error: surface.substrate.reflectance = [0.8, 0, 1.1]: expected a reflectance above "
       "0, at most "
       "1\n"
       "8:38: error: surface.substrate.reflectance = [0.8, 0, 1.1]: expected a reflectance above "
       "0, at most "
       "1\n"
       "8:44: error: surface.substrate.glos: unknown key; did you mean gloss?"},
      {kPhoto + kPoster + "substrate = { lab = [50, 140, 0] }\n",
       "8:21: error: surface.substrate.lab = [50, 140, 0]: no material has this colour; expected "
       "L* "
       "above 0, at most 100, and a* and b* that a surface of this lightness can have"},
      {kPhoto + kPoster + "substrate = { lab = [0, 0, 0], hiding = 2 }\n",
       "8:21: error: surface.substrate.lab = [0, 0, 0]: no material has this colour; expected L* "
       "above 0, at most 100, and a* and b* that a surface of this lightness can have\n"
       "8:41: error: surface.substrate.hiding = 2: expected a share from 0 (clear) to 1 (hides "
       "all)"},
      {kPhoto + kPoster + "substrate = { lab = [50, 0, 0], reflectance = [0.5, 0.5, 0.5] }\n",
       "8:21: error: surface.substrate.lab = [50, 0, 0]: expected reflectance or lab, not both"},
  });
}

TEST_CASE("Mistakes in a placement", "[scene][bad-input]") {
  const std::string start = kPhoto + kPoster + kPlacementStart;  // lines 8 to 10
  CheckAll({
      {kPhoto + kPoster + "[[placement]]\n",
       "8:1: error: placement.surface: missing; expected the name of a surface\n"
       "8:1: error: placement.artwork: missing; expected a slot's name, or a file"},
      {kPhoto + kPoster + "[[placement]]\nsurface = \"postr\"\nartwork = \"mark\"\n",
       "9:11: error: placement.surface = \"postr\": no surface has this name; did you mean "
       "\"poster\"?"},
      {kPhoto + kPoster + "[[placement]]\nsurface = \"mug\"\nartwork = \"mark\"\n",
       "9:11: error: placement.surface = \"mug\": no surface has this name; there is \"poster\""},
      {kPhoto + kPoster + "[[placement]]\nsurface = \"poster\"\nartwork = \"mark.gif\"\n",
       "10:11: error: placement.artwork = \"mark.gif\": expected a slot's name, of letters, "
       "digits, - and _, "
       "or a file ending in svg, pdf, png, jpg, jpeg, tif, tiff, webp"},
      {kPhoto + kPoster + "[[placement]]\nsurface = \"poster\"\nartwork = \"../mark.svg\"\n",
       "10:11: error: placement.artwork = \"../mark.svg\": lies outside the scene's folder; name "
       "its folder "
       "with --allow FOLDER"},
      {start + "width = 0\n",
       "11:9: error: placement.width = 0: expected a length above 0 mm, at most 1000000 mm"},
      {start + "width = 10\nheight = 20\n",
       "12:10: error: placement.height = 20: expected width or height, not both; the other follows "
       "from the "
       "artwork's shape"},
      {start + "height = 20\nfit = \"cover\"\n",
       "12:7: error: placement.fit = \"cover\": expected fit or height, not both"},
      {start + "fit = \"fill\"\n",
       "11:7: error: placement.fit = \"fill\": expected \"contain\", \"cover\" or \"stretch\""},
      {start + "at = [1]\n",
       "11:6: error: placement.at = [1]: expected [x, y] in mm from the top left"},
      {start + "rotate = 90000\n",
       "11:10: error: placement.rotate = 90000: expected an angle in degrees, from -36000 to "
       "36000"},
      {start + "rotate = 07:32:00\n",
       "11:10: error: placement.rotate = 07:32:00: expected a number, not a date or time"},
      {start + "ink = { opacity = 1.5, white = 0 }\n",
       "11:19: error: placement.ink.opacity = 1.5: expected an opacity from 0 to 1\n"
       "11:32: error: placement.ink.white = 0: expected a reflectance above 0, at most 1"},
      {start + "ink = \"opaqe\"\n",
       "11:7: error: placement.ink = \"opaqe\": unknown preset; did you mean \"opaque\"? there are "
       "\"transparent\", \"opaque\", \"process inks\", \"screen ink, clear\", \"screen ink\", "
       "\"screen "
       "ink, two passes\", \"wall paint\", \"washed-out print\", \"cut film\", \"white ink\" and "
       "\"black stamp\""},
      {start + "ink = { hiding = 1, opacity = 1, white = 0.99 }\n",
       "11:18: error: placement.ink.hiding = 1: expected a contrast ratio from 0 (clear) to 0.995\n"
       "11:18: error: placement.ink.hiding = 1: expected opacity or hiding, not both\n"
       "11:42: error: placement.ink.white = 0.99: expected a reflectance above 0, at most 0.98"},
      {start + "ink = { opacity = 1, colour = \"#123\", tone = \"hard\" }\n",
       "11:31: error: placement.ink.colour = \"#123\": expected hiding beside it, such as hiding = "
       "0\n"
       "11:46: error: placement.ink.tone = \"hard\": expected \"luminance\" or \"solid\""},
      {start + "ink = { hiding = 0, colour = \"#123\" }\nwhite = \"ink\"\noverlap = \"none\"\n",
       "12:9: error: placement.white = \"ink\": expected \"paper\": an ink of one colour has no "
       "white\n"
       "13:11: error: placement.overlap = \"none\": expected \"overprint\" or \"knock_out\""},
      {start + "underbase = \"white in\"\nstock = 1\n",
       "11:13: error: placement.underbase = \"white in\": unknown preset; did you mean \"white "
       "ink\"? "
       "there are \"transparent\", \"opaque\", \"process inks\", \"screen ink, clear\", \"screen "
       "ink\", \"screen ink, two passes\", \"wall paint\", \"washed-out print\", \"cut film\", "
       "\"white "
       "ink\" and \"black stamp\"\n"
       "12:9: error: placement.stock = 1: expected a substrate's name or { reflectance = [r, g, b] "
       "}"},
      {start + "colour = 1\n",
       "11:1: error: placement.colour: unknown key; known here: surface, artwork, width, height, "
       "at, fit, "
       "rotate, ink, texture, gloss, underbase, stock, overlap, white, thickness, wrinkle, "
       "clear_space, "
       "clear_space_mm, finish"},
      {start + "thickness = 20.5\nwrinkle = -0.1\n",
       "11:13: error: placement.thickness = 20.5: expected a thickness in mm, from 0 to 20\n"
       "12:11: error: placement.wrinkle = -0.1: expected a number from 0 to 1"},
      {start + "thickness = -1\nwrinkle = \"some\"\n",
       "11:13: error: placement.thickness = -1: expected a thickness in mm, from 0 to 20\n"
       "12:11: error: placement.wrinkle = \"some\": expected a number, not a string; write it "
       "without quotes"},
      {start + "thickness = nan\nwrinkle = 1.01\n",
       "11:13: error: placement.thickness = nan: expected a finite number\n"
       "12:11: error: placement.wrinkle = 1.01: expected a number from 0 to 1"},
      {start + "thicknes = 1\n",
       "11:1: error: placement.thicknes: unknown key; did you mean thickness?"},
      {start + "thickness = 0\nwrinkle = 1\n", ""},
      {start + "thickness = 20\nwrinkle = 0\n", ""},
  });
}

TEST_CASE("Lengths in mm need a surface whose size is written", "[scene][bad-input]") {
  const std::string start =
      kPhoto + "[[surface]]\nname = \"free\"\nshape = \"plane\"\n" + kCorners +
      "[[placement]]\nsurface = \"free\"\nartwork = \"mark\"\n";  // lines 3 to 9
  const std::string why =
      ": expected no length in mm, as surface \"free\" has no size; write its size, or use fit";
  CheckAll({
      {start + "fit = \"contain\"\nrotate = 5\n", ""},
      {start + "width = 10\nat = [1, 2]\n",
       "10:9: error: placement.width = 10" + why + "\n11:6: error: placement.at = [1, 2]" + why},
      {start + "height = 10\n", "10:10: error: placement.height = 10" + why},
      {start + "thickness = 1\nwrinkle = 1\n",
       "10:13: error: placement.thickness = 1: expected no thickness, as surface \"free\" has no "
       "size; write its size\n"
       "11:11: error: placement.wrinkle = 1: expected no wrinkle, as surface \"free\" has no size; "
       "write its size"},
  });
}

TEST_CASE("A surface of an unknown shape makes no further noise", "[scene][bad-input]") {
  const std::string ball = kPhoto +
                           "[[surface]]\nname = \"ball\"\nshape = \"sphere\"\nsize = [1, 2, 3]\n" +
                           "[surface.vertices]\nfront_top_left = [655.0, 318.5]\n";
  const std::string error =
      "5:9: error: surface.shape = \"sphere\": expected \"plane\", \"cylinder\", \"cone\", "
      "\"box\", \"patch\" or \"mesh\"";
  CheckAll({
      {ball + "[[placement]]\nsurface = \"ball\"\nartwork = \"mark\"\nwidth = 5\n", error},
      {ball + "[[placement]]\nsurface = \"ball.front\"\nartwork = \"mark\"\n", error},
  });
}

TEST_CASE("What is no TOML is reported at its place, on one line", "[scene][bad-input]") {
  CheckAll({
      {"title = \n", "1:9: error: expected TOML; in key-value pair: expected value, saw '\\n'"},
      {"title = tru\n", "1:12: error: expected TOML; in boolean: expected 'true', saw 'tru\\x0a'"},
      {kPhoto + "file = \"b\"\n",
       "3:8: error: expected TOML; in key-value pair: cannot redefine existing string 'file'"},
      {"a = [1, 2\n", "1:11: error: expected TOML; in array: encountered end-of-file"},
      {"a b = 1\n", "1:3: error: expected TOML; in key-value pair: expected '=', saw 'b'"},
  });
}

TEST_CASE("Many mistakes at once come in the order of the lines", "[scene][bad-input]") {
  CHECK(ErrorsOf(R"([[placement]]
surface = "mgu"
artwork = "a b"
width = 1
height = true
[[surface]]
shape = "plane"
name = "mug"
size = [1, "2"]
sorners = []
substrate = { reflectance = 1 }
[photo]
fil = "wall.jpg"
focal_px = nan
[other]
)") == "scenes/x.toml:2:11: error: placement.surface = \"mgu\": no surface has this name; did you "
       "mean "
       "\"mug\"?\n"
       "scenes/x.toml:3:11: error: placement.artwork = \"a b\": expected a slot's name, of "
       "letters, digits, "
       "- and _, or a file ending in svg, pdf, png, jpg, jpeg, tif, tiff, webp\n"
       "scenes/x.toml:5:10: error: placement.height = true: expected a number, not true or false\n"
       "scenes/x.toml:5:10: error: placement.height = true: expected width or height, not both; "
       "the other "
       "follows from the artwork's shape\n"
       "scenes/x.toml:6:1: error: surface.corners: missing; expected four points [x, y] in photo "
       "px, "
       "clockwise from the surface's own top left\n"
       "scenes/x.toml:9:12: error: surface.size = [1, \"2\"]: expected a number, not a string; "
       "write it "
       "without quotes\n"
       "scenes/x.toml:10:1: error: surface.sorners: unknown key; did you mean corners?\n"
       "scenes/x.toml:11:29: error: surface.substrate.reflectance = 1: expected [r, g, b], linear, "
       "each "
       "above 0 and at most 1\n"
       "scenes/x.toml:12:1: error: photo.file: missing; expected the photograph's file name\n"
       "scenes/x.toml:13:1: error: photo.fil: unknown key; did you mean file?\n"
       "scenes/x.toml:14:12: error: photo.focal_px = nan: expected a finite number\n"
       "scenes/x.toml:15:2: error: other: unknown key; known here: title, swatch, print_condition, "
       "photo, stage, surface, placement, frame, colourway\n");
}

TEST_CASE("Mistakes in relief", "[scene][bad-input]") {
  const std::string forms =
      "expected \"none\", \"photo\", { heights = \"folds.png\", mm = 8 } or { normals = "
      "\"folds-n.png\" }";
  CheckAll({
      {kPhoto + kPoster + "relief = 1\n", "8:10: error: surface.relief = 1: " + forms},
      {kPhoto + kPoster + "relief = \"folds\"\n",
       "8:10: error: surface.relief = \"folds\": " + forms},
      {kPhoto + kPoster + "relief = {}\n",
       "8:10: error: surface.relief.heights: missing; expected a gray picture of the heights, or "
       "`normals` in its place"},
      {kPhoto + kPoster + "relief = { heights = \"f.png\" }\n",
       "8:10: error: surface.relief.mm: missing; expected the height of white above black, mm"},
      {kPhoto + kPoster + "relief = { heights = \"f.png\", mm = 0 }\n",
       "8:36: error: surface.relief.mm = 0: expected a height of white above 0 mm, at most 10000 "
       "mm"},
      {kPhoto + kPoster + "relief = { heights = \"f.png\", mm = 3, normals = \"n.png\" }\n",
       "8:49: error: surface.relief.normals = \"n.png\": expected heights or normals, not both"},
      {kPhoto + kPoster + "relief = { normals = \"n.png\", mm = 3 }\n",
       "8:36: error: surface.relief.mm = 3: expected none beside normals: they tell slopes, not "
       "heights"},
      {kPhoto + kPoster + "relief = { normals = \"../../n.png\" }\n",
       "8:22: error: surface.relief.normals = \"../../n.png\": lies outside the scene's folder; "
       "name "
       "its folder with --allow FOLDER"},
      {kPhoto + kPoster + "relief = { normal = \"n.png\" }\n",
       "8:10: error: surface.relief.heights: missing; expected a gray picture of the heights, or "
       "`normals` in its place\n"
       "8:12: error: surface.relief.normal: unknown key; did you mean normals?"},
      {kPhoto + "[[surface]]\nname = \"poster\"\nshape = \"plane\"\n" + kCorners +
           "relief = { heights = \"f.png\", mm = 3 }\n",
       "7:10: error: surface.relief = { heights = \"f.png\", mm = 3 }: expected `size` of the "
       "surface "
       "beside it: heights are in mm"},
      {kPhoto + kPoster + "relief_amount = 1\n",
       "8:17: error: surface.relief_amount = 1: expected a `relief` beside it that it can weaken "
       "or "
       "strengthen"},
      {kPhoto + kPoster + "relief = \"photo\"\nrelief_amount = 3.5\nlight_from = [0, 0, 0]\n",
       "9:17: error: surface.relief_amount = 3.5: expected a number from 0 to 3\n"
       "10:14: error: surface.light_from = [0, 0, 0]: expected a direction other than [0, 0, 0]: "
       "[right, up, towards the camera], such as [-1, 1, 1] for light from the upper left"},
      {kPhoto + kPoster + "relief = \"photo\"\nlight_from = 45\n",
       "9:14: error: surface.light_from = 45: expected [right, up, towards the camera], such as "
       "[-1, "
       "1, 1] for light from the upper left"},
      {kPhoto + kPoster + "light_from = [1, 1, 1]\n",
       "8:14: error: surface.light_from = [1, 1, 1]: expected `relief = \"photo\"` beside it, "
       "or a finish on the surface, which reads it"},
  });
}

namespace {

Scene Parsed(const std::string& text) {
  auto scene = Parse(text);
  if (!scene) FAIL(FormatErrors(scene.errors()));
  return std::move(*scene);
}

}  // namespace

TEST_CASE("Relief as read", "[scene][closed-form]") {
  const std::string photo = kPhoto + kPoster + "relief = \"photo\"\nrelief_amount = 0.5\n" +
                            "light_from = [-3, 4, 0]\n" + kPlacementStart;
  const Scene lit = Parsed(photo);
  const ReliefMarks& relief = lit.surfaces[0].relief;
  CHECK(relief.kind == ReliefKind::kPhoto);
  CHECK(relief.amount == 0.5);
  REQUIRE(relief.light_from);
  // Camera axes: up is -y.
  CHECK((*relief.light_from - Eigen::Vector3d(-0.6, -0.8, 0)).norm() < 1e-12);
  const Scene high =
      Parsed(kPhoto + kPoster + "relief = { heights = \"f.png\", mm = 8 }\n" + kPlacementStart);
  CHECK(high.surfaces[0].relief.kind == ReliefKind::kHeights);
  CHECK(high.surfaces[0].relief.white_mm == 8);
  CHECK(high.surfaces[0].relief.amount == 1);
  CHECK_FALSE(high.surfaces[0].relief.light_from);
  CHECK(Parsed(kPhoto + kPoster + kPlacementStart).surfaces[0].relief.kind == ReliefKind::kNone);
}

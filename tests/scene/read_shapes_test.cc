// The keys of the shapes that are not planes, and of what stands in front.

#include <catch2/catch.hpp>

#include "scene_text.h"

namespace wheatpaste {
namespace {

using namespace test;

const std::string kMug =
    "[[surface]]\nname = \"mug\"\nshape = \"cylinder\"\ndiameter = 80\nheight = 96\n"
    "rim_top = [[612.3,402.8],[901.0,466.1],[1190.2,404.0]]\n"
    "rim_bottom = [[630.8,1010.4],[901.5,1102.7],[1172.4,1011.9],[700,1050]]\n";  // lines 3 to 9
const std::string kCarton =
    "[[surface]]\nname = \"carton\"\nshape = \"box\"\nsize = [250, 180, 90]\n[surface.vertices]\n"
    "front_top_left = [655.0, 318.5]\nfront_top_right = [900, 330]\nfront_bottom_left = [660, "
    "600]\n"
    "front_bottom_right = [890, 620]\nback_top_right = [980, 280]\n";  // lines 3 to 12

// Source  the scene file of the contract (DEVELOPERS.md), its mug.
TEST_CASE("Scene: the contract's cylinder, value by value", "[scene][published]") {
  const auto scene = Parse(kPhoto + kMug + "turn = -20\n");
  REQUIRE(scene.ok());
  const Surface& mug = scene->surfaces[0];
  CHECK(mug.shape == Shape::kCylinder);
  CHECK(mug.rims.diameter_top == 80);
  CHECK(mug.rims.diameter_bottom == 80);
  CHECK(mug.rims.height == 96);
  CHECK(mug.rims.turn_degrees == -20);
  CHECK(mug.rims.diameter_key == "surface.diameter");
  CHECK(mug.rims.height_place.line == 7);
  REQUIRE(mug.rims.top.points.size() == 3);
  CHECK(mug.rims.top.points[1] == PhotoPx{901.0, 466.1});
  CHECK(mug.rims.top.place.line == 8);
  CHECK(mug.rims.bottom.points.size() == 4);
  CHECK(mug.rims.bottom.key == "surface.rim_bottom");
}

// Source  as above, its cup.
TEST_CASE("Scene: the contract's cone", "[scene][published]") {
  std::string text = kPhoto + kMug;
  text.replace(text.find("cylinder\"\ndiameter = 80"), 23,
               "cone\"\ndiameter_top = 80\ndiameter_bottom = 56");
  const auto scene = Parse(text);
  REQUIRE(scene.ok());
  CHECK(scene->surfaces[0].shape == Shape::kCone);
  CHECK(scene->surfaces[0].rims.diameter_top == 80);
  CHECK(scene->surfaces[0].rims.diameter_bottom == 56);
  CHECK(scene->surfaces[0].rims.turn_degrees == 0);
}

// Source  as above, its carton; faces that run across an edge are this program's own addition.
TEST_CASE("Scene: the contract's box, its faces, and faces side by side", "[scene][published]") {
  const auto scene =
      Parse(kPhoto + kCarton +
            "[[placement]]\nsurface = \"carton.right\"\nartwork = \"mark\"\nwidth = 40\n"
            "[[placement]]\nsurface = [\"carton.front\", \"carton.right\"]\nartwork = \"strip\"\n");
  REQUIRE(scene.ok());
  const BoxMarks& box = scene->surfaces[0].box;
  CHECK(box.size[0] == 250);
  CHECK(box.size[1] == 180);
  CHECK(box.size[2] == 90);
  REQUIRE(box.vertices.size() == 5);
  CHECK(std::string(kBoxVertexNames[box.vertices[4].index]) == "back_top_right");
  CHECK(box.vertices[4].index == (1 | 4));
  CHECK(box.vertices[4].photo == PhotoPx{980, 280});
  CHECK(scene->placements[0].faces == std::vector<int>{1});
  CHECK(scene->placements[1].faces == std::vector<int>{0, 1});

  std::string partly = kPhoto + kCarton;
  partly.replace(partly.find("180, 90"), 7, "180, \"unknown\"");
  const auto unknown = Parse(partly);
  REQUIRE(unknown.ok());
  CHECK(unknown->surfaces[0].box.size[1] == 180);
  CHECK_FALSE(unknown->surfaces[0].box.size[2].has_value());
}

TEST_CASE("Scene: patch and mesh", "[scene][closed-form]") {
  const auto scene =
      Parse(kPhoto +
            "[[surface]]\nname = \"flag\"\nshape = \"patch\"\nsize = [900, 600]\n"
            "points = [[[0,0],[50,5],[100,0]],[[0,80],[50,85],[100,80]]]\n"
            "[[surface]]\nname = \"bag\"\nshape = \"mesh\"\nfile = \"bag.obj\"\nmm_per_unit = 10\n"
            "[surface.pins]\nhem_left = [10, 20, 1, 2, 3]\nhem_right = [90, 20, 4, 5, 6]\n"
            "foot_left = [10, 90, 1, -2, 3]\nfoot_right = [90, 90, 4, -5, 6]\n"
            "[[surface]]\nname = \"box\"\nshape = \"mesh\"\nfile = \"box.obj\"\n"
            "pose = { turn = [0, 30, 0], origin = [1, 2, 900] }\n");
  REQUIRE(scene.ok());
  const PatchMarks& patch = scene->surfaces[0].patch;
  CHECK(patch.columns == 3);
  CHECK(patch.rows == 2);
  REQUIRE(patch.points.size() == 6);
  CHECK(patch.points[4] == PhotoPx{50, 85});
  CHECK(patch.point_places[4].line == 7);
  CHECK(scene->surfaces[0].size == SurfaceMm{900, 600});
  const MeshMarks& mesh = scene->surfaces[1].mesh;
  CHECK(mesh.mm_per_unit == 10);
  REQUIRE(mesh.pins.size() == 4);
  CHECK(mesh.pins[3].name == "foot_right");
  CHECK(mesh.pins[3].photo == PhotoPx{90, 90});
  CHECK(mesh.pins[3].object == Eigen::Vector3d(4, -5, 6));
  REQUIRE(scene->surfaces[2].mesh.pose);
  CHECK((*scene->surfaces[2].mesh.pose)[1] == 30);
  CHECK((*scene->surfaces[2].mesh.pose)[5] == 900);
}

TEST_CASE("Scene: what stands in front of everything, strokes, distortion",
          "[scene][closed-form]") {
  const auto scene = Parse(
      "[photo]\nfile = \"wall.jpg\"\nfocal_px = 900\ndistortion = [-0.2, 0.01]\n"
      "matte = \"m.png\"\nin_front = [[[0,0],[1,0],[1,1]]]\n"
      "matte_strokes = { in_front = [[[1,2],[3,4]]], surface = [[[5,6],[7,8],[9,9]]], width = 8 "
      "}\n" +
      kPoster);
  REQUIRE(scene.ok());
  const Photo& photo = scene->photo;
  CHECK(photo.distortion == std::array<double, 2>{-0.2, 0.01});
  REQUIRE(photo.occlusion.matte);
  CHECK(photo.occlusion.matte->key == "photo.matte");
  CHECK(photo.occlusion.in_front.size() == 1);
  REQUIRE(photo.occlusion.strokes);
  CHECK(photo.occlusion.strokes->in_front[0][1] == PhotoPx{3, 4});
  CHECK(photo.occlusion.strokes->surface[0].size() == 3);
  CHECK(photo.occlusion.strokes->width_px == 8);
}

struct Mistake {
  std::string from, to, error;
};

void CheckMistakes(const std::string& right, const std::vector<Mistake>& mistakes) {
  REQUIRE(ErrorsOf(right).empty());
  for (const Mistake& mistake : mistakes) {
    std::string text = right;
    const size_t at = text.find(mistake.from);
    REQUIRE(at != std::string::npos);
    text.replace(at, mistake.from.size(), mistake.to);
    INFO(text);
    CHECK(ErrorsOf(text) == "scenes/x.toml:" + mistake.error + "\n");
  }
}

TEST_CASE("Mistakes in a cylinder and a cone", "[scene][bad-input]") {
  CheckMistakes(
      kPhoto + kMug,
      {{"diameter = 80", "diameter = -80",
        "6:12: error: surface.diameter = -80: expected a length above 0 mm, at most 1000000 mm"},
       {"diameter = 80", "radius = 40",
        "3:1: error: surface.diameter: missing; expected its diameter in mm\n"
        "scenes/x.toml:6:1: error: surface.radius: unknown key; known here: name, shape, "
        "diameter, height, rim_top, rim_bottom, turn, old_print, substrate, relief, relief_amount, "
        "light_from, "
        "sharpness, matte, in_front, matte_strokes"},
       {"height = 96\n", "",
        "3:1: error: surface.height: missing; expected its height along the axis, in mm"},
       {"[[612.3,402.8],[901.0,466.1],[1190.2,404.0]]", "[[612.3,402.8],[901.0,466.1]]",
        "8:11: error: surface.rim_top = [[612.3, 402.8], [901.0, 466.1]]: expected 3 to 256 points "
        "[x, y] in photo px: the rim's leftmost, the lowest of its near arc, its rightmost, then "
        "any others"},
       {"[901.0,466.1]", "[901.0,nan]",
        "8:33: error: surface.rim_top = [[612.3, 402.8], [901.0, nan], [1190.2, 404.0]]: point 2: "
        "expected a finite number"},
       {"\"cylinder\"", "\"cone\"",
        "3:1: error: surface.diameter_top: missing; expected the upper rim's diameter in mm\n"
        "scenes/x.toml:3:1: error: surface.diameter_bottom: missing; expected the lower rim's "
        "diameter in mm\n"
        "scenes/x.toml:6:1: error: surface.diameter: unknown key; did you mean diameter_top?"}});
}

TEST_CASE("Mistakes in a box and its placements", "[scene][bad-input]") {
  const std::string placed = "[[placement]]\nsurface = \"carton.front\"\nartwork = \"mark\"\n";
  CheckMistakes(
      kPhoto + kCarton + placed,
      {{"back_top_right = [980, 280]\n", "",
        "7:1: error: surface.vertices: expected at least 5 seen corners, there are 4"},
       {"front_top_right", "front_top_rihgt",
        "9:1: error: surface.vertices.front_top_rihgt: unknown key; did you mean front_top_right?"},
       {"[250, 180, 90]", "[250, 180]",
        "6:8: error: surface.size = [250, 180]: expected [width, height, depth] in mm, \"unknown\" "
        "in place of one that is to be solved"},
       {"[250, 180, 90]", "[250, 180, \"?\"]",
        "6:19: error: surface.size = [250, 180, \"?\"]: expected [width, height, depth] in mm, "
        "\"unknown\" in place of one that is to be solved"},
       {"\"carton.front\"", "\"carton\"",
        "14:11: error: placement.surface = \"carton\": expected a face of the box; there are "
        "\"carton.front\", \"carton.right\", \"carton.back\", \"carton.left\", \"carton.top\" and "
        "\"carton.bottom\""},
       {"\"carton.front\"", "\"carton.frnt\"",
        "14:11: error: placement.surface = \"carton.frnt\": no surface has this name; did you mean "
        "\"carton.front\"?"},
       {"\"carton.front\"", "[\"carton.front\", \"carton.back\"]",
        "14:28: error: placement.surface = \"carton.back\": expected a face that shares an edge "
        "with one named before it"},
       {"\"carton.front\"", "[\"carton.front\", \"carton.front\"]",
        "14:28: error: placement.surface = \"carton.front\": expected each face once"},
       {"\"carton.front\"", "[]",
        "14:11: error: placement.surface = []: expected a surface's name, or names of a box's "
        "faces "
        "that join edge to edge, such as [\"carton.front\", \"carton.right\"]"}});
}

TEST_CASE("Mistakes in a patch", "[scene][bad-input]") {
  CheckMistakes(
      kPhoto +
          "[[surface]]\nname = \"flag\"\nshape = \"patch\"\n"
          "points = [[[0,0],[50,5]],[[0,80],[50,85]]]\n",
      {{"[[0,80],[50,85]]", "[[0,80]]",
        "6:26: error: surface.points = [[[0, 0], [50, 5]], [[0, 80]]]: row 2: expected 2 points, "
        "as "
        "many as in row 1"},
       {"[50,85]", "[50]",
        "6:34: error: surface.points = [[[0, 0], [50, 5]], [[0, 80], [50]]]: row 2, point 2: "
        "expected [x, y] in photo px"},
       {"[[[0,0],[50,5]],[[0,80],[50,85]]]", "[[[0,0],[50,5]]]",
        "6:10: error: surface.points = [[[0, 0], [50, 5]]]: expected 2 to 16 rows of 2 to 16 "
        "points "
        "[x, y] in photo px, from the surface's own top left"}});
}

TEST_CASE("Mistakes in a mesh", "[scene][bad-input]") {
  CheckMistakes(
      kPhoto +
          "[[surface]]\nname = \"bag\"\nshape = \"mesh\"\nfile = \"bag.obj\"\n"
          "pose = { turn = [0, 30, 0], origin = [1, 2, 900] }\n",
      {{"pose = { turn = [0, 30, 0], origin = [1, 2, 900] }\n", "",
        "3:1: error: surface.pins: missing; expected at least 4 points that tie the mesh to the "
        "photo, or a pose"},
       {"turn = [0, 30, 0], ", "",
        "7:8: error: surface.pose.turn: missing; expected [x, y, z] in degrees"},
       {"pose = { turn = [0, 30, 0], origin = [1, 2, 900] }",
        "pins = { a = [1, 2, 3, 4, 5], b = [1, 2, 3, 4, 6], c = [1, 2, 3, 4, 7] }",
        "7:8: error: surface.pins = { a = [1, 2, 3, 4, 5], b = [1, 2, 3, 4, 6], c = [1, 2, 3, "
        "4,...: expected a table [surface.pins] of 4 to 256 points, each such as hem_left = "
        "[photo_x, "
        "photo_y, x, y, z]"},
       {"file = \"bag.obj\"", "file = \"../../bag.obj\"",
        "6:8: error: surface.file = \"../../bag.obj\": lies outside the scene's folder; name its "
        "folder with --allow FOLDER"}});
}

TEST_CASE("Mistakes in strokes and distortion", "[scene][bad-input]") {
  CheckMistakes(
      "[photo]\nfile = \"wall.jpg\"\nfocal_px = 900\ndistortion = [-0.2, 0.01]\nmatte = \"m.png\"\n"
      "matte_strokes = { in_front = [[[1,2],[3,4]]], surface = [[[5,6],[7,8]]] }\n" +
          kPoster,
      {{"focal_px = 900\n", "",
        "3:14: error: photo.distortion = [-0.2, 0.01]: expected focal_px or focal_35mm beside it, "
        "as k1 and k2 count in focal lengths"},
       {"matte = \"m.png\"\n", "",
        "5:17: error: photo.matte_strokes = { in_front = [[[1, 2], [3, 4]]], surface = [[[5, 6], "
        "[7, 8]]...: expected `matte = \"FILE.png\"` beside it: the file that the matte is kept "
        "in"},
       {", surface = [[[5,6],[7,8]]]", "",
        "6:17: error: photo.matte_strokes.surface: missing; expected at least one stroke [[x, y], "
        "[x, y], ...] in photo px"},
       {"[[5,6],[7,8]]", "[[5,6]]",
        "6:58: error: photo.matte_strokes.surface = [[[5, 6]]]: stroke 1: expected 2 to 10000 "
        "points "
        "[x, y] in photo px"}});
}

}  // namespace
}  // namespace wheatpaste

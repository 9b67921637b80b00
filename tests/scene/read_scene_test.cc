#include "scene/read_scene.h"

#include <filesystem>

#include <catch2/catch.hpp>

#include "scene_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

// Source  the scene file of the contract (DEVELOPERS.md), its plane part.
constexpr char kContract[] = R"(title = "Poster on a plaster wall"

[photo]
file = "wall.jpg"                 # relative to this file
focal_px = 2950.0                 # optional; also focal_35mm; else EXIF; else solved or a stated default

[[surface]]
name = "poster"
shape = "plane"
size = [420, 594]                 # mm, width and height
corners = [[512.4,96.0],[1388.1,140.7],[1371.9,1402.5],[498.6,1310.2]]
substrate = "coated paper"        # a preset, or an inline table
relief = "photo"                  # optional
matte = "hand.png"                # optional

[[placement]]
surface = "poster"
artwork = "mark"                  # a slot
width = 300                       # mm
at = [210, 297]
rotate = 0                        # degrees clockwise
ink = "transparent"
)";

std::string Absolute(const std::string& path) { return std::filesystem::absolute(path).string(); }

}  // namespace

TEST_CASE("Scene: the contract's example, value by value", "[scene][published]") {
  const Result<Scene> read = Parse(kContract);
  REQUIRE(read.ok());
  const Scene& scene = *read;
  CHECK(scene.file == "scenes/x.toml");
  CHECK(scene.title == "Poster on a plaster wall");
  CHECK(scene.photo.file.key == "photo.file");
  CHECK(scene.photo.file.place.file == "scenes/x.toml");
  CHECK(scene.photo.file.place.line == 4);
  CHECK(scene.photo.file.place.column == 8);
  CHECK(std::filesystem::path(scene.photo.file.value).filename() == "wall.jpg");
  CHECK(scene.photo.focal_px == 2950.0);
  CHECK_FALSE(scene.photo.focal_35mm);

  REQUIRE(scene.surfaces.size() == 1);
  const Surface& surface = scene.surfaces[0];
  CHECK(surface.name.value == "poster");
  CHECK(surface.name.place.line == 8);
  CHECK(surface.shape == Shape::kPlane);
  CHECK(surface.size == SurfaceMm{420, 594});
  CHECK(surface.size_place.line == 10);
  CHECK(surface.size_place.column == 8);
  CHECK(surface.corners ==
        std::vector<PhotoPx>{{512.4, 96.0}, {1388.1, 140.7}, {1371.9, 1402.5}, {498.6, 1310.2}});
  CHECK(surface.corners_place.line == 11);
  CHECK(surface.marks.empty());
  CHECK(surface.relief.kind == ReliefKind::kPhoto);
  CHECK(surface.occlusion.in_front.empty());
  CHECK(surface.substrate.value.name == "coated paper");
  CHECK(surface.substrate.value.stated);
  CHECK(surface.substrate.key == "surface.substrate");
  CHECK(surface.substrate.place.line == 12);
  REQUIRE(surface.occlusion.matte);
  CHECK(std::filesystem::path(surface.occlusion.matte->value).filename() == "hand.png");
  CHECK(surface.occlusion.matte->key == "surface.matte");
  CHECK(surface.occlusion.matte->place.line == 14);

  REQUIRE(scene.placements.size() == 1);
  const Placement& placement = scene.placements[0];
  CHECK(placement.surface == 0);
  CHECK(placement.artwork.value == "mark");
  CHECK(placement.artwork.key == "placement.artwork");
  CHECK(placement.artwork_path.empty());
  CHECK(placement.width_mm == 300.0);
  CHECK_FALSE(placement.height_mm);
  CHECK(placement.at == SurfaceMm{210, 297});
  CHECK(placement.rotate_degrees == 0);
  CHECK(placement.thickness_mm == 0);
  CHECK(placement.wrinkle == 0);
  CHECK(placement.ink.value.name == "transparent");
  CHECK(placement.ink.value.opacity == 0);
  CHECK(placement.ink.value.white == 0.85);
  CHECK(placement.place.line == 16);
}

TEST_CASE("Scene: what is left out has the contract's defaults", "[scene][published]") {
  const Result<Scene> read =
      Parse(kPhoto + kPoster + "[[placement]]\nsurface = \"poster\"\nartwork = \"mark\"\n");
  REQUIRE(read.ok());
  CHECK(read->title.empty());
  CHECK_FALSE(read->photo.focal_px);
  CHECK_FALSE(read->photo.focal_35mm);
  const Surface& surface = read->surfaces[0];
  CHECK(surface.substrate.value.name == "coated paper");
  CHECK_FALSE(surface.substrate.value.stated);
  CHECK(surface.substrate.place.line == 3);
  CHECK_FALSE(surface.occlusion.matte);
  CHECK(surface.sharpness == Sharpness::kPhoto);
  CHECK(surface.old_print == OldPrint::kKeep);
  CHECK(surface.substrate.value.known);
  const Placement& placement = read->placements[0];
  CHECK(placement.fit == Fit::kContain);
  CHECK_FALSE(placement.width_mm);
  CHECK_FALSE(placement.height_mm);
  CHECK_FALSE(placement.at);
  CHECK(placement.rotate_degrees == 0);
  CHECK(placement.thickness_mm == 0);
  CHECK(placement.wrinkle == 0);
  CHECK(placement.ink.value.name == "transparent");
}

TEST_CASE("Scene: marks, outlines, inline materials and both kinds of artwork",
          "[scene][published]") {
  const Result<Scene> read = Parse(kPhoto + R"(focal_35mm = 28
[[surface]]
name = "sign"
shape = "plane"
size = [1000.5, 2e2]
marks = [[1, 2, 3, 4], [5.5, 6, 7, 8], [9, 10, 11, 12], [13, 14, 15, 16]]
in_front = [ [[1, 2], [3, 4], [5, 6]],
             [[0, 0], [9, 0], [9, 9], [0, 9]] ]
substrate = { reflectance = [0.1, 0.2, 1], gloss = 0.5 }
sharpness = "artwork"
[[surface]]
name = "free"
shape = "plane"
corners = [[0, 0], [100, 0], [100, 100], [0, 100]]
[[placement]]
surface = "free"
artwork = "art/Mark.SVG"
fit = "cover"
rotate = -12.5
ink = { opacity = 0.5 }
[[placement]]
surface = "sign"
artwork = "second-mark_2"
height = 20
ink = { white = 0.7 }
)");
  REQUIRE(read.ok());
  CHECK(read->surfaces[0].sharpness == Sharpness::kArtwork);
  CHECK(read->photo.focal_35mm == 28.0);
  const Surface& sign = read->surfaces[0];
  CHECK(sign.size == SurfaceMm{1000.5, 200});
  CHECK(sign.corners.empty());
  REQUIRE(sign.marks.size() == 4);
  CHECK(sign.marks[1].photo == PhotoPx{5.5, 6});
  CHECK(sign.marks[1].surface == SurfaceMm{7, 8});
  REQUIRE(sign.occlusion.in_front.size() == 2);
  CHECK(sign.occlusion.in_front[0] == Polygon{{1, 2}, {3, 4}, {5, 6}});
  CHECK(sign.occlusion.in_front[1].size() == 4);
  CHECK(sign.substrate.value.name == "inline");
  CHECK(sign.substrate.value.stated);
  CHECK(sign.substrate.value.reflectance.r == 0.1);
  CHECK(sign.substrate.value.reflectance.g == 0.2);
  CHECK(sign.substrate.value.reflectance.b == 1.0);
  CHECK(sign.substrate.value.gloss == 0.5);
  CHECK_FALSE(read->surfaces[1].size);

  const Placement& first = read->placements[0];
  CHECK(first.surface == 1);
  CHECK(first.fit == Fit::kCover);
  CHECK(first.rotate_degrees == -12.5);
  CHECK(first.artwork.value == "art/Mark.SVG");
  CHECK(first.artwork_path.ends_with("/scenes/art/Mark.SVG"));
  CHECK(first.ink.value.name == "inline");
  CHECK(first.ink.value.opacity == 0.5);
  CHECK(first.ink.value.white == 0.85);
  const Placement& second = read->placements[1];
  CHECK(second.surface == 0);
  CHECK(second.height_mm == 20.0);
  CHECK(second.artwork_path.empty());
  CHECK(second.ink.value.opacity == 1.0);
  CHECK(second.ink.value.white == 0.7);
}

TEST_CASE("Scene: a substrate that the photo is to tell, and a print to remove",
          "[scene][published]") {
  const Result<Scene> read =
      Parse(kPhoto + kPoster + "substrate = \"photo\"\nold_print = \"remove\"\n");
  REQUIRE(read.ok());
  const Surface& surface = read->surfaces[0];
  CHECK(surface.old_print == OldPrint::kRemove);
  CHECK(surface.substrate.value.name == "photo");
  CHECK(surface.substrate.value.stated);
  CHECK(surface.substrate.value.from_photo);
  CHECK_FALSE(surface.substrate.value.known);
}

TEST_CASE("Scene: named files are found from the scene's own folder", "[scene][invariant]") {
  const TempFolder folder;
  WriteText(folder / "scene.toml", kPhoto + kPoster);
  const Result<Scene> read = ReadScene(folder / "scene.toml", DataOptions());
  REQUIRE(read.ok());
  CHECK(read->photo.file.value ==
        std::filesystem::canonical(Absolute(folder.path())).string() + "/wall.jpg");
}

TEST_CASE("Scene: a file that is not there, and a folder", "[scene][bad-input]") {
  const TempFolder folder;
  const Result<Scene> missing = ReadScene(folder / "none.toml", DataOptions());
  REQUIRE_FALSE(missing.ok());
  CHECK(FormatErrors(missing.errors()) ==
        folder / "none.toml" + ": error: cannot open, no such file\n");
  const Result<Scene> directory = ReadScene(folder.path(), DataOptions());
  REQUIRE_FALSE(directory.ok());
  CHECK(FormatErrors(directory.errors()) == folder.path() + ": error: expected a regular file\n");
}

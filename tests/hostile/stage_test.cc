// Wrong input in scenes of a stage, through the whole program: refused with place, key and value, and nothing is written.
#include "cli/stage_scene.h"

using namespace wheatpaste::test;

namespace {

constexpr char kHead[] = R"([stage]
size = [48, 36]
samples = 1
sun = { around = 20, height = 30 }
[stage.camera]
at = [60, 60, 300]
aim = [0, 30, 0]
)";
constexpr char kTail[] = "[[placement]]\nsurface = \"box.flat\"\nartwork = \"mark\"\n";

std::string Svg(const std::string& lines) {
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"150mm\" viewBox=\"0 0 "
         "200 150\" fill=\"none\">" +
         lines + "</svg>\n";
}
std::string Cut(const std::string& d) { return "<path class=\"cut\" d=\"" + d + "\"/>"; }
std::string Crease(const std::string& d) { return "<path class=\"crease\" d=\"" + d + "\"/>"; }

// tables   what follows `kHead`.
// message  after "scene.toml:", with @ for the scene's folder.
void Refuses(const std::string& tables, const std::string& message, const std::string& file = "",
             const std::string& content = "") {
  const StageScene scene(kHead + tables + kTail);
  if (!file.empty()) WriteText(scene.folder / file, content);
  const auto before = scene.folder.List();
  const RunResult run =
      scene.Program("render scene.toml --artwork mark=mark.svg --out picture.png");
  INFO(tables);
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  std::string expected = "scene.toml:" + message + "\n";
  if (const size_t at = expected.find('@'); at != std::string::npos) {
    expected.replace(at, 1, scene.folder.path());
  }
  CHECK(run.err == expected);
  CHECK(scene.folder.List() == before);
}

std::string Box(const std::string& keys) {
  return "[[stage.object]]\nname = \"box\"\nsolid = \"carton\"\nboard = 0.5\n" + keys;
}

constexpr char kGoodBox[] = "style = \"tuck\"\ninner = [40, 20, 60]\n";

}  // namespace

TEST_CASE("Hostile: dielines that are no blank", "[hostile][bad-input]") {
  const auto dieline = [](const std::string& content, const std::string& expected) {
    Refuses(Box("dieline = \"d.svg\"\n"),
            "12:11: error: stage.object.dieline = \"@/d.svg\": " + expected, "d.svg", content);
  };
  const std::string sheet = Cut("M20 20H180V130H20Z");
  dieline(Svg(sheet), "expected creases: a blank of one panel is a sheet");
  dieline(Svg(sheet + Cut("M10 10L190 140") + Crease("M100 20V130")),
          "the part at (23.8, 20.0) mm does not hang together with the rest: expected one blank");
  dieline(Svg(Cut("M20 20H180V130") + Crease("M100 20V130")),
          "the crease ends at (100.0, 130.0) mm at no other line; draw it on to a cut or a crease");
  dieline(Svg(Cut("M20 20HnanV130H20Z")), "line 1: expected a number at character 8 of the path");
  dieline(Svg(""), "expected cut lines: none is in a class or layer \"cut\"");
}

TEST_CASE("Hostile: solids that cannot be made, files that cannot be read",
          "[hostile][bad-input]") {
  Refuses(Box("style = \"tuck\"\ninner = [3, 3, 3]\n"),
          "8:1: error: stage.object.inner = [3, 3, 3]: expected lengths of at least 10 mm with a "
          "board of 0.5 mm");
  const std::string box = Box(kGoodBox);
  Refuses("[stage.light_map]\nfile = \"sky.hdr\"\n" + box,
          "9:8: error: stage.light_map.file = \"@/sky.hdr\": is cut short or damaged: 50 bytes of "
          "coded picture cannot unfold to the 32768 bytes its header promises",
          "sky.hdr", "#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 64 +X 128\nxx");
  Refuses(
      box + "[[stage.object]]\nname = \"bag\"\nsolid = \"tote bag\"\nsize = [1, 1]\n",
      "17:9: error: stage.object.size = [1, 1]: expected a length from 50 to 800 mm\n"
      "scene.toml:17:12: error: stage.object.size = [1, 1]: expected a length from 50 to 800 mm");
  Refuses(box + "[[stage.object.part]]\nname = \"edgez\"\nmetal = \"gold\"\n",
          "14:1: error: stage.object.part.name = \"edgez\": expected a part of \"box\": outside, "
          "inside, edges");
  const StageScene inside(
      "[stage]\nsize = [8, 6]\nsamples = 1\nsun = { height = 50 }\n"
      "[stage.camera]\nat = [0, 30, 5]\naim = [0, 30, 0]\n" +
      box + kTail);
  CHECK(inside.Done("check scene.toml")
            .out.find("warning     box: the camera stands within it, and sees its inside\n") !=
        std::string::npos);
}

TEST_CASE("Hostile: a photograph that cannot be written is not taken", "[hostile][bad-input]") {
  const StageScene scene;
  const RunResult nowhere = scene.Program("stage scene.toml --out nowhere/sheet.tif");
  CHECK(nowhere.status == 2);
  CHECK(nowhere.err == "nowhere/sheet.tif: error: cannot write: No such file or directory\n");
  const RunResult png = scene.Program("stage scene.toml --out sheet.png");
  CHECK(png.status == 2);
  CHECK(png.err == "--out sheet.png: error: expected a name ending in .tif\n");
  CHECK(scene.folder.List() == std::vector<std::string>{"mark.svg", "scene.toml"});
}

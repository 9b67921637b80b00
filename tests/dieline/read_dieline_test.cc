// Dielines as people draw them: told apart by class, colour or layer; mistakes at their place.
#include <catch2/catch.hpp>

#include "dieline/dieline_support.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

Placed<std::string> Mark(const char* value) { return {value, {"scene.toml", 5, 7}, "cut"}; }

// Two panels, 30 x 40 and 20 x 40, with a window.
void CheckTwoPanels(const Dieline& dieline) {
  REQUIRE(dieline.panels.size() == 2);
  REQUIRE(dieline.creases.size() == 1);
  CHECK(PanelNamed(dieline, "panel_1").area == Approx(1200 - 25).margin(0.01));
  CHECK(PanelNamed(dieline, "panel_1").holes.size() == 1);
  CHECK(PanelNamed(dieline, "panel_2").area == Approx(800).margin(0.01));
  CHECK((dieline.creases[0].from - dieline.creases[0].to).norm() == Approx(40).margin(1e-3));
}

TEST_CASE("Dieline: lines by class, layer and colour are the same", "[dieline][invariant]") {
  const std::string outline = "x=\"10\" y=\"10\" width=\"50\" height=\"40\"";
  const std::string window = "points=\"15 15 20 15 20 20 15 20\"";
  const std::string crease = "x1=\"40\" y1=\"10\" x2=\"40\" y2=\"50\"";
  // By class, of the elements and of a group.
  CheckTwoPanels(
      Parsed(SvgText("<rect class=\"thin cut\" " + outline + "/><g class=\"cut\"><polygon " +
                     window + "/></g><line class=\"crease\" " + crease + "/>")));
  // By layer: an id, a label of some namespace; artwork beside it is passed over.
  CheckTwoPanels(
      Parsed(SvgText("<g id=\"cut\"><rect " + outline + "/><polygon " + window +
                     "/></g><g xmlns:any=\"http://example.org/any\" any:label=\"crease\"><line " +
                     crease + "/></g><circle cx=\"50\" cy=\"30\" r=\"5\" stroke=\"#ff0000\"/>")));
  // By the scene's names.
  CheckTwoPanels(Parsed(SvgText("<g id=\"knife\"><rect " + outline + "/><polygon " + window +
                                "/></g><line class=\"rule\" " + crease + "/>"),
                        {Mark("knife"), Mark("rule")}));
  // By colour: an attribute, a style, a class of a style sheet, inherited and written in other ways.
  CheckTwoPanels(
      Parsed(SvgText("<style>.a, .b { fill: none; stroke: #E0F }</style><rect class=\"a\" " +
                     outline + "/><g stroke=\"rgb(238,0,255)\"><polygon " + window +
                     "/></g><line style=\"fill:none; stroke : lime\" " + crease +
                     "/><path stroke=\"#123456\" d=\"M0 0L100 100\"/>"),
             {Mark("#ee00ff"), Mark("#00ff00")}));
}

TEST_CASE("Dieline: names, uprights, angles, areas", "[dieline][invariant]") {
  const Dieline dieline = Parsed(SvgText(
      "<rect class=\"cut\" x=\"10\" y=\"10\" width=\"60\" height=\"40\"/>"
      "<g class=\"crease\" data-order=\"3\"><path d=\"M30 10V50\" data-angle=\"-45\"/>"
      "<path d=\"M50 10v40\" data-order=\"7\"/></g>"
      "<text class=\"panel\" transform=\"translate(20 30) rotate(180)\">left side</text>"
      "<text><tspan x=\"40\" y=\"30\">front</tspan></text><text x=\"42\" y=\"33\">cut 3 mm!</text>"
      "<rect class=\"panel\" x=\"55\" y=\"20\" width=\"5\" height=\"5\"><title>right</title></rect>"
      "<path class=\"glue\" d=\"M52 12h16v36h-16z\"/>"));
  REQUIRE(dieline.panels.size() == 3);
  CHECK((PanelNamed(dieline, "left_side").up - Eigen::Vector2d(0, 1)).norm() < 1e-9);
  CHECK((PanelNamed(dieline, "front").up - Eigen::Vector2d(0, -1)).norm() < 1e-9);
  CHECK(PanelNamed(dieline, "right").glued);
  CHECK_FALSE(PanelNamed(dieline, "front").glued);
  for (const DielineCrease& crease : dieline.creases) {
    const bool first = crease.from.x() < 40;
    CHECK(crease.angle == (first ? -45 : 90));
    CHECK(*crease.order == (first ? 3 : 7));
  }
}

TEST_CASE("Dieline: slits, perforated creases, and creases that stop short",
          "[dieline][invariant]") {
  const std::string outline = "<rect class=\"cut\" x=\"10\" y=\"10\" width=\"50\" height=\"40\"/>";
  // A slit from the edge, one within a panel, a perforation of cuts along the crease that reaches no edge.
  const Dieline dieline =
      Parsed(SvgText(outline + "<path class=\"cut\" d=\"M10 20H20M15 30H25M40 20V25\"/>"
                               "<path class=\"crease\" d=\"M40 10.8V20M40 25V48.6\"/>"));
  REQUIRE(dieline.panels.size() == 2);
  REQUIRE(dieline.creases.size() == 1);
  CHECK((dieline.creases[0].from - dieline.creases[0].to).norm() == Approx(40).margin(1e-3));
  CHECK(PanelNamed(dieline, "panel_1").area == Approx(1200).margin(0.01));
  // Ends within the joining distance are one.
  CHECK(Parsed(SvgText("<path class=\"cut\" d=\"M10 10H60V50H10V10.04\"/>"
                       "<path class=\"crease\" d=\"M40.01 10L40 50\"/>"))
            .panels.size() == 2);
}

TEST_CASE("Dieline: mistakes say where on the flat", "[dieline][bad-input]") {
  const std::string head = "scene.toml:4:11: error: stage.object.dieline = \"box.svg\": ";
  const std::string outline = "<rect class=\"cut\" x=\"10\" y=\"10\" width=\"50\" height=\"40\"/>";
  const std::string crease = "<path class=\"crease\" d=\"M40 10V50\"/>";
  CHECK(MistakesOf(SvgText(outline + crease)).empty());
  CHECK(MistakesOf(SvgText("<path class=\"cut\" d=\"M10 10H60V50H10V15\"/>" + crease)) ==
        head +
            "the crease at (40.0, 30.0) mm has no panel on one side; a cut ends in the open at "
            "(10.0, 15.0) mm\n");
  CHECK(MistakesOf(SvgText("<path class=\"cut\" d=\"M10 10H60V50\"/>")) ==
        head + "the cut lines enclose nothing: the outline is open at (10.0, 10.0) mm\n");
  CHECK(MistakesOf(SvgText(outline + "<path class=\"crease\" d=\"M40 10V40\"/>")) ==
        head +
            "the crease ends at (40.0, 40.0) mm at no other line; draw it on to a cut or a "
            "crease\n");
  CHECK(MistakesOf(SvgText(outline + crease +
                           "<rect class=\"cut\" x=\"70\" y=\"10\" width=\"10\" height=\"10\"/>")) ==
        head +
            "the part at (70.0, 10.0) mm does not hang together with the rest: expected one "
            "blank\n");
  CHECK(MistakesOf(SvgText(outline + "<path class=\"crease\" d=\"M40 10Q50 30 40 50\"/>")) ==
        head + "the crease at (40.0, 10.0) mm is not straight, so it cannot be folded\n");
  CHECK(MistakesOf(SvgText(outline + "<path class=\"crease\" d=\"M30 10V50M10 30H60\"/>")) ==
        head +
            "the crease at (30.0, 40.0) mm closes a ring of creases: expected panels that can "
            "be folded one after the other\n");
  CHECK(MistakesOf(SvgText(outline + crease +
                           "<g class=\"panel\"><text x=\"20\" y=\"20\">front</text>"
                           "<text x=\"50\" y=\"20\">front</text></g>")) ==
        head + "two panels are named front, at (20.0, 20.0) mm and (50.0, 20.0) mm\n");
  CHECK(MistakesOf(SvgText("<path d=\"M10 10H60V50H10Z\"/>")) ==
        head + "expected cut lines: none is in a class or layer \"cut\"\n");
  CHECK(MistakesOf(SvgText(outline + "<use href=\"#a\"/>")) ==
        head +
            "line 1: expected lines themselves, not `use` of others; unlink clones in the "
            "drawing\n");
  CHECK(MistakesOf(SvgText(outline + "<path class=\"crease\" d=\"M40 10W50\"/>")) ==
        head +
            "line 1: expected a command such as M or L, not \"W\" at character 7 of the "
            "path\n");
  CHECK(MistakesOf(
            SvgText(outline + "<path class=\"crease\" d=\"M40 10V50\" data-angle=\"steep\"/>")) ==
        head + "line 1: data-angle = \"steep\": expected a number from -180 to 180\n");
  CHECK(MistakesOf(SvgText("<g transform=\"turn(3)\"/>" + outline)) ==
        head + "line 1: transform = \"turn(3)\": expected SVG's transforms\n");
  CHECK(MistakesOf(
            SvgText(outline + crease + "<text class=\"panel\" x=\"20\" y=\"20\">flat</text>")) ==
        head +
            "panel \"flat\": expected a name of letters, digits, _ and -, other than \"flat\" "
            "and \"panel_...\"\n");
  CHECK(MistakesOf("<svg xmlns=\"http://www.w3.org/2000/svg\"/>") ==
        head + "expected an SVG with width and height in mm, or another length\n");
  CHECK(MistakesOf("<html/>") == head + "expected an SVG\n");
}

TEST_CASE("Dieline: hostile files end in a mistake", "[dieline][bad-input]") {
  const std::string head = "scene.toml:4:11: error: stage.object.dieline = \"box.svg\": ";
  CHECK(
      MistakesOf("<!DOCTYPE svg [<!ENTITY a \"b\">]><svg width=\"1mm\" height=\"1mm\">&a;</svg>") ==
      head + "expected an SVG that declares no entities\n");
  CHECK(MistakesOf("<!DOCTYPE svg [<!ENTITY a SYSTEM \"/etc/hostname\">]><svg width=\"1mm\" "
                   "height=\"1mm\">&a;</svg>") ==
        head + "expected an SVG that declares no entities\n");
  CHECK(MistakesOf("").rfind(head + "expected an SVG", 0) == 0);
  CHECK(MistakesOf(std::string(3, '\0')).rfind(head + "expected an SVG", 0) == 0);
  std::string deep = "<svg width=\"1mm\" height=\"1mm\">";
  for (int i = 0; i < 10000; ++i) deep += "<g>";
  CHECK(MistakesOf(deep).rfind(head + "expected an SVG: line 1: ", 0) == 0);
  // A comb of lines that cross each other more often than anything folds.
  std::string comb;
  for (int i = 0; i < 300; ++i) {
    comb += fmt::format("<path class=\"cut\" d=\"M{0} 0V100M0 {0}H100\"/>", i * 0.3);
  }
  CHECK(MistakesOf(SvgText(comb)) == head + "expected at most 20000 straight pieces of lines\n");
}

TEST_CASE("Dieline: files that are not there", "[dieline][bad-input]") {
  const TempFolder folder;
  const std::string path = folder / "none.svg";
  const auto none = ReadDieline({path, {"scene.toml", 4, 11}, "dieline"}, {});
  REQUIRE_FALSE(none.ok());
  CHECK(none.errors().front().place.line == 4);
  CHECK(none.errors().front().message.find("no such file") != std::string::npos);
}

}  // namespace
}  // namespace wheatpaste

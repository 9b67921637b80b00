// Proofs, checks and profiles by the whole program, looked at with LittleCMS's own programs and ImageMagick.
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cli/even_scene.h"
#include "transicc.h"

using namespace wheatpaste::test;

namespace {

using Json = nlohmann::json;

std::string ProfilePath(const std::string& name) {
  return SourcePath("assets-open/profiles/" + name + ".icc");
}

}  // namespace

// Source  transicc: the mark's code to the press's ink (relative, black-point compensation) and back (relative).
// Model   filtering ink: what the picture shows with the mark over what it shows with a white one, in linear light, is
//         the colour of the ink. Limit  0.01: 8-bit codes, CIEDE2000 0.4 of the table.
TEST_CASE("render --proof: ink filters by the colour that the press holds", "[cli][reference]") {
  const SmallScene scene;
  MakeEven(scene);
  FillMark(scene, "#ffffff");
  CheckDone(scene.Render("--out blank.png"));
  FillMark(scene, "#1060e0");
  CheckDone(scene.Render("--out mark.png --proof newsprint"));
  const std::string icc = ProfilePath("newsprint");
  const auto ink = Transicc("-t1 -b '-i*sRGB' '-o" + icc + "'", "16 96 224");
  REQUIRE(ink.size() == 4);
  const auto held = Transicc("-t1 '-i" + icc + "' '-o*sRGB'",
                             fmt::format("{} {} {} {}", ink[0], ink[1], ink[2], ink[3]));
  REQUIRE(held.size() == 3);
  const auto blank = MiddleOf(scene.folder / "blank.png");
  const auto mark = MiddleOf(scene.folder / "mark.png");
  for (size_t k = 0; k < 3; ++k) {
    INFO("band " << k);
    CHECK(mark[k] / blank[k] == Approx(Linear(held[k] / 255)).margin(0.01));
  }
}

// Source  the paper of Ifra26S: Lab of no ink, absolute, by transicc.
// Model   covering ink whose white is 0.85: the white mark in an absolute proof over the same without proof is paper / 0.85.
TEST_CASE("render --proof-intent absolute: white is the press's paper", "[cli][reference]") {
  SmallScene scene;
  MakeEven(scene);
  scene.Replace("width = 300", "width = 300\nink = \"opaque\"");
  scene.Replace("substrate = \"coated paper\"",
                "substrate = { reflectance = [0.9, 0.9, 0.9], gloss = 0 }");
  FillMark(scene, "#ffffff");
  CheckDone(scene.Render("--out plain.png"));
  CheckDone(scene.Render("--out news.png --proof newsprint --proof-intent absolute"));
  const auto lab = Transicc("-t3 '-i" + ProfilePath("newsprint") + "' '-o*Lab4'", "0 0 0 0");
  REQUIRE(lab.size() == 3);
  const auto plain = MiddleOf(scene.folder / "plain.png");
  const auto news = MiddleOf(scene.folder / "news.png");
  const auto luminance = [](const std::array<double, 3>& rgb) {
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
  };
  const double paper = std::pow((lab[0] + 16) / 116, 3);
  CHECK(luminance(news) / luminance(plain) == Approx(paper / 0.85).margin(0.01));
  // Newsprint is yellowish and pink.
  CHECK(news[0] > news[2] * plain[0] / plain[2]);
}

TEST_CASE("render: without a condition the picture and the note are as ever", "[cli][invariant]") {
  const SmallScene scene;
  const RunResult plain = scene.Render("--out plain.png --report plain.json");
  CheckDone(plain);
  CHECK(plain.err.find("colours as on screen, not proofed") != std::string::npos);
  const Json report = ParseJson(ReadText(scene.folder / "plain.json"));
  CHECK(report["proof"].is_null());
  CHECK(report["output"]["colour_model"] == "RGB");
  scene.Program("render scene.toml --artwork mark=mark.svg --out srgb.png --profile sRGB");
  CHECK(ReadText(scene.folder / "plain.png") == ReadText(scene.folder / "srgb.png"));
}

TEST_CASE("render: the scene's condition, the option over it, and what is said",
          "[cli][invariant]") {
  SmallScene scene;
  scene.Replace("title = \"Small\"", "title = \"Small\"\nprint_condition = \"coated offset\"");
  const RunResult scenes = scene.Render("--out a.png --report a.json");
  CheckDone(scenes);
  CHECK(scenes.err.find(
            "note: colours as coated offset (FOGRA39) holds them; a visualisation, not for "
            "signing off colour\n") != std::string::npos);
  const RunResult option = scene.Render("--out b.png --report b.json --proof magazine");
  CheckDone(option);
  CHECK(option.err.find("magazine (FOGRA45)") != std::string::npos);
  CHECK(ParseJson(ReadText(scene.folder / "b.json"))["proof"]["condition"] == "magazine");
  CHECK(ParseJson(ReadText(scene.folder / "a.json"))["proof"]["total_ink_limit"] == 330);
  // The same bits on one thread.
  CheckDone(scene.Render("--out c.png --proof magazine --threads 1"));
  CHECK(ReadText(scene.folder / "b.png") == ReadText(scene.folder / "c.png"));
}

// Source  tificc of LittleCMS: the RGB TIFF through the same profile, relative, black-point compensation, no
//         precalculated table. Limit  one 8-bit code of ink, rounding of two ways.
TEST_CASE("render --profile: a CMYK TIFF is what LittleCMS's own program separates",
          "[cli][reference]") {
  const SmallScene scene;
  CheckDone(scene.Render("--out rgb.tif"));
  CheckDone(scene.Render("--out cmyk.tif --profile 'uncoated offset' --report cmyk.json"));
  const std::string in = scene.folder / "rgb.tif", ours = scene.folder / "cmyk.tif",
                    theirs = scene.folder / "theirs.tif";
  MustRun("tificc -t1 -b -c0 '-o" + ProfilePath("uncoated_offset") + "' '" + in + "' '" + theirs +
          "'");
  CHECK(MustRun("identify -format '%[colorspace] %z %[icc:description]' '" + ours + "'") ==
        "CMYK 8 Uncoated offset (FOGRA47L)");
  const auto inks = [&](const std::string& path) {
    MustRun("/usr/bin/convert '" + path + "' -depth 8 cmyk:'" + path + ".raw'");
    return ReadText(path + ".raw");
  };
  const std::string a = inks(ours), b = inks(theirs);
  REQUIRE(a.size() == size_t{kWidth} * kHeight * 4);
  REQUIRE(b.size() == a.size());
  int worst = 0;
  for (size_t i = 0; i < a.size(); ++i) {
    worst = std::max(worst, std::abs(static_cast<uint8_t>(a[i]) - static_cast<uint8_t>(b[i])));
  }
  CHECK(worst <= 1);
  const Json report = ParseJson(ReadText(scene.folder / "cmyk.json"));
  CHECK(report["output"]["colour_model"] == "CMYK");
  CHECK(report["output"]["profile"] == "Uncoated offset (FOGRA47L)");
}

// Source  ImageMagick (LittleCMS inside) back to sRGB. Limit  two 8-bit codes: rounded twice.
TEST_CASE("render --profile \"Display P3\": the same colours in other codes", "[cli][reference]") {
  const SmallScene scene;
  CheckDone(scene.Render("--out srgb.png"));
  for (const char* name : {"p3.png", "p3.tif", "p3.webp", "p3.jpg"}) {
    CheckDone(scene.Render(std::string("--profile 'Display P3' --out ") + name));
    CHECK(MustRun("identify -format '%[icc:description]' '" + scene.folder / name + "'") ==
          "Display P3");
  }
  MustRun("/usr/bin/convert '" + scene.folder / "p3.png" +
          "' -intent Relative -profile "
          "/usr/share/color/icc/sRGB.icc '" +
          scene.folder / "back.png" + "'");
  const auto a = CodesOf(scene.folder / "srgb.png"), b = CodesOf(scene.folder / "back.png");
  REQUIRE(a.size() == b.size());
  int worst = 0;
  for (size_t i = 0; i < a.size(); ++i) worst = std::max(worst, std::abs(int{a[i]} - int{b[i]}));
  CHECK(worst <= 2 * 257);
  CHECK(CodesOf(scene.folder / "p3.png") != a);
}

// Source  transicc: sRGB to ink and to Lab. Limit  0.05: its input here has whole codes, its output four decimals.
TEST_CASE("check --proof: colours, shifts and inks", "[cli][reference]") {
  const SmallScene scene;
  WriteText(scene.folder / "mark.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"20mm\">"
            "<rect width=\"100%\" height=\"100%\" fill=\"#00ff00\"/>"
            "<rect width=\"10%\" height=\"100%\" fill=\"#e3a02c\"/></svg>\n");
  const std::string command = "check scene.toml --artwork mark=mark.svg --proof 'coated offset' ";
  const RunResult run = scene.Program(command + "--json");
  CheckDone(run);
  const Json report = ParseJson(run.out);
  const Json& colours = report["placements"][0]["print"]["colours"];
  REQUIRE(colours.size() == 2);
  CHECK(colours[0]["colour"] == "#00ff00");
  CHECK(colours[0]["out_of_gamut"] == true);
  CHECK(colours[0]["shift"].get<double>() > 10);
  CHECK(colours[1]["colour"] == "#e3a02c");
  CHECK(colours[1]["out_of_gamut"] == false);
  CHECK(colours[1]["shift"].get<double>() < 2);
  const std::string icc = ProfilePath("coated_offset");
  const auto ink = Transicc("-t1 -b '-i*sRGB' '-o" + icc + "'", "0 255 0");
  REQUIRE(ink.size() == 4);
  for (size_t i = 0; i < 4; ++i) {
    CHECK(colours[0]["ink_percent"][i].get<double>() == Approx(ink[i]).margin(0.05));
  }
  const auto lab = Transicc("-t1 '-i" + icc + "' '-o*Lab4'",
                            fmt::format("{} {} {} {}", ink[0], ink[1], ink[2], ink[3]));
  REQUIRE(lab.size() == 3);
  for (size_t i = 0; i < 3; ++i) {
    CHECK(colours[0]["lab_held"][i].get<double>() == Approx(lab[i]).margin(0.05));
  }
  REQUIRE(report["warnings"].size() == 1);
  CHECK(report["warnings"][0].get<std::string>().find(
            "mark: #00ff00 lies outside what coated offset (FOGRA39) holds and shifts by") == 0);
  const RunResult screen = scene.Program("check scene.toml --artwork mark=mark.svg --json");
  CHECK_FALSE(ParseJson(screen.out)["placements"][0].contains("print"));
}

TEST_CASE("check --proof: ink above the condition's limit", "[cli][bad-input]") {
  const SmallScene scene;
  FillMark(scene, "#000000");
  MustRun("mkdir -p '" + scene.folder / "data/shared" + "' && cp '" + SourcePath("shared") +
          "/'*.toml '" + scene.folder / "data/shared" + "' && ln -s '" + SourcePath("assets-open") +
          "' '" + scene.folder / "data/assets-open" +
          "' && sed -i 's/total_ink = 330/total_ink = 150/' '" +
          scene.folder / "data/shared/print-conditions.toml" + "'");
  setenv("WHEATPASTE_DATA", (scene.folder / "data").c_str(), 1);
  const RunResult run =
      scene.Program("check scene.toml --artwork mark=mark.svg --proof 'coated offset'");
  setenv("WHEATPASTE_DATA", SourcePath(".").c_str(), 1);
  CheckDone(run);
  CHECK(run.out.find("% of ink, more than the 150 % of coated offset (FOGRA39)") !=
        std::string::npos);
}

TEST_CASE("Proof and profile: bad input is refused in plain words", "[cli][bad-input]") {
  SmallScene scene;
  const std::string slot = "--artwork mark=mark.svg ";
  const std::string icc = ProfilePath("magazine");
  MustRun("head -c 3000 '" + icc + "' > '" + scene.folder / "cut.icc" + "'; truncate -s 70M '" +
          scene.folder / "large.icc" + "'; cp /usr/share/color/icc/Gray.icc '" +
          scene.folder.path() + "'; printf x > '" + scene.folder / "none.icc" + "'");
  const auto refused = [&](const std::string& arguments, const std::string& message) {
    CheckRefused(scene, "render scene.toml " + slot + "--out out.png " + arguments, message);
  };
  refused("--proof cut.icc",
          "--proof cut.icc: error: the ICC profile is broken: Couldn't link the "
          "profiles\n");
  refused("--proof large.icc",
          "large.icc: error: is 73400320 bytes long, expected at most 67108864\n");
  refused("--proof gone.icc", "gone.icc: error: cannot open, no such file\n");
  refused("--proof Gray.icc",
          "--proof Gray.icc: error: expected a press's profile, CMYK and able to "
          "choose ink; \"Gray\" is for gray\n");
  refused("--profile Gray.icc",
          "--profile Gray.icc: error: expected an RGB or CMYK profile that "
          "colours can be written in; \"Gray\" is for gray\n");
  refused("--profile newsprint",
          "out.png: error: PNG is written in RGB; expected a name ending in .tif or .pdf "
          "for CMYK in the profile \"Newsprint (IFRA26S)\"\n");
  refused("--proof-intent absolute",
          "--proof-intent absolute: error: expected a print condition with it: --proof NAME, or "
          "print_condition in the scene\n");
  refused(
      "--proof newsprint --proof-intent perceptual",
      "--proof-intent perceptual: error: expected relative (to the press's paper) or absolute (its "
      "paper included)\n");
  scene.Replace("title = \"Small\"", "title = \"Small\"\nprint_condition = \"coatd offset\"");
  refused(
      "",
      "scene.toml:2:19: error: print_condition = \"coatd offset\": unknown print condition; did "
      "you mean \"coated offset\"? there are \"coated offset\", \"uncoated offset\", "
      "\"magazine\", \"newsprint\", \"US coated sheetfed\", \"US web coated\" and \"US "
      "newsprint\", or a press's profile as a file, .icc\n");
  scene.Replace("coatd offset", "cut.icc");
  refused("",
          "scene.toml:2:19: error: print_condition = \"cut.icc\": the ICC profile is broken: "
          "Couldn't link the profiles\n");
}

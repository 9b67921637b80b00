// The whole program on cylinder, cone, box and mesh: print in its place, the camera solved, guides, blanks, mattes,
// plain words where marks do not fit.

#include <catch2/catch.hpp>

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cli/small_scene.h"
#include "ref/ray_traced_shapes.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr SizePx kPicture{880, 840};
constexpr double kFocal = 2400;

std::vector<ShapeStage> Stages() {
  return {RoundStage(80, 80, 96, -140, PoseBody(20, 18, 2, {2, -52, 420}), kFocal, kPicture),
          RoundStage(80, 56, 95, 15, PoseBody(-30, 22, -3, {0, -54, 420}), kFocal, kPicture),
          RoundStage(56, 80, 60, -30, PoseBody(10, 30, 4, {0, -40, 420}), kFocal, kPicture),
          BoxStage(120, 100, 70, PoseBody(38, 24, 2, {-68, -58, 480}), kFocal, kPicture),
          WavyStage(150, 120, PoseBody(25, 12, 4, {0, 0, 480}), kFocal, kPicture)};
}

// An even gray photo.
void WriteGray(const std::string& path, SizePx size) {
  MustRun(fmt::format("/usr/bin/convert -size {}x{} xc:'gray(200)' PNG24:'{}'", size.width,
                      size.height, path));
}

std::string SceneText(const ShapeStage& stage, bool focal_given) {
  std::string text = "[photo]\nfile = \"photo.png\"\n";
  if (focal_given) text += fmt::format("focal_px = {}\n", stage.focal_px);
  text += "[[surface]]\nname = \"body\"\n" + stage.surface;
  for (size_t i = 0; i < stage.printed.size(); ++i) {
    text +=
        fmt::format("[[placement]]\n{}artwork = \"dots{}.svg\"\n", stage.printed[i].placement, i);
  }
  return text;
}

RunResult In(const TempFolder& folder, const std::string& arguments) {
  return Run(fmt::format("cd '{}' && WHEATPASTE_DATA='{}' '{}' {}", folder.path(), SourcePath("."),
                         WHEATPASTE_PROGRAM, arguments));
}

// Do the six triangles around a vertex turn towards the camera, well away from a limb: none of them seen smaller
// than `least` (twice its area, px)?
bool IsSeen(const ShapeStage& stage, const Triangles& triangles, size_t vertex, double least) {
  int towards = 0, all = 0;
  for (const auto& face : triangles.faces) {
    if (face[0] != vertex && face[1] != vertex && face[2] != vertex) continue;
    const PhotoPx a = stage.Seen(triangles.vertices[face[0]]);
    const PhotoPx b = stage.Seen(triangles.vertices[face[1]]);
    const PhotoPx c = stage.Seen(triangles.vertices[face[2]]);
    const double sense = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    towards += sense > least ? 1 : 0;
    ++all;
  }
  return all == 6 && towards == all;
}

// The largest triangle as seen, twice its area.
double LargestSeen(const ShapeStage& stage, const Triangles& triangles) {
  double largest = 0;
  for (const auto& face : triangles.faces) {
    const PhotoPx a = stage.Seen(triangles.vertices[face[0]]);
    const PhotoPx b = stage.Seen(triangles.vertices[face[1]]);
    const PhotoPx c = stage.Seen(triangles.vertices[face[2]]);
    largest = std::max(largest, (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x));
  }
  return largest;
}

// Weighted by how much darker than the photo a pixel is, over a window around `near`.
PhotoPx CentreOfDot(const std::vector<uint16_t>& codes, const PhotoPx& near) {
  constexpr int kReach = 11;
  double sum = 0, x = 0, y = 0;
  for (int j = -kReach; j <= kReach; ++j) {
    for (int i = -kReach; i <= kReach; ++i) {
      const int px = static_cast<int>(near.x) + i, py = static_cast<int>(near.y) + j;
      const double dark =
          200 * 257 - static_cast<double>(codes[3 * static_cast<size_t>(py * kPicture.width + px)]);
      if (dark <= 0) continue;
      sum += dark;
      x += dark * (px + 0.5);
      y += dark * (py + 0.5);
    }
  }
  return {x / sum, y / sum};
}

// Dots of 2 mm, printed; where a projection written in ray_traced_shapes.h has their centres.
// Limit   0.15 px: a dot's own perspective and bend move its centre of darkness by some hundredths. The project's
//         aim is 0.5 px.
TEST_CASE("Shapes: print lies where it belongs, to a fraction of a px",
          "[cli][closed-form][numbers]") {
  for (const ShapeStage& stage : Stages()) {
    for (const bool focal_given : {true, false}) {
      const TempFolder folder;
      WriteGray(folder / "photo.png", kPicture);
      if (stage.write_files) stage.write_files(folder.path());
      std::vector<PhotoPx> centres;
      for (size_t i = 0; i < stage.printed.size(); ++i) {
        const PrintedPart& part = stage.printed[i];
        std::string svg = fmt::format(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}mm\" "
            "height=\"{1}mm\">",
            part.size.x, part.size.y);
        const auto add = [&](const Eigen::Vector2d& uv, const Eigen::Vector3d& at) {
          const PhotoPx p = stage.Seen(at);
          for (const PhotoPx& other : centres) {
            if (std::hypot(p.x - other.x, p.y - other.y) < 40) return;
          }
          centres.push_back(p);
          svg += fmt::format("<circle cx=\"{:.6f}\" cy=\"{:.6f}\" r=\"1\"/>", uv.x() * part.size.x,
                             uv.y() * part.size.y);
        };
        if (stage.name == "box") {
          // Within each pair of triangles that makes a face.
          for (size_t f = 0; f + 1 < part.triangles.faces.size(); f += 2) {
            const auto& face = part.triangles.faces[f];
            for (const auto& [s, t] : {std::pair{0.2, 0.3}, {0.5, 0.2}, {0.3, 0.3}}) {
              const double r = 1 - s - t;
              add(r * part.triangles.uv[face[0]] + s * part.triangles.uv[face[1]] +
                      t * part.triangles.uv[face[2]],
                  r * part.triangles.vertices[face[0]] + s * part.triangles.vertices[face[1]] +
                      t * part.triangles.vertices[face[2]]);
            }
          }
        } else {
          const double least = 0.4 * LargestSeen(stage, part.triangles);
          for (size_t v = 2000; v < part.triangles.vertices.size(); v += 257) {
            const Eigen::Vector2d& uv = part.triangles.uv[v];
            if ((uv - Eigen::Vector2d(0.5, 0.5)).cwiseAbs().maxCoeff() > 0.45) continue;
            if (IsSeen(stage, part.triangles, v, least)) add(uv, part.triangles.vertices[v]);
          }
        }
        WriteText(folder / fmt::format("dots{}.svg", i), svg + "</svg>\n");
      }
      REQUIRE(centres.size() >= 6);
      WriteText(folder / "scene.toml", SceneText(stage, focal_given));
      const RunResult run = In(folder, "render scene.toml --out out.png");
      INFO(stage.name << (focal_given ? "" : ", focal length solved") << ": " << run.err);
      REQUIRE(run.status == 0);
      const auto codes = CodesOf(folder / "out.png");
      double farthest = 0;
      for (const PhotoPx& expected : centres) {
        const PhotoPx found = CentreOfDot(codes, expected);
        farthest = std::max(farthest, std::hypot(found.x - expected.x, found.y - expected.y));
      }
      CHECK(farthest < 0.15);
      if (focal_given) continue;
      const RunResult check = In(folder, "check scene.toml --json");
      const auto report = ParseJson(check.out);
      CHECK(report["camera"]["source"] == "solved from the marks");
      CHECK(report["camera"]["focal_px"].get<double>() == Approx(kFocal).epsilon(1e-4));
      CHECK(report["surfaces"][0]["residual_px"].get<double>() < 1e-3);
      CHECK(report["surfaces"][0]["camera"]["focal_sd_px"].get<double>() > 0);
      CHECK(report["surfaces"][0]["pose"]["origin_sd_mm"][2].get<double>() > 0);
    }
  }
}

TEST_CASE("Shapes: a lens that bends lines, taken into account", "[cli][closed-form]") {
  const TempFolder folder;
  WriteGray(folder / "photo.png", kPicture);
  // A sheet straight before the camera, 400 mm away: photo = c + f (1 + k1 r^2) (x, y), r in focal lengths.
  constexpr double kBend = -0.3, kNear = 900, kAway = 400;
  const auto seen = [&](double x, double y) {
    const double u = (x - 150) / kAway, v = (y - 140) / kAway, share = 1 + kBend * (u * u + v * v);
    return PhotoPx{440 + kNear * share * u, 420 + kNear * share * v};
  };
  std::string corners,
      svg =
          "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 300 280\" width=\"300mm\" "
          "height=\"280mm\">";
  for (const auto& [x, y] : {std::pair{0, 0}, {300, 0}, {300, 280}, {0, 280}}) {
    const PhotoPx p = seen(x, y);
    corners += fmt::format("[{:.6f}, {:.6f}],", p.x, p.y);
  }
  std::vector<PhotoPx> centres;
  for (const auto& [x, y] :
       {std::pair{20, 20}, {150, 15}, {280, 140}, {150, 140}, {20, 260}, {270, 265}}) {
    centres.push_back(seen(x, y));
    svg += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"2\"/>", x, y);
  }
  WriteText(folder / "dots.svg", svg + "</svg>");
  WriteText(
      folder / "scene.toml",
      fmt::format("[photo]\nfile = \"photo.png\"\nfocal_px = {}\ndistortion = [{}, 0]\n"
                  "[[surface]]\nname = \"sheet\"\nshape = \"plane\"\nsize = [300, 280]\n"
                  "corners = [{}]\n[[placement]]\nsurface = \"sheet\"\nartwork = \"dots.svg\"\n",
                  kNear, kBend, corners));
  const RunResult run = In(folder, "render scene.toml --out out.png");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto codes = CodesOf(folder / "out.png");
  for (const PhotoPx& expected : centres) {
    const PhotoPx found = CentreOfDot(codes, expected);
    CHECK(std::hypot(found.x - expected.x, found.y - expected.y) < 0.15);
  }
}

TEST_CASE("Shapes: guides need no artwork and leave what they do not cross", "[cli][invariant]") {
  for (const ShapeStage& stage : Stages()) {
    const TempFolder folder;
    WriteGray(folder / "photo.png", kPicture);
    if (stage.write_files) stage.write_files(folder.path());
    std::string text = SceneText(stage, true);
    // Slots that nothing fills.
    for (size_t at; (at = text.find(".svg")) != std::string::npos;) text.erase(at, 4);
    WriteText(folder / "scene.toml", text);
    const RunResult run = In(folder, "render scene.toml --guides --out guides.png");
    INFO(stage.name << ": " << run.err);
    REQUIRE(run.status == 0);
    CHECK(run.out.find("guides: body") == 0);
    CHECK(run.out.find("a line every ") != std::string::npos);
    const auto codes = CodesOf(folder / "guides.png");
    size_t drawn = 0;
    for (size_t i = 0; i < codes.size(); i += 3) {
      const bool same =
          codes[i] == 200 * 257 && codes[i + 1] == 200 * 257 && codes[i + 2] == 200 * 257;
      drawn += same ? 0 : 1;
    }
    // Lines, not areas.
    CHECK(drawn > 2000);
    CHECK(drawn < codes.size() / 3 / 5);
    CHECK(codes[0] == 200 * 257);
  }
}

TEST_CASE("Shapes: a poor fit is said in plain words", "[cli][bad-input]") {
  const ShapeStage stage = Stages().front();
  const TempFolder folder;
  WriteGray(folder / "photo.png", kPicture);
  std::string text = SceneText(stage, true);
  // The top rim's left end, 20 px too far to the left.
  const size_t at = text.find("rim_top = [[") + 12;
  const double x = std::stod(text.substr(at));
  text.replace(at, text.find(',', at) - at, fmt::format("{:.6f}", x - 20));
  for (size_t svg; (svg = text.find(".svg")) != std::string::npos;) text.erase(svg, 4);
  WriteText(folder / "scene.toml", text);
  const RunResult run = In(folder, "check scene.toml");
  CHECK(run.status == 0);
  INFO(run.out);
  CHECK(run.out.find("body: the marked top rim does not fit a") != std::string::npos);
  CHECK(run.out.find("80 mm circle: off by ") != std::string::npos);
  CHECK(run.out.find(" px at its ") != std::string::npos);
}

TEST_CASE("Blank: a cone's flat pattern true to scale, and its refusals", "[cli][published]") {
  const ShapeStage stage =
      RoundStage(80, 60, 95, 0, PoseBody(0, 20, 0, {0, -54, 420}), kFocal, kPicture);
  const TempFolder folder;
  WriteGray(folder / "photo.png", kPicture);
  WriteText(folder / "dots0.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>");
  WriteText(folder / "scene.toml", SceneText(stage, true));
  const RunResult run = In(folder, "blank scene.toml --surface body");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.out == "body-blank.svg: the flat blank of body, true to scale\n");
  // Source  K03, K04 of the reference values: outer chord 246.821253 mm, blank height 110.883641 mm.
  const RunResult size =
      Run("rsvg-convert --dpi-x 254 --dpi-y 254 -f png '" + folder / "body-blank.svg" + "' -o '" +
          folder / "blank.png" + "' && /usr/bin/identify -format '%w %h' '" + folder / "blank.png" +
          "'");
  CHECK(size.out == "2469 1109");  // ten px to the mm, rounded up
  const RunResult unknown = In(folder, "blank scene.toml --surface cup");
  CHECK(unknown.status == 2);
  CHECK(unknown.err ==
        "--surface cup: error: expected a cylinder or a cone of scene.toml; there is \"body\"\n");
  const RunResult wide = In(folder, "blank scene.toml --surface body --bleed -1");
  CHECK(wide.status == 2);
  CHECK(wide.err == "--bleed -1: error: expected a width in mm from 0 to 1000\n");
  const RunResult onto = In(folder, "blank scene.toml --surface body --out dots0.svg");
  CHECK(onto.status == 2);
  CHECK(onto.err == "--out dots0.svg: error: is also an artwork; expected a name of its own\n");
}

TEST_CASE("Matte: grown from strokes, kept, grown again only when asked", "[cli][closed-form]") {
  const SmallScene scene;
  // A dark bar in front of the card.
  MustRun("/usr/bin/convert '" + scene.folder / "photo.png" +
          "' -fill '#203010' -draw 'rectangle 130,40 160,210' PNG24:'" + scene.folder / "bar.png" +
          "'");
  std::string text = ReadText(scene.folder / "scene.toml");
  text.replace(text.find("photo.png"), 9, "bar.png");
  text.replace(text.find("substrate"), 0,
               "matte = \"matte.png\"\nmatte_strokes = { in_front = [[[145, 60], [145, 190]]], "
               "surface = [[[90, 100], [115, 150]], [[180, 90], [220, 160]]], width = 8 }\n");
  WriteText(scene.folder / "scene.toml", text);
  const RunResult before = scene.Render("--out out.png");
  CHECK(before.status == 2);
  CHECK(before.err.find("`wheatpaste matte SCENE` grows it from the strokes") != std::string::npos);

  const RunResult grown = scene.Program("matte scene.toml");
  INFO(grown.err);
  REQUIRE(grown.status == 0);
  const auto codes = CodesOf(scene.folder / "matte.png");
  const auto at = [&](int x, int y) {
    return codes[3 * static_cast<size_t>(y * kWidth + x)] / 257;
  };
  CHECK(at(145, 120) == 0);
  CHECK(at(120, 120) == 255);
  CHECK(at(175, 120) == 255);
  CHECK(at(132, 100) < 30);
  CHECK(at(124, 100) > 225);

  const RunResult again = scene.Program("matte scene.toml");
  CHECK(again.status == 0);
  CHECK(again.out.find("is there already; --replace grows it again") != std::string::npos);
  const std::string kept = ReadText(scene.folder / "matte.png");
  CHECK(scene.Program("matte scene.toml --replace").status == 0);
  CHECK(ReadText(scene.folder / "matte.png") == kept);  // the same bits

  // The bar keeps the photo's own pixels.
  REQUIRE(scene.Render("--out out.png").status == 0);
  const auto out = CodesOf(scene.folder / "out.png"), bar = CodesOf(scene.folder / "bar.png");
  const auto pixel = [](int x, int y) { return 3 * static_cast<size_t>(y * kWidth + x); };
  CHECK(out[pixel(145, 120)] == bar[pixel(145, 120)]);
  CHECK(out[pixel(120, 120)] != bar[pixel(120, 120)]);
}

TEST_CASE("Matte: refused without strokes", "[cli][bad-input]") {
  const SmallScene scene;
  CheckRefused(scene, "matte scene.toml",
               "scene.toml: error: expected matte_strokes of the photo or of a surface\n");
}

}  // namespace
}  // namespace wheatpaste

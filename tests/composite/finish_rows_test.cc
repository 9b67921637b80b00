// Finishes on whole pictures of a made photo, where light has closed forms (composite/finish_rows.h).
#include "composite/finish_rows.h"

#include <catch2/catch.hpp>

#include <cmath>

#include <fmt/format.h>

#include "base/parallel.h"
#include "colour/srgb.h"
#include "composite/render_text.h"

namespace wheatpaste {
namespace {

using test::TempFolder;
using test::WholePicture;
using test::WriteText;

constexpr SizePx kPhoto{240, 160};  // 120 x 80 mm
constexpr uint16_t kGrey = 0x9f9f;

void WriteFiles(const TempFolder& folder) {
  const std::vector<uint16_t> codes(static_cast<size_t>(kPhoto.area() * 3), kGrey);
  test::WriteSrgbPng(folder / "photo.png", kPhoto, 16, codes.data());
  WriteText(folder / "mark.svg",
            "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 60 40'><rect x='10' y='10' "
            "width='40' height='20' fill='#ff0000'/></svg>");
  // Darker to the right: a slope of its own depth over its width.
  WriteText(folder / "ramp.svg",
            "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 60 40'><defs><linearGradient "
            "id='g' color-interpolation='linearRGB'><stop stop-color='#000000' stop-opacity='0'/>"
            "<stop offset='1' stop-color='#000000'/></linearGradient></defs><rect width='60' "
            "height='40' fill='url(#g)'/></svg>");
}

// The mark, 60 x 40 mm, in the middle of a wall that faces the camera.
std::string SceneText(const std::string& surface, const std::string& placement) {
  return fmt::format(R"(title = "t"
[photo]
file = "photo.png"
focal_px = 400
[[surface]]
name = "wall"
shape = "plane"
size = [120, 80]
corners = [[0, 0], [240, 0], [240, 160], [0, 160]]
substrate = {{ reflectance = [0.8, 0.8, 0.8], gloss = 0 }}
{}
[[placement]]
surface = "wall"
artwork = "mark.svg"
width = 60
{}
)",
                     surface, placement);
}

double LightAt(const Bytes& codes, int64_t x, int64_t y, int band) {
  const auto* wide = reinterpret_cast<const uint16_t*>(codes.data());
  return LinearFromSrgb(wide[(y * kPhoto.width + x) * 3 + band] / 65535.0);
}

// Source  Lambert's law on the tilted plane of a ramp: (ambient + lamp n' . l) over the same of n, with the light given and the
//         dome's part as surroundings.h states it.
// Limit   0.4 %: 16-bit codes and the ramp's own 8-bit steps, averaged over 40 px.
TEST_CASE("Emboss: a slope is shaded by the light's direction", "[composite][closed-form]") {
  const TempFolder folder;
  WriteFiles(folder);
  const double depth = 5, slope = depth / 60;
  for (const double side : {-1.0, 1.0}) {
    const auto rendered = test::RenderText(
        folder,
        SceneText(fmt::format("light_from = [{}, 1, 1]", side),
                  "ink = \"none\"\n[[placement.finish]]\nfinish = \"emboss\"\nmask = "
                  "\"ramp.svg\"\ndepth = 5\nedge = 0.5"),
        std::nullopt);
    Surroundings around;
    around.to_light = Eigen::Vector3d(side, -1, -1).normalized();
    const Eigen::Vector3d flat(0, 0, -1);
    around.ambient = 1 - kDirectShare;
    around.lamp = kDirectShare / flat.dot(around.to_light);
    const Eigen::Vector3d tilted = Eigen::Vector3d(-slope, 0, -1).normalized();
    const double expected = around.Diffuse(tilted) / around.Diffuse(flat);
    const Bytes codes = WholePicture(rendered);
    double mean = 0;
    for (int64_t x = 100; x < 140; ++x) mean += LightAt(codes, x, 80, 1) / 40;
    const double blank = LinearFromSrgb(kGrey / 65535.0);
    INFO("light from " << side);
    CHECK(mean / blank == Approx(expected).epsilon(0.004));
    // Light from the left meets a slope that rises to the right.
    CHECK((mean > blank) == (side < 0));
    // Beyond the slope's foot nothing changes.
    CHECK(LightAt(codes, 20, 80, 1) == Approx(blank).epsilon(1e-12));
  }
}

// Source  the model: (1 - m) L' + m E Mirrored / Diffuse with E = L / Rs.
// Limit   1e-3: 16-bit codes.
TEST_CASE("Foil: hides the print and returns the room in the photo's light",
          "[composite][closed-form]") {
  const TempFolder folder;
  WriteFiles(folder);
  const auto rendered = test::RenderText(
      folder,
      SceneText("light_from = [-1, 1, 1]", "[[placement.finish]]\nfinish = \"silver foil\""),
      std::nullopt);
  const Bytes codes = WholePicture(rendered);
  const FaceLight& face = *rendered.scene->surfaces[0].charts[0].face_light;
  CHECK(face.source == LightSource::kGiven);
  Finish finish;
  finish.kind = FinishKind::kFoil;
  finish.metal = Metal::kSilver;
  finish.roughness = 0.12;
  const Eigen::Vector3d ray((100.5 - 120) / 400, (90.5 - 80) / 400, 1);
  const auto mirrored =
      Foil(finish).Mirrored(face.surroundings, face.ViewOf(Eigen::Vector3d(0, 0, -1), ray));
  const double level = LinearFromSrgb(kGrey / 65535.0) / 0.8;
  for (int band = 0; band < 3; ++band) {
    CHECK(LightAt(codes, 100, 90, band) == Approx(level * mirrored[static_cast<size_t>(band)] /
                                                  face.surroundings.Diffuse({0, 0, -1}))
                                               .epsilon(1e-3));
  }
}

// Source  the model, S taken from a row of its own.
TEST_CASE("Varnish: scales what the print mirrors, and only that", "[composite][closed-form]") {
  for (const double gloss : {0.25, 2.5}) {
    PreparedFinishes finishes;
    Finish varnish;
    varnish.gloss = gloss;
    finishes.coats = {{varnish, std::nullopt, nullptr}};
    FaceLight face;
    const float zero[2] = {0, 0}, one[2] = {1, 1}, facing[2] = {-1, -1}, alpha[2] = {1, 0.5f};
    const float mirrored[2] = {0.2f, 0.2f};
    float light[3][2] = {{0.5f, 0.5f}, {0.4f, 0.4f}, {0.3f, 0.3f}};
    InkRow print;
    print.count = 2;
    print.seen = one;
    print.alpha = alpha;
    for (size_t k = 0; k < 3; ++k) {
      print.irradiance[k] = one;
      print.gloss[k] = mirrored;
      print.light[k] = light[k];
    }
    FinishRow row{&print, {zero, zero, facing}, {0.5, 0.5}};
    FootprintBuffer footprints;
    footprints.Resize(2);
    FinishScratch scratch;
    uint8_t touched[2] = {};
    Camera camera;
    camera.focal_px = 100;
    ApplyFinishes(finishes, face, FramePhoto({2, 1}, {2, 1}), camera, footprints, row, scratch,
                  touched);
    CHECK(touched[0] == 1);
    CHECK(light[0][0] == Approx(0.5 + (gloss - 1) * 0.2));
    CHECK(light[2][1] == Approx(0.3 + 0.5 * (gloss - 1) * 0.2));
  }
}

TEST_CASE("Finishes: outside their mask the picture keeps its bits; any threads make the same",
          "[composite][invariant]") {
  const TempFolder folder;
  WriteFiles(folder);
  WriteText(folder / "left.svg",
            "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 60 40'><rect width='30' "
            "height='40'/></svg>");
  const auto bare = test::RenderText(folder, SceneText("", ""), std::nullopt);
  const auto finished = test::RenderText(
      folder,
      SceneText("",
                "[[placement.finish]]\nfinish = \"gold foil\"\nmask = "
                "\"left.svg\"\n[[placement.finish]]\nfinish = \"emboss\"\nmask = \"left.svg\""),
      std::nullopt);
  const Bytes before = WholePicture(bare), after = WholePicture(finished);
  CHECK(before != after);
  const auto* a = reinterpret_cast<const uint16_t*>(before.data());
  const auto* b = reinterpret_cast<const uint16_t*>(after.data());
  int64_t changed = 0;
  for (int64_t i = 0; i < kPhoto.area(); ++i) {
    // The mask ends at photo px 120; a filter's width and half an edge further nothing is changed.
    if (i % kPhoto.width < 123) continue;
    for (int64_t k = 3 * i; k < 3 * i + 3; ++k) changed += a[k] != b[k] ? 1 : 0;
  }
  CHECK(changed == 0);
  Bytes threaded(after.size());
  const ThreadLimit three(3);
  finished.compositor->CompositeRows(0, kPhoto.height, threaded.data());
  CHECK(threaded == after);
}

TEST_CASE("Finishes: one that cannot show is said so", "[composite][bad-input]") {
  const TempFolder folder;
  WriteFiles(folder);
  const std::string text = SceneText("light_from = [-1, 0, 0.3]",
                                     "[[placement.finish]]\nfinish = \"gloss varnish\"\n"
                                     "[[placement.finish]]\nfinish = \"matt varnish\"");
  const auto rendered = test::RenderText(folder, text, std::nullopt);
  auto scene = ParseScene(text, folder / "scene.toml", {WHEATPASTE_SOURCE_DIR, {}});
  REQUIRE(scene.ok());
  const auto artworks = ReadArtworks(*scene, {}, false);
  REQUIRE(artworks.ok());
  CHECK(
      WarningsOf(rendered, *artworks) ==
      std::vector<std::string>{
          "mark.svg: gloss varnish hardly shows from here: the light's mirror image lies elsewhere",
          "mark.svg: matt varnish does not show: the photo shows no gloss there that it could take "
          "away"});
}

}  // namespace
}  // namespace wheatpaste

// `render --passes DIR`, read back by other programs (float_tiff.h) and held against what the scene must give.
//
// Scene   small_scene.h with an even photo and a frontal card: 160 x 120 px of it are 400 x 300 mm.
#include <cmath>
#include <filesystem>
#include <utility>

#include <sys/stat.h>
#include <unistd.h>

#include "cli/small_scene.h"
#include "float_tiff.h"

using namespace wheatpaste::test;

namespace {

const std::vector<std::string> kFiles{"facing.tif", "gloss.tif",  "irradiance.tif",
                                      "matte.tif",  "relief.tif", "surface_mm.tif"};
constexpr int kGray = 188;  // sRGB
// IEC 61966-2-1.
const double kLight = std::pow((kGray / 255.0 + 0.055) / 1.055, 2.4);

class EvenScene : public SmallScene {
 public:
  EvenScene() {
    MustRun("/usr/bin/convert -size 320x240 'xc:rgb(188,188,188)' 'PNG24:" + folder / "photo.png" +
            "'");
    Replace("[[80, 60], [240, 70], [235, 190], [75, 180]]",
            "[[80, 60], [240, 60], [240, 180], [80, 180]]");
    Replace("\"coated paper\"", "{ reflectance = [0.8, 0.6, 0.5] }");
  }
  std::vector<std::string> Listed(const std::string& name) const {
    std::vector<std::string> names;
    for (const auto& file : std::filesystem::directory_iterator(folder / name))
      names.push_back(file.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
  }
};

struct Passes {
  Passes(const std::string& folder, size_t area)
      : irradiance(TiffSamplesOf<float>(folder + "/irradiance.tif", 3 * area)),
        mm(TiffSamplesOf<float>(folder + "/surface_mm.tif", 2 * area)),
        facing(TiffSamplesOf<float>(folder + "/facing.tif", area)),
        matte(TiffSamplesOf<uint16_t>(folder + "/matte.tif", area)) {}
  std::vector<float> irradiance, mm, facing;
  std::vector<uint16_t> matte;
};

}  // namespace

TEST_CASE("passes: light, place, facing and matte of a frontal card in even light",
          "[cli][closed-form]") {
  const EvenScene scene;
  // At the photo's size, and at twice it; transparent ink, for which the picture itself needs no light.
  for (const int scale : {1, 2}) {
    const int width = scale * kWidth, height = scale * kHeight;
    const std::string size = std::to_string(width) + "x" + std::to_string(height);
    INFO(size);
    const RunResult run = scene.Render("--out out.png --passes found --size " + size);
    REQUIRE(run.status == 0);
    CHECK(scene.Listed("found") == kFiles);
    const Passes passes(scene.folder / "found", static_cast<size_t>(width * height));
    int64_t outside = 0;
    for (int y = 0; y < height; ++y) {
      for (int x = 0; x < width; ++x) {
        const auto at = static_cast<size_t>(y * width + x);
        const double px = (x + 0.5) / scale, py = (y + 0.5) / scale;
        if (px < 80 || px > 240 || py < 60 || py > 180) {
          if (passes.matte[at] != 0 || passes.facing[at] != 0 || passes.mm[2 * at] != 0 ||
              passes.mm[2 * at + 1] != 0 || passes.irradiance[3 * at] != 0)
            ++outside;
          continue;
        }
        // Corners lie on pixel edges: every pixel is wholly in or out.
        if (passes.matte[at] != 65535)
          FAIL("matte " << passes.matte[at] << " at " << x << " " << y);
        // 2.5 mm a photo px; floats of some hundred mm hold 3e-5.
        if (std::abs(double{passes.mm[2 * at]} - 2.5 * (px - 80)) > 1e-4 ||
            std::abs(double{passes.mm[2 * at + 1]} - 2.5 * (py - 60)) > 1e-4)
          FAIL("mm " << passes.mm[2 * at] << ", " << passes.mm[2 * at + 1]);
        // The card's normal is the camera's axis; the ray leans by the pixel's place at 400 px focal length.
        const double cosine =
            400 / std::sqrt(400.0 * 400 + (px - 160) * (px - 160) + (py - 120) * (py - 120));
        if (std::abs(double{passes.facing[at]} - cosine) > 1e-5)
          FAIL("facing " << passes.facing[at] << " for " << cosine);
        // Bands of these reflectances are all trusted (shading.h): E = L / Rs. Limit: half a code of the photo.
        const double reflectance[3] = {0.8, 0.6, 0.5};
        for (size_t band = 0; band < 3; ++band) {
          const double e = double{passes.irradiance[3 * at + band]};
          if (std::abs(e / (kLight / reflectance[band]) - 1) > 1e-3)
            FAIL("irradiance " << e << " of band " << band);
        }
      }
    }
    CHECK(outside == 0);
  }
}

TEST_CASE("passes: every surface is in them, whatever is printed; the picture stays the same",
          "[cli][invariant]") {
  SmallScene scene;
  scene.Replace("[[placement]]", R"([[surface]]
name = "spare"
shape = "plane"
corners = [[260, 60], [300, 60], [300, 100], [260, 100]]
substrate = "coated paper"
in_front = [[[260, 60], [280, 60], [280, 100], [260, 100]]]
[[placement]])");
  REQUIRE(scene.Render("--out with.png --passes found --threads 2").status == 0);
  REQUIRE(scene.Render("--out without.png").status == 0);
  CHECK(ReadText(scene.folder / "with.png") == ReadText(scene.folder / "without.png"));
  const Passes passes(scene.folder / "found", size_t{kWidth} * kHeight);
  CHECK(passes.matte[80 * kWidth + 270] == 0);
  CHECK(passes.matte[80 * kWidth + 290] == 65535);
  CHECK(passes.irradiance[3 * (80 * kWidth + 290)] > 0.3f);
  CHECK(passes.irradiance[3 * (80 * kWidth + 270)] == 0);
  CHECK(passes.matte[120 * kWidth + 160] == 65535);
  // Edges of the tilted card: values come times the share that is seen.
  int partly = 0;
  for (size_t at = 0; at < passes.matte.size(); ++at) {
    if (passes.matte[at] > 6000 && passes.matte[at] < 60000) {
      ++partly;
      CHECK(double{passes.facing[at]} / (passes.matte[at] / 65535.0) == Approx(0.9).margin(0.1));
    }
  }
  CHECK(partly > 200);
  // Replaced whole, the same bytes on one thread.
  const std::string first = ReadText(scene.folder / "found/irradiance.tif");
  REQUIRE(scene.Render("--out with.png --passes found --threads 1").status == 0);
  CHECK(ReadText(scene.folder / "found/irradiance.tif") == first);
}

TEST_CASE("passes: folders that cannot be, and names that are taken", "[cli][bad-input]") {
  const SmallScene scene;
  const std::string render = "render scene.toml --artwork mark=mark.svg --out a.png ";
  CheckRefused(scene, render + "--passes none/found",
               "none/found: error: cannot make the folder: No such file or directory\n");
  CheckRefused(scene, render + "--passes mark.svg",
               "mark.svg: error: expected a folder, it is a file\n");
  CheckRefused(scene, render + "--passes ''", "--passes: error: expected a folder's name\n");
  CheckRefused(scene, render + "--passes",
               "wheatpaste: error: --passes: 1 required TEXT missing; see wheatpaste --help\n");
  CheckRefused(scene, render + "--guides --passes found",
               "wheatpaste: error: --passes excludes --guides; see wheatpaste --help\n");
  // A folder in the way of a file, in a folder that is there already.
  std::filesystem::create_directories(scene.folder / "found/matte.tif");
  CheckRefused(scene, render + "--passes found",
               "found/matte.tif: error: cannot write, it is not a regular file\n");
  CHECK(Run("ls -A '" + scene.folder / "found'").out == "matte.tif\n");
  // Where no picture can be, no folder is left.
  CheckRefused(scene, "render scene.toml --artwork mark=mark.svg --out none/a.png --passes new",
               "none/a.png: error: cannot write: No such file or directory\n");
  CheckRefused(scene, "render scene.toml --artwork mark=mark.svg --out matte.tif --passes .",
               "--passes matte.tif: error: is also the picture; expected a name of its own\n");
}

TEST_CASE("passes: a folder without the right to write", "[cli][bad-input]") {
  if (geteuid() == 0) return;  // root may write everywhere
  const SmallScene scene;
  std::filesystem::create_directory(scene.folder / "locked");
  REQUIRE(chmod((scene.folder / "locked").c_str(), 0555) == 0);
  CheckRefused(scene, "render scene.toml --artwork mark=mark.svg --out a.png --passes locked",
               "locked/irradiance.tif: error: cannot write: Permission denied\n");
}

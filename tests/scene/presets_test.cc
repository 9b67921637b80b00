#include "scene/presets.h"

#include <filesystem>

#include <Eigen/Core>
#include <Eigen/LU>
#include <catch2/catch.hpp>

#include "scene_text.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

// Source  CIE 15:2018, 8.2.1 (Lab to XYZ); Bradford cone matrix and sRGB matrix as printed by
//         K. M. Lam 1985 (from memory) and IEC 61966-2-1:1999. A second form of what made the file,
//         in Eigen.
Eigen::Vector3d LinearFromLabD50(const std::vector<double>& lab) {
  const double fy = (lab[0] + 16) / 116;
  const auto ratio = [](double f) {
    constexpr double kKnee = 6.0 / 29;
    return f > kKnee ? f * f * f : 3 * kKnee * kKnee * (f - 4.0 / 29);
  };
  const Eigen::Vector3d d50(kWhiteD50.x, kWhiteD50.y, kWhiteD50.z);
  const Eigen::Vector3d d65(kWhiteD65.x, kWhiteD65.y, kWhiteD65.z);
  const Eigen::Vector3d xyz =
      Eigen::Vector3d(ratio(fy + lab[1] / 500), ratio(fy), ratio(fy - lab[2] / 200))
          .cwiseProduct(d50);
  Eigen::Matrix3d cones;
  cones << 0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296;
  Eigen::Matrix3d linear_from_xyz;
  linear_from_xyz << 3.2406, -1.5372, -0.4986, -0.9689, 1.8758, 0.0415, 0.0557, -0.2040, 1.0570;
  const Eigen::Vector3d gain = (cones * d65).cwiseQuotient(cones * d50);
  return linear_from_xyz * (cones.inverse() * gain.asDiagonal() * cones * xyz);
}

const TomlNode* Entry(const TomlNode& table, const std::string& key) {
  for (const TomlEntry& entry : table.entries) {
    if (entry.key == key) return &entry.value;
  }
  return nullptr;
}

}  // namespace

// Limit   5e-4: the program inverts the matrix of IEC 61966-2-1; the standard's own inverse has four printed decimals.
TEST_CASE("Substrates: reflectances are those of the stated Lab values", "[scene][reference]") {
  std::string path;
  const Result<TomlNode> root = ReadSharedFile(SourcePath("."), "substrates.toml", path);
  REQUIRE(root.ok());
  const Result<Presets> presets = ReadPresets(SourcePath("."));
  REQUIRE(presets.ok());
  const TomlNode* all = Entry(*root, "substrate");
  REQUIRE(all);
  CHECK(all->items.size() >= 9);
  for (const TomlNode& preset : all->items) {
    const TomlNode* lab = Entry(preset, "lab");
    REQUIRE(lab);
    std::vector<double> numbers;
    for (const TomlNode& item : lab->items) numbers.push_back(item.number);
    const Eigen::Vector3d expected = LinearFromLabD50(numbers);
    const Substrate* read = presets->FindSubstrate(Entry(preset, "name")->text);
    REQUIRE(read);
    INFO(read->name << " (linear, no unit)");
    const double bands[3] = {read->reflectance.r, read->reflectance.g, read->reflectance.b};
    for (int band = 0; band < 3; ++band) {
      CHECK(bands[band] == Approx(expected[band]).margin(5e-4).epsilon(0));
    }
  }
}

// Source  Lab 100, 0, 0 is the white itself, so its reflectance is 1 in each band.
// Limit   3e-4: the four printed decimals of the sRGB matrix and of the whites.
TEST_CASE("Substrates: the conversion maps the D50 white to 1, 1, 1", "[scene][closed-form]") {
  const Eigen::Vector3d white = LinearFromLabD50({100, 0, 0});
  for (int band = 0; band < 3; ++band) CHECK(white[band] == Approx(1).margin(3e-4).epsilon(0));
}

TEST_CASE("Presets: names and numbers that the contract states", "[scene][published]") {
  const Result<Presets> presets = ReadPresets(SourcePath("."));
  REQUIRE(presets.ok());
  for (const char* name : {"coated paper", "uncoated paper", "brown kraft board",
                           "white-lined board", "natural cotton", "bleached cotton", "plaster wall",
                           "concrete wall", "white painted wall"}) {
    INFO(name);
    CHECK(presets->FindSubstrate(name));
  }
  CHECK_FALSE(presets->FindSubstrate("Coated Paper"));
  REQUIRE(presets->FindInk("transparent"));
  CHECK(presets->FindInk("transparent")->opacity == 0);
  CHECK(presets->FindInk("transparent")->white == 0.85);
  REQUIRE(presets->FindInk("opaque"));
  CHECK(presets->FindInk("opaque")->opacity == 1);
  CHECK(presets->FindInk("opaque")->white == 0.85);
}

TEST_CASE("Presets: a broken file is reported like a scene", "[scene][bad-input]") {
  const TempFolder folder;
  std::filesystem::create_directory(folder / "shared");
  WriteText(folder / "shared/substrates.toml",
            "[[substrate]]\nname = \"coated paper\"\nreflectance = [0.8, 0, 0.8]\nglos = 1\n");
  const Result<Presets> presets = ReadPresets(folder.path());
  REQUIRE_FALSE(presets.ok());
  const std::string file = folder / "shared/substrates.toml";
  CHECK(FormatErrors(presets.errors()) ==
        file + ":1:1: error: substrate.source: missing; expected where the numbers come from\n" +
            file +
            ":3:21: error: substrate.reflectance = [0.8, 0, 0.8]: expected a reflectance above 0, "
            "at most 1\n" +
            file + ":4:1: error: substrate.glos: unknown key; did you mean gloss?\n" +
            folder / "shared/inks.toml" + ": error: cannot open, no such file\n" +
            folder / "shared/finishes.toml" + ": error: cannot open, no such file\n");
}

#include "scene/scene_paths.h"

#include <filesystem>

#include <catch2/catch.hpp>

#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;
namespace fs = std::filesystem;

namespace {

constexpr char kOutside[] = "lies outside the scene's folder; name its folder with --allow FOLDER";

// tree/scenes (the scene's), tree/data/{shared,assets-open}, tree/other.
struct Tree {
  TempFolder folder;
  std::string root = fs::canonical(folder.path()).string();
  ReadSceneOptions options;

  Tree() {
    for (const char* name :
         {"scenes/art", "scenes-2", "data/shared", "data/assets-open", "other"}) {
      fs::create_directories(root + "/" + name);
    }
    WriteText(root + "/other/x.jpg", "x");
    options.data_folder = root + "/data";
  }
  std::string Resolve(const std::string& name) const {
    const Result<std::string> path = ScenePaths(root + "/scenes/s.toml", options).Resolve(name);
    return path.ok() ? *path : path.errors().front().message;
  }
};

}  // namespace

TEST_CASE("Paths: inside the scene's folder and the data folders", "[scene][closed-form]") {
  const Tree tree;
  CHECK(tree.Resolve("x.jpg") == tree.root + "/scenes/x.jpg");
  CHECK(tree.Resolve("./art/../x.jpg") == tree.root + "/scenes/x.jpg");
  CHECK(tree.Resolve("none/deeper/x.jpg") == tree.root + "/scenes/none/deeper/x.jpg");
  CHECK(tree.Resolve("../data/shared/x.jpg") == tree.root + "/data/shared/x.jpg");
  CHECK(tree.Resolve(tree.root + "/data/assets-open/x.jpg") ==
        tree.root + "/data/assets-open/x.jpg");
}

TEST_CASE("Paths: outside, however it is written", "[scene][bad-input]") {
  const Tree tree;
  for (const std::string& name :
       {std::string("../x.jpg"), std::string("../other/x.jpg"), std::string("/etc/passwd"),
        tree.root, std::string("."), std::string("art/../../other/x.jpg"),
        std::string("none/../../x.jpg"), std::string("../scenes-2/x.jpg"),
        std::string("../data/x.jpg")}) {
    INFO(name);
    CHECK(tree.Resolve(name) == kOutside);
  }
}

TEST_CASE("Paths: links are followed before they are judged", "[scene][bad-input]") {
  const Tree tree;
  fs::create_symlink("../other/x.jpg", tree.root + "/scenes/file.jpg");
  fs::create_directory_symlink("../other", tree.root + "/scenes/folder");
  fs::create_symlink("loop.jpg", tree.root + "/scenes/loop.jpg");
  fs::create_symlink("art/y.jpg", tree.root + "/scenes/inside.jpg");
  WriteText(tree.root + "/scenes/art/y.jpg", "y");
  CHECK(tree.Resolve("file.jpg") == kOutside);
  CHECK(tree.Resolve("folder/x.jpg") == kOutside);
  CHECK(tree.Resolve("folder/none.jpg") == kOutside);
  CHECK(tree.Resolve("inside.jpg") == tree.root + "/scenes/art/y.jpg");
  CHECK(tree.Resolve("loop.jpg") == "cannot be resolved: Too many levels of symbolic links");
}

TEST_CASE("Paths: a folder that the user allows, also through a link", "[scene][closed-form]") {
  Tree tree;
  fs::create_directory_symlink(tree.root + "/other", tree.root + "/link");
  for (const std::string& allowed :
       {tree.root + "/other", tree.root + "/other/", tree.root + "/link"}) {
    tree.options.allowed_folders = {allowed};
    CHECK(tree.Resolve("../other/x.jpg") == tree.root + "/other/x.jpg");
    CHECK(tree.Resolve("../scenes-2/x.jpg") == kOutside);
  }
}

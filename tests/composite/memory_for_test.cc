#include "composite/memory_for.h"

#include <catch2/catch.hpp>

#include <string>

#include <fmt/format.h>

#include "scene/read_scene.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMiB = int64_t{1} << 20;

SolvedScene Solve(const std::string& name) {
  const std::string file = WHEATPASTE_SOURCE_DIR "/scenes/" + name + ".toml";
  auto scene = ReadScene(file, {WHEATPASTE_SOURCE_DIR, {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  auto solved = SolveScene(*std::move(scene));
  if (!solved) FAIL(FormatErrors(solved.errors()));
  return *std::move(solved);
}

TEST_CASE("Memory: print", "[.print]") {
  for (const char* n : {"stair_poster", "seed_carton", "seed_carton_foil", "paper_cup", "tote_bag"}) {
    const SolvedScene solved = Solve(n);
    for (const SizePx size : {SizePx{1920, 1080}, solved.photo.size, SizePx{3840, 2160}, SizePx{9933, 14043}, SizePx{14400, 3600}}) {
      PictureWish wish;
      wish.size = size;
      fmt::print("{} {}x{} {} MiB\n", n, size.width, size.height, MemoryFor(solved, wish) / kMiB);
    }
  }
}

}  // namespace
}  // namespace wheatpaste

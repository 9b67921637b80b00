// scene_fuzz.cc - any bytes as a scene file and as a run sheet: what they hold or errors, never a crash, a hang or a
// broken promise.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "base/check.h"
#include "scene/read_scene.h"
#include "scene/run_sheet.h"

// Where shared/ is: the source tree, or the working folder when the build does not say.
#ifndef WHEATPASTE_SOURCE_DIR
#define WHEATPASTE_SOURCE_DIR "."
#endif

namespace {

using namespace wheatpaste;

void CheckPromises(const Scene& scene) {
  WHEATPASTE_CHECK(!scene.surfaces.empty());
  for (const Surface& surface : scene.surfaces) {
    WHEATPASTE_CHECK(surface.corners.size() == 4 || surface.marks.size() >= 4);
    WHEATPASTE_CHECK(surface.size || surface.marks.empty());
    WHEATPASTE_CHECK(!surface.size || (surface.size->x > 0 && surface.size->y > 0));
    for (const PhotoPx& corner : surface.corners) {
      WHEATPASTE_CHECK(std::isfinite(corner.x) && std::isfinite(corner.y));
    }
    for (const Polygon& outline : surface.occlusion.in_front) WHEATPASTE_CHECK(outline.size() >= 3);
  }
  for (const Placement& placement : scene.placements) {
    WHEATPASTE_CHECK(placement.surface < scene.surfaces.size());
    WHEATPASTE_CHECK(!placement.width_mm || !placement.height_mm);
    const bool in_mm = placement.width_mm || placement.height_mm || placement.at;
    WHEATPASTE_CHECK(!in_mm || scene.surfaces[placement.surface].size);
  }
}

void CheckPromises(const RunSheet& sheet) {
  WHEATPASTE_CHECK(!sheet.scenes.empty() && !sheet.artworks.empty() && !sheet.outputs.empty());
  for (const OutputSpec& output : sheet.outputs) {
    WHEATPASTE_CHECK(!output.name.value.empty() && !output.format.value.empty());
    WHEATPASTE_CHECK(DensityOf(output).value > 0 && output.bleed_mm >= 0);
    if (const auto size = SheetSizeOf(output)) WHEATPASTE_CHECK(size->with_bleed.area() > 0);
  }
  for (const RunArtwork& artwork : sheet.artworks) {
    for (const char c : artwork.name.value) WHEATPASTE_CHECK(c != '/' && c != '.');
  }
}

void CheckErrors(const Errors& errors) {
  uint32_t line = 0;
  for (const Error& error : errors) {
    const std::string text = FormatError(error);
    WHEATPASTE_CHECK(text.find('\n') == std::string::npos);
    WHEATPASTE_CHECK(!error.message.empty());
    WHEATPASTE_CHECK(error.place.line >= line || error.place.line == 0);
    line = error.place.line;
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  const ReadSceneOptions options{.data_folder = WHEATPASTE_SOURCE_DIR, .allowed_folders = {}};
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Result<Scene> scene = ParseScene(text, "fuzz/scene.toml", options);
  if (scene.ok()) {
    CheckPromises(*scene);
  } else {
    CheckErrors(scene.errors());
  }
  const Result<RunSheet> sheet = ParseRunSheet(text, "fuzz/run.toml", options);
  if (sheet.ok()) {
    CheckPromises(*sheet);
  } else {
    CheckErrors(sheet.errors());
  }
  return 0;
}

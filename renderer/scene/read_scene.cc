#include "scene/read_scene.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/files.h"
#include "scene/print_condition.h"
#include "scene/read_colour.h"
#include "scene/read_colourways.h"
#include "scene/read_occlusion.h"
#include "scene/read_stage.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxTitleBytes = 200;
constexpr NumberRule kFocalPxRule{0, false, 1e7, "a focal length above 0 px, at most 10000000 px"};
constexpr NumberRule kDistortionRule{-10, true, 10, "a number from -10 to 10"};
constexpr NumberRule kFocal35Rule{0, false, 1e4, "a focal length above 0 mm, at most 10000 mm"};

void ReadPhoto(TableReader& root, const SceneContext& context, Photo& photo) {
  constexpr char kExpected[] = "a [photo] table with file = \"...\"";
  const TomlNode* node = root.Find("photo");
  if (const TomlNode* stage = root.Find("stage")) {
    if (node) root.mistakes().Add(*stage, "stage", "expected [photo] or [stage], not both");
  } else {
    root.Require("photo", fmt::format("{}, or a [stage]", kExpected));
  }
  if (!node) return;
  if (node->kind != TomlKind::kTable) {
    root.Refuse("photo", *node, fmt::format("expected {}", kExpected));
    return;
  }
  TableReader table(*node, "photo", root.mistakes());
  table.Require("file", "the photograph's file name");
  if (auto file = ReadFileName(table, "file", context.paths)) photo.file = *std::move(file);
  photo.focal_px = table.Number("focal_px", kFocalPxRule);
  photo.focal_35mm = table.Number("focal_35mm", kFocal35Rule);
  const TomlNode* focal_35mm = table.Find("focal_35mm");
  if (focal_35mm && table.Find("focal_px")) {
    table.Refuse("focal_35mm", *focal_35mm, "expected focal_px or focal_35mm, not both");
  }
  if (const auto bend = table.Numbers("distortion", 2, kDistortionRule, "[k1, k2]")) {
    photo.distortion = {(*bend)[0], (*bend)[1]};
    if (!focal_35mm && !table.Find("focal_px")) {
      table.Refuse(
          "distortion", *table.Find("distortion"),
          "expected focal_px or focal_35mm beside it, as k1 and k2 count in focal lengths");
    }
  }
  ReadOcclusion(table, context.paths, photo.occlusion);
  table.RefuseUnknown();
}

void RefuseUnreadLight(const std::vector<SurfaceDraft>& surfaces,
                       const std::vector<Placement>& placements, Mistakes& mistakes) {
  for (size_t i = 0; i < surfaces.size(); ++i) {
    const TomlNode* light = surfaces[i].unread_light;
    if (!light || std::any_of(placements.begin(), placements.end(), [i](const Placement& p) {
          return p.surface == i && !p.finishes.empty();
        })) {
      continue;
    }
    mistakes.Add(
        *light, "surface.light_from = " + ValueText(*light),
        "expected `relief = \"photo\"` beside it, or a finish on the surface, which reads it");
  }
}

std::vector<SurfaceDraft> ReadSurfaces(TableReader& root, const SceneContext& context) {
  std::vector<SurfaceDraft> surfaces;
  const TomlNode* written = root.Find("surface");
  // Where [stage] was refused, its objects would have been the surfaces.
  if (!root.Find("stage")) root.Require("surface", "at least one [[surface]] table");
  for (const TomlNode* node : ReadAtMost(root, "surface", kMaxSurfaces)) {
    surfaces.push_back(ReadSurface(*node, context, surfaces, root.mistakes()));
  }
  if (written && written->kind == TomlKind::kArray && written->items.empty()) {
    root.Refuse("surface", *written, "expected at least one [[surface]] table");
  }
  return surfaces;
}

}  // namespace

std::optional<Placed<std::string>> ReadFileName(TableReader& table, std::string_view key,
                                                const ScenePaths& paths) {
  const TomlNode* node = table.Line(key, kMaxPathBytes);
  if (!node) return {};
  Result<std::string> path = paths.Resolve(node->text);
  if (path.ok()) {
    return Placed<std::string>{*std::move(path), table.mistakes().PlaceOf(*node), table.KeyOf(key)};
  }
  for (const Error& error : path.errors()) table.Refuse(key, *node, error.message);
  return {};
}

Result<Scene> ReadScene(const std::string& path, const ReadSceneOptions& options) {
  const Result<Bytes> bytes = ReadWholeFile({path, {path}, ""}, kMaxSceneBytes);
  if (!bytes.ok()) return bytes.errors();
  return ParseScene({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path, options);
}

Result<Scene> ParseScene(std::string_view text, const std::string& path,
                         const ReadSceneOptions& options) {
  const Result<Presets> presets = ReadPresets(options.data_folder);
  if (!presets.ok()) return presets.errors();
  const Result<TomlNode> file = ParseToml(text, path);
  if (!file.ok()) return file.errors();

  const ScenePaths paths(path, options);
  Mistakes mistakes(path);
  TableReader root(*file, "", mistakes);
  Scene scene;
  scene.file = path;
  if (const TomlNode* title = root.Line("title", kMaxTitleBytes)) scene.title = title->text;
  scene.swatches = ReadSwatches(root);
  const SceneContext context{*presets, paths, scene.swatches};
  scene.print_condition = ReadPrintCondition(root, paths, options.data_folder);
  ReadPhoto(root, context, scene.photo);
  scene.stage = ReadStage(root, context);
  std::vector<SurfaceDraft> surfaces =
      scene.stage ? ReadStageSurfaces(*scene.stage, root) : ReadSurfaces(root, context);
  for (const TomlNode* node : ReadAtMost(root, "placement", kMaxPlacements)) {
    scene.placements.push_back(ReadPlacement(*node, context, surfaces, mistakes));
  }
  scene.frame = ReadFrame(root, surfaces);
  scene.colourways = ReadColourways(root);
  for (const Colourway& colourway : scene.colourways) {
    const auto changes = ChangesOf(colourway, scene.swatches);
    if (changes.ok()) continue;
    for (const Error& error : changes.errors()) {
      mistakes.Add(error.place, error.subject, error.message);
    }
  }
  RefuseUnreadLight(surfaces, scene.placements, mistakes);
  root.RefuseUnknown();
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  for (SurfaceDraft& draft : surfaces) scene.surfaces.push_back(std::move(draft.surface));
  return scene;
}

}  // namespace wheatpaste

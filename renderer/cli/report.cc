#include "cli/report.h"

#include <cmath>

#include "base/units.h"

namespace wheatpaste {
namespace {

Json PointOf(double x, double y) { return Json::array({x, y}); }

Json CameraOf(const Camera& camera) {
  return {
      {"focal_px", camera.focal_px},
      {"focal_sd_px", camera.source == FocalSource::kSolved ? Json(camera.focal_sd_px) : Json()},
      {"source", NameOf(camera.source)},
      {"principal_px", PointOf(camera.principal.x, camera.principal.y)}};
}

Json SurfaceOf(const Surface& surface, const FittedPlane& plane, const Camera& camera) {
  Json outline = Json::array();
  for (const PhotoPx& corner : plane.outline) outline.push_back(PointOf(corner.x, corner.y));
  return {{"name", surface.name.value},
          {"shape", "plane"},
          {"size_mm", plane.size_known ? PointOf(plane.size.x, plane.size.y) : Json()},
          {"aspect", plane.aspect.value},
          {"aspect_sd", plane.size_known ? Json() : Json(plane.aspect.sd)},
          {"camera", CameraOf(camera)},
          {"residual_px", plane.residual_px},
          {"corners_px", outline},
          {"substrate", surface.substrate.value.name},
          {"substrate_stated", surface.substrate.value.stated},
          {"warnings", plane.warnings}};
}

Json PlacementOf(const SolvedScene& solved, const Placement& placement,
                 const ArtworkByName& artworks) {
  Json json = {{"surface", solved.scene.surfaces[placement.surface].name.value},
               {"artwork", placement.artwork.value},
               {"ink", placement.ink.value.name},
               {"opacity", placement.ink.value.opacity},
               {"white", placement.ink.value.white}};
  const auto found = artworks.find(placement.artwork.value);
  if (found == artworks.end() || found->second == nullptr) {
    json["filled"] = false;
    return json;
  }
  const Artwork& artwork = *found->second;
  const FittedPlane& plane = solved.planes[placement.surface];
  const PlacedSize placed = PlacedSizeOf(solved, placement, artwork);
  json["filled"] = true;
  json["vector"] = artwork.is_vector();
  json["colour"] = artwork.colour_description();
  json["width_mm"] = plane.size_known ? Json(placed.size.x) : Json();
  json["height_mm"] = plane.size_known ? Json(placed.size.y) : Json();
  json["width_share"] = placed.size.x / plane.size.x;
  if (!artwork.is_vector()) {
    json["pixels"] = Json::array({artwork.pixels().width, artwork.pixels().height});
  }
  // The lower of the two directions; they differ only where the artwork is stretched.
  json["ppi"] = Json();
  if (!artwork.is_vector() && plane.size_known) {
    const double across = static_cast<double>(artwork.pixels().width) / placed.size.x;
    const double down = static_cast<double>(artwork.pixels().height) / placed.size.y;
    json["ppi"] = std::min(across, down) * kMmPerInch;
  }
  return json;
}

}  // namespace

Json ReportOf(const SolvedScene& solved, const ArtworkByName& artworks) {
  const Scene& scene = solved.scene;
  Json json;
  json["program"] = {{"name", "wheatpaste"}, {"version", WHEATPASTE_VERSION}};
  json["scene"] = {{"file", scene.file}, {"title", scene.title}};
  json["photo"] = {{"file", scene.photo.file.value},
                   {"size_px", Json::array({solved.photo.size.width, solved.photo.size.height})},
                   {"profile", solved.photo.profile ? solved.photo.profile->description() : "sRGB"},
                   {"profile_assumed", !solved.photo.profile.has_value()},
                   {"exif_orientation", solved.photo.exif.orientation}};
  json["camera"] = CameraOf(solved.camera);
  json["surfaces"] = Json::array();
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    json["surfaces"].push_back(SurfaceOf(scene.surfaces[i], solved.planes[i], solved.camera));
  }
  json["placements"] = Json::array();
  for (const Placement& placement : scene.placements) {
    json["placements"].push_back(PlacementOf(solved, placement, artworks));
  }
  json["notes"] = NotesOf(solved, artworks);
  json["warnings"] = WarningsOf(solved);
  return json;
}

Json ReportOf(const Errors& errors) {
  Json list = Json::array();
  for (const Error& error : errors) {
    Json entry = {{"file", error.place.file}};
    if (error.place.line > 0) {
      entry["line"] = error.place.line;
      entry["column"] = error.place.column;
    }
    entry["subject"] = error.subject;
    entry["message"] = error.message;
    list.push_back(entry);
  }
  return {{"program", {{"name", "wheatpaste"}, {"version", WHEATPASTE_VERSION}}}, {"errors", list}};
}

std::string Print(const Json& json) {
  return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace wheatpaste

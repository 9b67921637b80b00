#include "cli/report.h"

#include <cmath>

#include <fmt/format.h>

#include "base/units.h"
#include "brand/size_rules.h"
#include "cli/commands.h"

namespace wheatpaste {
namespace {

Json PointOf(double x, double y) { return Json::array({x, y}); }

Json VectorOf(const Eigen::Vector3d& v) { return Json::array({v.x(), v.y(), v.z()}); }

Json CameraOf(const Camera& camera) {
  return {
      {"focal_px", camera.focal_px},
      {"focal_sd_px", camera.source == FocalSource::kSolved ? Json(camera.focal_sd_px) : Json()},
      {"source", NameOf(camera.source)},
      {"principal_px", PointOf(camera.principal.x, camera.principal.y)},
      {"distortion", PointOf(camera.lens.k1, camera.lens.k2)}};
}

// Angle times axis in degrees, and the object's origin in camera mm.
Json PoseOf(const FittedSurface& fitted) {
  if (!fitted.pose) return {};
  const auto numbers = fitted.pose->Numbers();
  const Eigen::Vector3d turn(numbers[0], numbers[1], numbers[2]);
  Json pose = {{"turn_degrees", VectorOf(turn * kDegreesPerRad)},
               {"origin_mm", VectorOf(fitted.pose->translation)},
               {"turn_sd_degrees", Json()},
               {"origin_sd_mm", Json()}};
  if (fitted.pose_sd) {
    pose["turn_sd_degrees"] = VectorOf(fitted.pose_sd->rotation_rad * kDegreesPerRad);
    pose["origin_sd_mm"] = VectorOf(fitted.pose_sd->translation_mm);
  }
  return pose;
}

// Null where it is to be read from the photo, which only a render does.
Json ReflectanceOf(const Substrate& substrate) {
  if (!substrate.known) return {};
  const Reflectance& r = substrate.reflectance;
  return Json::array({r.r, r.g, r.b});
}

Json SurfaceOf(const Surface& surface, const FittedSurface& fitted, const Camera& camera) {
  Json corners = Json::array(), faces = Json::array(), lengths = Json::object();
  for (const PhotoPx& corner : fitted.corners) corners.push_back(PointOf(corner.x, corner.y));
  for (const Face& face : fitted.faces) {
    if (face.name.empty()) continue;
    const SurfaceMm size = SizeOf(face.area);
    faces.push_back({{"name", surface.name.value + "." + face.name},
                     {"size_mm", PointOf(size.x, size.y)},
                     {"seen", !face.charts.empty()}});
  }
  for (const SolvedLength& length : fitted.solved_lengths) {
    lengths[length.name] = {{"mm", length.mm.value}, {"sd_mm", length.mm.sd}};
  }
  return {{"name", surface.name.value},
          {"shape", NameOf(surface.shape)},
          {"size_mm", fitted.size_known ? PointOf(fitted.size.x, fitted.size.y) : Json()},
          {"aspect", fitted.aspect.value},
          {"aspect_sd", fitted.size_known ? Json() : Json(fitted.aspect.sd)},
          {"solved_lengths", lengths},
          {"camera", CameraOf(camera)},
          {"pose", PoseOf(fitted)},
          {"residual_px", fitted.residual_px},
          {"corners_px", corners},
          {"faces", faces},
          {"substrate", surface.substrate.value.name},
          {"substrate_stated", surface.substrate.value.stated},
          {"substrate_reflectance", ReflectanceOf(surface.substrate.value)},
          {"old_print", surface.old_print == OldPrint::kRemove ? "remove" : "keep"},
          {"warnings", fitted.warnings}};
}

// Null where there is a photo.
Json StageOf(const SolvedScene& solved) {
  if (!solved.stage) return {};
  const Stage& stage = solved.stage->stage();
  return {{"samples", stage.samples},
          {"denoise", stage.denoise},
          {"base", stage.base ? Json(stage.base->value) : Json()},
          {"digest", solved.stage->built().digest}};
}

// Null where colours are as on screen.
Json ProofOf(const Scene& scene) {
  if (!scene.print_condition) return {};
  const PrintCondition& condition = *scene.print_condition;
  return {{"condition", condition.name},
          {"data", condition.data.empty() ? Json() : Json(condition.data)},
          {"profile", condition.profile.value},
          {"intent", scene.proof_intent == ProofIntent::kAbsolute ? "absolute" : "relative"},
          {"total_ink_limit",
           condition.total_ink_percent ? Json(*condition.total_ink_percent) : Json()}};
}

Json FinishesOf(const Placement& placement) {
  Json finishes = Json::array();
  for (const Finish& finish : placement.finishes) {
    Json json = {{"finish", finish.name}, {"kind", NameOf(finish.kind)}};
    if (finish.mask) json["mask"] = finish.mask->value;
    if (finish.colour) json["colour"] = HexOf(finish.colour->value);
    if (finish.has_relief()) {
      json["depth_mm"] = finish.depth_mm;
      json["edge_mm"] = finish.edge_mm;
    } else {
      json["roughness"] = finish.roughness;
    }
    if (finish.kind == FinishKind::kVarnish) json["gloss"] = finish.gloss;
    if (finish.kind == FinishKind::kFoil) json["metal"] = NameOf(finish.metal);
    finishes.push_back(json);
  }
  return finishes;
}

Json PlacementOf(const SolvedScene& solved, const Placement& placement,
                 const ArtworkByName& artworks) {
  const Ink& ink = placement.ink.value;
  const auto surfaces = SurfaceNamesOf(solved.scene, placement);
  Json json = {{"surface", surfaces.size() == 1 ? Json(surfaces.front()) : Json(surfaces)},
               {"artwork", placement.artwork.value},
               {"ink", ink.name},
               {"opacity", ink.opacity},
               {"hiding", ink.hiding ? Json(*ink.hiding) : Json()},
               {"white", ink.white},
               {"white_is", NameOf(ink.white_meaning())},
               {"underbase", ink.underbase ? Json(ink.underbase->name) : Json()},
               {"stock", ink.stock ? Json(ink.stock->name) : Json()},
               {"overlap", ink.meeting == Meeting::kKnockOut ? "knock_out" : "overprint"}};
  json["printed"] = placement.printed;
  json["finishes"] = FinishesOf(placement);
  const auto found = artworks.find(placement.artwork.value);
  if (found == artworks.end() || found->second == nullptr) {
    json["filled"] = false;
    return json;
  }
  const Artwork& artwork = *found->second;
  const FittedSurface& fitted = solved.surfaces[placement.surface];
  const PlacedSize placed = PlacedSizeOf(solved, placement, artwork);
  json["filled"] = true;
  json["vector"] = artwork.is_vector();
  json["colour"] = artwork.colour_description();
  json["width_mm"] = fitted.size_known ? Json(placed.size.x) : Json();
  json["height_mm"] = fitted.size_known ? Json(placed.size.y) : Json();
  json["width_share"] = placed.size.x / fitted.size.x;
  if (!artwork.is_vector()) {
    json["pixels"] = Json::array({artwork.pixels().width, artwork.pixels().height});
  }
  // The lower of the two directions; they differ only where the artwork is stretched.
  json["ppi"] = Json();
  if (!artwork.is_vector() && fitted.size_known) {
    json["ppi"] = PpiOf(artwork, placed.size);
  }
  return json;
}

}  // namespace

Json ReportOf(const SolvedScene& solved, const ArtworkByName& artworks) {
  const Scene& scene = solved.scene;
  Json json;
  json["program"] = {{"name", "wheatpaste"}, {"version", WHEATPASTE_VERSION}};
  json["scene"] = {{"file", scene.file}, {"title", scene.title}};
  json["photo"] = {{"file", solved.stage ? Json() : Json(scene.photo.file.value)},
                   {"size_px", Json::array({solved.photo.size.width, solved.photo.size.height})},
                   {"profile", solved.photo.profile ? solved.photo.profile->description() : "sRGB"},
                   {"profile_assumed", !solved.photo.profile.has_value()},
                   {"exif_orientation", solved.photo.exif.orientation}};
  json["stage"] = StageOf(solved);
  json["camera"] = CameraOf(solved.camera);
  json["proof"] = ProofOf(scene);
  json["surfaces"] = Json::array();
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    json["surfaces"].push_back(SurfaceOf(scene.surfaces[i], solved.surfaces[i], solved.camera));
  }
  json["placements"] = Json::array();
  for (const Placement& placement : scene.placements) {
    json["placements"].push_back(PlacementOf(solved, placement, artworks));
  }
  json["notes"] = NotesOf(solved, artworks);
  json["warnings"] = WarningsOf(solved);
  return json;
}

Json ColourwayOf(const std::optional<std::string>& name, const std::vector<ColourChange>& changes) {
  if (!name) return {};
  Json table = Json::object();
  for (const ColourChange& change : changes) table[HexOf(change.from.value)] = HexOf(change.to);
  return {{"name", *name}, {"recolour", table}};
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

int Refuse(const Errors& errors, bool json) {
  fmt::print(stderr, "{}", FormatErrors(errors));
  if (json) fmt::print("{}", Print(ReportOf(errors)));
  return kExitBadInput;
}

std::string Print(const Json& json) {
  return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace wheatpaste

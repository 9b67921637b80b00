#include "composite/finish_notes.h"

#include <algorithm>

#include <fmt/format.h>

#include "light/light_direction.h"

namespace wheatpaste {
namespace {

constexpr int64_t kEveryPx = 4;

std::string NameOf(const PreparedScene& scene, const PreparedArtwork& ready,
                   const PreparedChart& chart) {
  const size_t surface = scene.solved.scene.placements[ready.placement].surface;
  const std::string& face = scene.solved.surfaces[surface].faces[chart.face].name;
  return scene.solved.scene.surfaces[surface].name.value + (face.empty() ? "" : "." + face);
}

// The brightest that a varnish mirrors of the lamp, over the light on the surface.
double BrightestGlint(const PreparedScene& scene, const PreparedChart& chart,
                      const ArtworkPiece& piece, double roughness) {
  const FaceLight& face = *chart.face_light;
  const RectPx& region = chart.picture.region;
  double brightest = 0;
  for (int64_t y = 0; y < region.height(); y += kEveryPx) {
    const Span& span = piece.rows[static_cast<size_t>(y)];
    for (int64_t x = span.x0 - region.x0; x < span.x1 - region.x0; x += kEveryPx) {
      const Eigen::Vector3d ray = RayOf(
          scene.analysed, scene.solved.camera,
          {static_cast<double>(region.x0 + x) + 0.5, static_cast<double>(region.y0 + y) + 0.5});
      const Eigen::Vector3d normal(face.normals.row(0, y)[x], face.normals.row(1, y)[x],
                                   face.normals.row(2, y)[x]);
      const double diffuse = face.surroundings.Diffuse(normal);
      if (!(diffuse > 0)) continue;
      brightest =
          std::max(brightest,
                   VarnishGlint(roughness, face.surroundings, face.ViewOf(normal, ray)) / diffuse);
    }
  }
  return brightest;
}

}  // namespace

std::vector<std::string> FinishNotes(const PreparedScene& scene,
                                     const std::vector<PreparedArtwork>& artworks) {
  std::vector<std::string> notes;
  bool foil = false;
  const auto add = [&notes](std::string note) {
    if (std::find(notes.begin(), notes.end(), note) == notes.end())
      notes.push_back(std::move(note));
  };
  for (const PreparedArtwork& ready : artworks) {
    if (!ready.finishes) continue;
    for (const PreparedCoat& coat : ready.finishes->coats) foil |= coat.foil != nullptr;
    const size_t surface = scene.solved.scene.placements[ready.placement].surface;
    for (const ArtworkPiece& piece : ready.pieces) {
      const PreparedChart& chart = scene.surfaces[surface].charts[piece.chart];
      const FaceLight& face = *chart.face_light;
      const std::string name = NameOf(scene, ready, chart);
      if (!face.stands_known) {
        add(name +
            ": how it stands in space is not known; its finishes are shown as if it faced "
            "the camera; give the photo's focal length");
      }
      if (face.source == LightSource::kUsual) {
        add(
            fmt::format("{}: the photo does not tell where its light comes from; its finishes are "
                        "lit from its upper left; where you know better, say light_from",
                        name));
      }
    }
  }
  if (foil) {
    notes.push_back(
        "foil: its colour and how it catches the light are worked out, what it mirrors is a "
        "made-up "
        "room");
  }
  return notes;
}

std::vector<std::string> FinishWarnings(const PreparedScene& scene,
                                        const std::vector<PreparedArtwork>& artworks) {
  std::vector<std::string> warnings;
  for (const PreparedArtwork& ready : artworks) {
    if (!ready.finishes) continue;
    const Placement& placement = scene.solved.scene.placements[ready.placement];
    for (const PreparedCoat& coat : ready.finishes->coats) {
      if (coat.foil || ready.pieces.empty()) continue;
      bool glossy = false;
      double brightest = 0;
      for (const ArtworkPiece& piece : ready.pieces) {
        const PreparedChart& chart = scene.surfaces[placement.surface].charts[piece.chart];
        glossy |= chart.gloss.has_value();
        if (coat.finish.gloss > 1 && !chart.gloss) {
          brightest =
              std::max(brightest, BrightestGlint(scene, chart, piece, coat.finish.roughness));
        }
      }
      const std::string name = coat.finish.name == "inline" ? "varnish" : coat.finish.name;
      if (!glossy && coat.finish.gloss > 1 && brightest < kLeastGlint) {
        warnings.push_back(
            fmt::format("{}: {} hardly shows from here: the light's mirror image lies elsewhere",
                        placement.artwork.value, name));
      } else if (!glossy && coat.finish.gloss <= 1) {
        warnings.push_back(fmt::format(
            "{}: {} does not show: the photo shows no gloss there that it could take away",
            placement.artwork.value, name));
      }
    }
  }
  return warnings;
}

}  // namespace wheatpaste

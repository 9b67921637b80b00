// build_stage.h - from what a scene says of its stage to a world that can be traced and printed on.
//
// Model   every object is made as a solid (make_solid.h), displaced where its material says so, leaned, tilted, turned and moved; all
//         triangles share one world. Charts are numbered through.
// Paper   a substrate's gloss g becomes a coat of share sqrt(g) and GGX alpha 0.6 (1 - g)^2: matt papers mirror little and broadly, varnish
//         like glass. A given roughness replaces alpha. Derived here, by eye; the light it sends is S and leaves the print's own colour alone.
// Looks   textures and the light map are only looked at for their digests: who finds the photograph kept does not wait for them.
// Camera  focal px by diagonals (surface/camera.h); lens radius = focal length / (2 f-number), the sensor's px as wide as on 36 x 24 mm.
// Sun     irradiance over pi on a surface that faces it is `strength`; soft lights and maps: radiance.
// Source  colours of black bodies: colour/black_body.h.
#pragma once

#include <string>
#include <vector>

#include <Eigen/Geometry>

#include "base/error.h"
#include "base/read_log.h"
#include "geometry/solid.h"
#include "scene/stage.h"
#include "stage/world.h"

namespace wheatpaste {

struct BuiltObject {
  Solid solid;  // object mm, displaced
  Eigen::Isometry3d world_from_object = Eigen::Isometry3d::Identity();
  int32_t first_chart = 0;  // of the world
};

struct BuiltStage {
  World world;
  bool has_looks = false;  // textures and light map are there (add_looks.h)
  // Of each of the world's materials, in the stage that this is built from, which must live on; null: plain.
  std::vector<const StageMaterial*> materials;
  std::vector<BuiltObject> objects;  // one for each of the stage's
  int32_t chart_count = 0;
  std::vector<std::string> warnings;  // plain words
  std::vector<std::string>
      notes;  // what holds of such things whatever the scene is, each said once
  // Of all that decides the traced photograph but the number of samples: the table as written, materials as resolved, files read.
  std::string digest;
  ReadFiles files;  // textures and light map among them
};

// What one of an object's parts is of: the part's own material, else the object's; null where it has none.
const StageMaterial* MaterialFor(const StageObject& object, const std::string& part);

// errors  of every object that cannot be made, every file that cannot be read; a face or object that is aimed at and is not there.
Result<BuiltStage> BuildStage(const Stage& stage);

}  // namespace wheatpaste

// build_stage.h - from what a scene says of its stage to a world that can be traced and printed on.
//
// Model   every object is made as a solid (make_solid.h), displaced where its material says so, leaned, tilted, turned and moved; all
//         triangles share one world. Charts are numbered through.
// Paper   a substrate's gloss g becomes a coat of share sqrt(g) and GGX alpha 0.6 (1 - g)^2: matt papers mirror little and broadly, varnish
//         like glass. A given roughness replaces alpha. Derived here, by eye; the light it sends is S and leaves the print's own colour alone.
// Texture with a stated substrate the picture of its colour is scaled so that its mean is the substrate's reflectance: a scan
//         tells where it is lighter, the preset how light it is. Without one it is taken as it is.
// Camera  focal px by diagonals (surface/camera.h); lens radius = focal length / (2 f-number), the sensor's px as wide as on 36 x 24 mm.
// Sun     irradiance over pi on a surface that faces it is `strength`; soft lights and maps: radiance.
// Source  colours of black bodies: colour/black_body.h.
#pragma once

#include <string>
#include <vector>

#include <Eigen/Geometry>

#include "base/error.h"
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
  std::vector<BuiltObject> objects;  // one for each of the stage's
  int32_t chart_count = 0;
  std::vector<std::string> warnings;  // plain words
  std::vector<std::string>
      notes;  // what holds of such things whatever the scene is, each said once
  // Of all that decides the traced photograph but the number of samples: the table as written, materials as resolved, files read.
  std::string digest;
};

// What one of an object's parts is of: the part's own material, else the object's; null where it has none.
const StageMaterial* MaterialFor(const StageObject& object, const std::string& part);

// errors  of every object, texture and light map that cannot be read or made; a face or object that is aimed at and is not there.
Result<BuiltStage> BuildStage(const Stage& stage);

}  // namespace wheatpaste

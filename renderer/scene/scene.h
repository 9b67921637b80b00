// scene.h - a scene file as the program understands it: checked, presets merged, paths resolved.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "colour/colour.h"
#include "geometry/coords.h"

namespace wheatpaste {

// A printed material before it is printed. Reflectance in the working primaries.
struct Substrate {
  std::string name;  // of the preset, or "inline"
  Reflectance reflectance{0.80, 0.80, 0.78};
  double gloss = 0;     // 0 matt to 1 mirror; read and kept, used from the gloss analysis on
  bool stated = false;  // false: the scene left it out and the default stands in
};

// How artwork lies on a substrate.
struct Ink {
  std::string name = "transparent";  // of the preset, or "inline"
  double opacity = 0;                // 0 filters what is under it, 1 hides it, linear in between
  double white = 0.85;  // reflectance that the artwork's #ffffff stands for when opaque
};

// A photo point whose place on the surface is known.
struct Mark {
  PhotoPx photo;
  SurfaceMm surface;
};

// Closed outline in photo px; inside is decided by the nonzero rule.
using Polygon = std::vector<PhotoPx>;

enum class Shape { kPlane };

struct Surface {
  Placed<std::string> name;
  Shape shape = Shape::kPlane;
  std::optional<SurfaceMm> size;  // width and height in mm; none: aspect ratio is solved
  Place size_place;
  std::vector<PhotoPx> corners;  // four, clockwise from the surface's own top left, or empty
  Place corners_place;
  std::vector<Mark> marks;  // further points, or instead of corners (then at least four);
                            // only where `size` is known
  Place marks_place;
  Placed<Substrate> substrate;
  std::optional<Placed<std::string>> matte;  // resolved path; white where the surface is seen
  std::vector<Polygon> in_front;             // outlines of things that stand before the surface
};

enum class Fit { kContain, kCover, kStretch };

struct Placement {
  size_t surface = 0;              // index into Scene::surfaces
  Placed<std::string> artwork;     // a slot's name or a file as written
  std::string artwork_path;        // resolved when it is a file; empty for a slot
  std::optional<double> width_mm;  // at most one of width and height; neither where size is unknown
  std::optional<double> height_mm;
  Fit fit = Fit::kContain;      // where neither is given
  std::optional<SurfaceMm> at;  // artwork's centre; none: the surface's (always, without size)
  double rotate_degrees = 0;    // clockwise
  Placed<Ink> ink;
  Place place;
};

struct Photo {
  Placed<std::string> file;        // resolved path
  std::optional<double> focal_px;  // at most one of the two
  std::optional<double> focal_35mm;
};

struct Scene {
  std::string file;
  std::string title;
  Photo photo;
  std::vector<Surface> surfaces;
  std::vector<Placement> placements;
};

}  // namespace wheatpaste

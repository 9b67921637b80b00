// obj_fuzz.cc - any bytes as an OBJ file: a mesh that keeps its promises, or an error in one line.
#include <cstdint>
#include <string_view>

#include "base/check.h"
#include "geometry/read_obj.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  using namespace wheatpaste;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto mesh = ParseObj(text, {"fuzz.obj", {"scene.toml", 1, 1}, "surface.file"}, 2.5);
  if (!mesh) {
    WHEATPASTE_CHECK(FormatErrors(mesh.errors()).find('\n') ==
                     FormatErrors(mesh.errors()).size() - 1);
    return 0;
  }
  WHEATPASTE_CHECK(!mesh->triangles.empty());
  WHEATPASTE_CHECK_OP(mesh->triangles.size(), ==, mesh->uv_triangles.size());
  WHEATPASTE_CHECK_OP(mesh->triangles.size(), ==, mesh->islands.size());
  for (size_t i = 0; i < mesh->triangles.size(); ++i) {
    for (size_t k = 0; k < 3; ++k) {
      WHEATPASTE_CHECK(static_cast<size_t>(mesh->triangles[i][k]) < mesh->vertices.size());
      WHEATPASTE_CHECK(static_cast<size_t>(mesh->uv_triangles[i][k]) < mesh->uvs.size());
    }
    WHEATPASTE_CHECK(mesh->islands[i] >= 0 && mesh->islands[i] < mesh->island_count);
  }
  const SurfaceMm square = SizeOfSquare(*mesh);
  WHEATPASTE_CHECK(square.x > 0 && square.y > 0);
  return 0;
}

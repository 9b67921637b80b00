#include "stage/make_solid.h"

#include "dieline/carton.h"
#include "stage/solids.h"

namespace wheatpaste {
namespace {

struct Maker {
  const StageObject& object;

  Result<Solid> operator()(const CartonSolid& carton) const {
    return MakeCarton(carton, object.place);
  }
  Result<Solid> operator()(const MeshSolid& mesh) const { return MakeMeshSolid(mesh); }
  template <typename OwnSolid>
  Result<Solid> operator()(const OwnSolid& solid) const {
    return BuildSolid(solid);
  }
};

}  // namespace

Result<Solid> MakeSolid(const StageObject& object) {
  return std::visit(Maker{object}, object.solid);
}

}  // namespace wheatpaste

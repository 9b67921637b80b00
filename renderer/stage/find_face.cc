#include "stage/find_face.h"

#include <fmt/format.h>

#include "scene/nearest_name.h"

namespace wheatpaste {

Result<const SolidFace*> FindFace(const StageObject& object, const Solid& solid,
                                  const Placed<std::string>& named, const std::string& face) {
  for (const SolidFace& one : solid.faces) {
    if (one.name == face) return &one;
  }
  if (face.empty() && solid.faces.size() == 1) return &solid.faces.front();
  const auto subject = fmt::format("{} = \"{}\"", named.key, named.value);
  if (solid.faces.empty()) {
    return Error{named.place, subject, "expected an object that can be printed on"};
  }
  std::vector<std::string> full;
  for (const SolidFace& one : solid.faces) {
    full.push_back(one.name.empty() ? object.name.value : object.name.value + "." + one.name);
  }
  const std::string nearest = NearestName(object.name.value + "." + face, full);
  return Error{
      named.place, subject,
      fmt::format(
          "expected a face of \"{}\": {}{}", object.name.value, QuotedList(full),
          nearest.empty() || face.empty() ? "" : fmt::format("; did you mean \"{}\"?", nearest))};
}

}  // namespace wheatpaste

#include "batch/output_profile.h"

#include <fmt/format.h>

#include "base/files.h"
#include "scene/print_condition.h"

namespace wheatpaste {
namespace {

constexpr char kSrgbName[] = "sRGB";
constexpr char kDisplayP3Name[] = "Display P3";

}  // namespace

Result<Profile> ReadOutputProfile(const Placed<std::string>& name, const std::string& data_folder) {
  if (name.value == kSrgbName) return Profile::Srgb();
  if (name.value == kDisplayP3Name) return Profile::DisplayP3();
  const auto found = FindPrintCondition(name, data_folder, {kSrgbName, kDisplayP3Name});
  if (!found) return found.errors();
  const auto bytes = ReadWholeFile(found->profile, kMaxProfileBytes);
  if (!bytes) return bytes.errors();
  auto profile = Profile::FromBytes(*bytes, found->profile.place, "");
  if (!profile) return profile.errors();
  const bool paints =
      profile->model() == ColourModel::kRgb || profile->model() == ColourModel::kCmyk;
  if (paints && profile->can_encode()) return profile;
  return Error{
      found->profile.place, "",
      fmt::format("expected an RGB or CMYK profile that colours can be written in; \"{}\" is "
                  "for {}{}",
                  profile->description(), NameOf(profile->model()),
                  paints ? ", only to read" : "")};
}

}  // namespace wheatpaste

#include "composite/proof_artwork.h"

#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "ink/printed_colour.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr char kNotForSignOff[] = "a visualisation, not for signing off colour";

std::string SubjectOf(const PrintCondition& condition) {
  const std::string& key = condition.profile.key;
  return key.empty() ? "" : fmt::format("{} = \"{}\"", key, PrintableText(condition.name));
}

}  // namespace

Result<Profile> ReadPressProfile(const PrintCondition& condition) {
  const Placed<std::string>& file = condition.profile;
  auto bytes = ReadWholeFile(file, kMaxProfileBytes);
  if (!bytes) return bytes.errors();
  return Profile::FromBytes(std::move(*bytes), file.place, SubjectOf(condition));
}

Result<Press> ReadPress(const PrintCondition& condition) {
  const auto profile = ReadPressProfile(condition);
  if (!profile) return profile.errors();
  return Press::Make(*profile, condition.profile.place, SubjectOf(condition));
}

std::string PlainName(const PrintCondition& condition) {
  if (condition.data.empty()) return condition.name;
  return fmt::format("{} ({})", condition.name, condition.data);
}

std::string ProofNote(const Scene& scene) {
  if (!scene.print_condition) {
    return "colours as on screen, not proofed: no print condition is named";
  }
  const std::string press = PlainName(*scene.print_condition);
  if (scene.proof_intent == ProofIntent::kRelative) {
    return fmt::format("colours as {} holds them; {}", press, kNotForSignOff);
  }
  return fmt::format(
      "colours as {} shows them, its paper included; unprinted material is the photograph's; {}",
      press, kNotForSignOff);
}

std::array<float, 3> ProofWhite(const Scene& scene, const Placement& placement) {
  if (!scene.print_condition || scene.proof_intent == ProofIntent::kRelative) return {1, 1, 1};
  const Substrate& substrate = scene.surfaces[placement.surface].substrate.value;
  const Ink& ink = placement.ink.value;
  const SceneLinear white = ink.is_plain() ? PrintedColour(ink, substrate, {1, 1, 1})
                                           : PrintedColour(Ink{}, substrate, {1, 1, 1});
  return {white.r, white.g, white.b};
}

void ProofArtwork(const Press& press, ProofIntent intent, const std::array<float, 3>& white,
                  Image<LinearPremul>& raster) {
  const int64_t width = raster.width();
  ParallelRows(raster.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      const float* const alpha = raster.row(3, y);
      float* const bands[3] = {raster.row(0, y), raster.row(1, y), raster.row(2, y)};
      for (float* band : bands) {
        for (int64_t x = 0; x < width; ++x) band[x] = alpha[x] > 0 ? band[x] / alpha[x] : 0.0f;
      }
      press.HoldRow(intent, width, bands[0], bands[1], bands[2]);
      for (size_t k = 0; k < 3; ++k) {
        for (int64_t x = 0; x < width; ++x) bands[k][x] *= alpha[x] / white[k];
      }
    }
  });
}

}  // namespace wheatpaste

#include "composite/proof_artwork.h"

#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "ink/printed_colour.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
constexpr char kNotForSignOff[] = "a visualisation, not for signing off colour";

}  // namespace

Result<Press> ReadPress(const PrintCondition& condition) {
  const Placed<std::string>& file = condition.profile;
  auto bytes = ReadWholeFile(file, kMaxProfileBytes);
  if (!bytes) return bytes.errors();
  const std::string subject =
      file.key.empty() ? "" : fmt::format("{} = \"{}\"", file.key, PrintableText(condition.name));
  const auto profile = Profile::FromBytes(std::move(*bytes), file.place, subject);
  if (!profile) return profile.errors();
  return Press::Make(*profile, file.place, subject);
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
  const SceneLinear white = PrintedColour(
      placement.ink.value, scene.surfaces[placement.surface].substrate.value, {1, 1, 1});
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

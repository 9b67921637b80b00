#include "cli/arguments.h"

#include <charconv>
#include <cmath>
#include <cstdlib>
#include <filesystem>

#include <fmt/format.h>

#include "composite/proof_artwork.h"
#include "scene/print_condition.h"
#include "scene/read_colourways.h"
#include "scene/sizes.h"

namespace wheatpaste {
namespace {

constexpr char kSrgbName[] = "sRGB";
constexpr char kDisplayP3Name[] = "Display P3";

// An option and its value stand in the place of file and line.
Place PlaceOf(const std::string& option, const std::string& value) {
  return {fmt::format("{} {}", option, PrintableText(value))};
}

Error OptionError(const std::string& option, const std::string& value, const std::string& message) {
  return {PlaceOf(option, value), "", message};
}

template <typename Number>
std::optional<Number> ParseWhole(const std::string& text) {
  Number value{};
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

// A whole number from 1 to 1024 as the value of `option`.
Result<int> ReadCount(const std::string& option, const std::string& text) {
  const auto count = ParseWhole<int>(text);
  if (!count || *count < 1 || *count > 1024) {
    return OptionError(option, text, "expected a whole number from 1 to 1024");
  }
  return *count;
}

}  // namespace

Placed<std::string> PlacedOption(const std::string& option, const std::string& value) {
  return {value, PlaceOf(option, value), ""};
}

std::string DataFolder() {
  if (const char* named = std::getenv("WHEATPASTE_DATA"); named != nullptr && *named != '\0') {
    return named;
  }
  std::error_code fault;
  const auto program = std::filesystem::read_symlink("/proc/self/exe", fault);
  const auto folder = program.parent_path();
  for (const char* beside : {"..", "../share/wheatpaste"}) {
    const auto data = (folder / beside).lexically_normal();
    if (std::filesystem::exists(data / "shared" / "substrates.toml", fault)) return data.string();
  }
  return (folder / "..").lexically_normal().string();
}

ReadSceneOptions SceneOptionsOf(const SceneArguments& arguments) {
  return {DataFolder(), arguments.allow};
}

Result<SlotFiles> ReadSlotFiles(const SceneArguments& arguments) {
  SlotFiles files;
  Errors errors;
  for (const std::string& text : arguments.artwork) {
    const size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == text.size()) {
      errors.push_back(
          OptionError("--artwork", text, "expected SLOT=FILE, such as mark=art/mark.svg"));
      continue;
    }
    const Placed<std::string> file{text.substr(equals + 1), PlaceOf("--artwork", text), ""};
    const std::string slot = text.substr(0, equals);
    if (!files.emplace(slot, file).second) {
      errors.push_back(OptionError("--artwork", text,
                                   "the slot is already filled; expected each "
                                   "slot once"));
    }
  }
  if (!errors.empty()) return errors;
  return files;
}

Result<int> ReadThreads(const std::string& text) { return ReadCount("--threads", text); }
Result<int> ReadJobs(const std::string& text) { return ReadCount("--jobs", text); }

Result<int64_t> ReadMemory(const std::string& text) {
  constexpr double kGibibyte = 1024.0 * 1024 * 1024;
  const auto gibibytes = ParseWhole<double>(text);
  if (!gibibytes || !(*gibibytes >= 0.1) || !(*gibibytes <= 65536)) {
    return OptionError("--memory", text, "expected gibibytes from 0.1 to 65536");
  }
  return static_cast<int64_t>(*gibibytes * kGibibyte);
}

Result<Ppi> ReadPpi(const std::string& text) {
  const auto ppi = ParseWhole<double>(text);
  if (!ppi || !std::isfinite(*ppi) || *ppi < 1 || *ppi > 10000) {
    return OptionError("--ppi", text, "expected pixels per inch from 1 to 10000");
  }
  return Ppi{*ppi};
}

Result<double> ReadBleed(const std::string& text) {
  const auto bleed = ParseWhole<double>(text);
  if (!bleed || !std::isfinite(*bleed) || *bleed < 0 || *bleed > 1000) {
    return OptionError("--bleed", text, "expected a width in mm from 0 to 1000");
  }
  return *bleed;
}

Result<Placed<double>> ReadMetres(const std::string& text) {
  const auto metres = ParseWhole<double>(text);
  if (!metres || !std::isfinite(*metres) || *metres < 0.1 || *metres > 10000) {
    return OptionError("--from-metres", text, "expected a distance in metres from 0.1 to 10000");
  }
  return Placed<double>{*metres, PlaceOf("--from-metres", text), ""};
}

Result<WantedColourway> ReadWantedColourway(const SceneArguments& arguments, const Scene& scene) {
  if (!arguments.colourway) return WantedColourway{};
  const std::string& name = *arguments.colourway;
  const auto found = FindColourway(scene.colourways, PlacedOption("--colourway", name));
  if (!found) return found.errors();
  auto changes = ChangesOf(*found, scene.swatches);
  if (!changes) return changes.errors();
  return WantedColourway{name, std::move(*changes)};
}

Result<WantedSize> ReadWantedSize(const RenderArguments& arguments) {
  WantedSize wanted{std::nullopt, kScreenDensity};
  if (arguments.ppi) {
    auto ppi = ReadPpi(*arguments.ppi);
    if (!ppi) return ppi.errors();
    wanted.density = *ppi;
  }
  if (!arguments.size) return wanted;
  const Placed<std::string> text = PlacedOption("--size", *arguments.size);
  auto size = ReadPictureSize(text, DataFolder());
  if (!size) return size.errors();
  if (size->printed() && !arguments.ppi) wanted.density = kPrintDensity;
  auto pixels = PixelsWithinLimits(*size, wanted.density, text);
  if (!pixels) return pixels.errors();
  wanted.size = *pixels;
  return wanted;
}

Status ApplyProof(const ProofArguments& arguments, Scene& scene) {
  Errors errors;
  if (arguments.condition) {
    const auto found =
        FindPrintCondition(PlacedOption("--proof", *arguments.condition), DataFolder());
    if (found) {
      scene.print_condition = *found;
    } else {
      errors = found.errors();
    }
  }
  if (arguments.intent) {
    if (*arguments.intent == "absolute") {
      scene.proof_intent = ProofIntent::kAbsolute;
    } else if (*arguments.intent != "relative") {
      errors.push_back(OptionError("--proof-intent", *arguments.intent,
                                   "expected relative (to the press's paper) or absolute (its "
                                   "paper included)"));
    }
    if (!scene.print_condition && errors.empty()) {
      errors.push_back(OptionError("--proof-intent", *arguments.intent,
                                   "expected a print condition with it: --proof NAME, or "
                                   "print_condition in the scene"));
    }
  }
  if (!errors.empty()) return errors;
  return Done{};
}

Result<Profile> ReadOutputProfile(const std::string& name) {
  if (name == kSrgbName) return Profile::Srgb();
  if (name == kDisplayP3Name) return Profile::DisplayP3();
  const auto found = FindPrintCondition(PlacedOption("--profile", name), DataFolder(),
                                        {kSrgbName, kDisplayP3Name});
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

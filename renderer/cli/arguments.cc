#include "cli/arguments.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <limits>

#include <fmt/format.h>

#include "composite/proof_artwork.h"
#include "scene/read_stage.h"
#include "scene/print_condition.h"
#include "scene/read_colourways.h"
#include "scene/read_output.h"

namespace wheatpaste {
namespace {

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

// "--crop-marks", "--size 40x".
Place PlaceOf(const OutputOption& option) {
  std::string name = "--" + option.key;
  std::replace(name.begin(), name.end(), '_', '-');
  return option.kind == OutputOption::kFlag ? Place{name} : PlaceOf(name, option.value);
}

// As a run sheet would hold it. What is no number becomes one that no key accepts.
TomlNode NodeOf(const OutputOption& option) {
  TomlNode node;
  node.text = option.value;
  switch (option.kind) {
    case OutputOption::kText:
      node.kind = TomlKind::kString;
      break;
    case OutputOption::kFlag:
      node.kind = TomlKind::kBool;
      node.text = "true";
      break;
    case OutputOption::kNumber:
      node.kind = TomlKind::kNumber;
      node.number = ParseWhole<double>(option.value).value_or(std::nan(""));
      if (!std::isfinite(node.number)) node.number = std::numeric_limits<double>::lowest();
      break;
  }
  return node;
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

Status ApplySamples(const std::optional<std::string>& text, Scene& scene) {
  if (!text) return Done{};
  const auto samples = ParseWhole<int>(*text);
  if (!samples || *samples < 1 || *samples > kMaxStageSamples) {
    return OptionError("--samples", *text,
                       fmt::format("expected a whole number from 1 to {}", kMaxStageSamples));
  }
  if (!scene.stage) {
    return OptionError("--samples", *text, "expected a scene with a [stage]; this one has a photo");
  }
  auto stage = std::make_shared<Stage>(*scene.stage);
  stage->samples = *samples;
  scene.stage = std::move(stage);
  return Done{};
}

Result<int64_t> ReadMemory(const std::string& text) {
  constexpr double kGibibyte = 1024.0 * 1024 * 1024;
  const auto gibibytes = ParseWhole<double>(text);
  if (!gibibytes || !(*gibibytes >= 0.1) || !(*gibibytes <= 65536)) {
    return OptionError("--memory", text, "expected gibibytes from 0.1 to 65536");
  }
  return static_cast<int64_t>(*gibibytes * kGibibyte);
}

Result<double> ReadBleed(const std::string& text) {
  const auto bleed = ParseWhole<double>(text);
  if (!bleed || !std::isfinite(*bleed) || *bleed < 0 || *bleed > 1000) {
    return OptionError("--bleed", text, "expected a width in mm from 0 to 1000");
  }
  return *bleed;
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

Result<OutputSpec> ReadOutputOptions(const std::vector<OutputOption>& options,
                                     const std::string& format) {
  // The table that a run sheet would have held; lines count the options.
  TomlNode table;
  std::vector<Place> places;
  for (const OutputOption& option : options) {
    places.push_back(PlaceOf(option));
    table.entries.push_back({option.key, 0, 0, NodeOf(option)});
    table.entries.back().value.line = static_cast<uint32_t>(places.size());
  }
  // Errors of other files (shared/) have a name in their place.
  const auto back = [&places](Place& place) {
    if (!place.file.empty() || place.line == 0) return false;
    place = places[place.line - 1];
    return true;
  };
  Mistakes mistakes("");
  TableReader reader(table, "", mistakes);
  OutputSpec spec;
  spec.format.value = format;
  ReadOutputKeys(reader, DataFolder(), {}, spec);
  if (!mistakes.none()) {
    Errors errors = std::move(mistakes).Sorted();
    for (Error& error : errors) {
      if (back(error.place)) error.subject.clear();
    }
    return errors;
  }
  back(spec.size_text.place);
  if (spec.from_metres) {
    back(spec.from_metres->place);
    spec.from_metres->key.clear();
  }
  spec.size_text.key.clear();
  if (spec.profile) {
    back(spec.profile->place);
    spec.profile->key.clear();
  }
  return spec;
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

}  // namespace wheatpaste

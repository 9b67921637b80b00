#include "cli/vision_files.h"

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <iterator>
#include <optional>

#include <fmt/format.h>

#include "scene/nearest_name.h"

namespace wheatpaste {
namespace {

const std::vector<std::string> kNames(std::begin(kDeficiencyNames), std::end(kDeficiencyNames));

std::optional<double> SeverityOf(const std::string& text) {
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value >= 0 && value <= 1 ? std::optional(value) : std::nullopt;
}

std::string FileOf(const std::string& picture, const std::string& name) {
  const std::filesystem::path path(picture);
  const std::string file = path.stem().string() + "-" + name + path.extension().string();
  return path.has_parent_path() ? (path.parent_path() / file).string() : file;
}

}  // namespace

Result<std::vector<WantedVision>> ReadVision(const RenderArguments& arguments,
                                             const std::string& picture) {
  std::vector<WantedVision> wanted;
  Errors errors;
  const auto refuse = [&errors](const char* option, const std::string& text,
                                const std::string& message) {
    errors.push_back({{fmt::format("{} {}", option, PrintableText(text))}, "", message});
  };
  double severity = 1;
  if (arguments.severity) {
    const auto read = SeverityOf(*arguments.severity);
    if (!read) refuse("--severity", *arguments.severity, "expected a number from 0 to 1");
    severity = read.value_or(1);
  }
  for (const std::string& name : arguments.vision) {
    const auto found = std::find(kNames.begin(), kNames.end(), name);
    if (found == kNames.end()) {
      const std::string nearest = NearestName(name, kNames);
      refuse("--vision", name,
             "expected protan, deutan or tritan" +
                 (nearest.empty() ? "" : fmt::format("; did you mean {}?", nearest)));
      continue;
    }
    const auto deficiency = static_cast<ColourDeficiency>(found - kNames.begin());
    const bool twice = std::any_of(wanted.begin(), wanted.end(), [&](const WantedVision& one) {
      return one.deficiency == deficiency;
    });
    if (twice) refuse("--vision", name, "expected each once");
    wanted.push_back({deficiency, name, severity, FileOf(picture, name)});
  }
  if (!errors.empty()) return errors;
  return wanted;
}

}  // namespace wheatpaste

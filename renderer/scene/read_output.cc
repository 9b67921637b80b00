#include "scene/read_output.h"

#include <algorithm>
#include <iterator>
#include <optional>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/print_condition.h"
#include "scene/read_colour.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxNameBytes = 100;
constexpr size_t kMaxSizeBytes = 100;
constexpr NumberRule kPpiRule{1, true, 10000, "pixels per inch from 1 to 10000"};
constexpr NumberRule kPixelRatioRule{0, false, 8, "device pixels per pixel above 0, at most 8"};
constexpr NumberRule kBleedRule{0, true, 100, "a width in mm from 0 to 100"};
constexpr NumberRule kMetresRule{0.1, true, 10000, "a distance in metres from 0.1 to 10000"};
constexpr NumberRule kSeverityRule{0, true, 1, "a number from 0 to 1"};
constexpr NumberRule kQualityRule{1, true, 100, "a whole number from 1 to 100"};
constexpr NumberRule kDepthRule{8, true, 16, "8 or 16"};

constexpr char kFormatNames[] = "\"png\", \"jpeg\", \"tiff\", \"webp\" or \"pdf\"";

std::optional<Compression> ReadCompression(TableReader& table) {
  const TomlNode* node = table.Find("compression");
  if (!node) return {};
  if (node->kind == TomlKind::kString) {
    if (node->text == "none") return Compression::kNone;
    if (node->text == "lzw") return Compression::kLzw;
    if (node->text == "deflate") return Compression::kDeflate;
  }
  table.Refuse("compression", *node, "expected \"none\", \"lzw\" or \"deflate\"");
  return {};
}

std::optional<Placed<std::string>> ReadText(TableReader& table, std::string_view key, size_t most) {
  const TomlNode* node = table.Line(key, most);
  if (!node) return {};
  return Placed<std::string>{node->text, table.mistakes().PlaceOf(*node), table.KeyOf(key)};
}

std::optional<OutputVision> ReadVision(TableReader& table) {
  const TomlNode* name = table.Find("vision");
  const auto severity = table.Number("severity", kSeverityRule);
  if (!name) {
    if (const TomlNode* idle = table.Find("severity")) {
      table.Refuse("severity", *idle, "expected a vision beside it");
    }
    return {};
  }
  const std::vector<std::string> names(std::begin(kDeficiencyNames), std::end(kDeficiencyNames));
  const auto found = std::find(names.begin(), names.end(),
                               name->kind == TomlKind::kString ? name->text : std::string());
  if (found != names.end()) {
    return OutputVision{static_cast<ColourDeficiency>(found - names.begin()), severity.value_or(1)};
  }
  const std::string nearest =
      name->kind == TomlKind::kString ? NearestName(name->text, names) : std::string();
  table.Refuse("vision", *name,
               "expected \"protan\", \"deutan\" or \"tritan\"" +
                   (nearest.empty() ? "" : fmt::format("; did you mean {}?", nearest)));
  return {};
}

void Note(Mistakes& mistakes, const Errors& errors) {
  for (const Error& error : errors) mistakes.Add(error.place, error.subject, error.message);
}

// Size, density and bleed, and whether they make a sheet within the limits.
void ReadSheet(TableReader& table, const std::string& data_folder, OutputSpec& spec) {
  Mistakes& mistakes = table.mistakes();
  const auto text = ReadText(table, "size", kMaxSizeBytes);
  if (text) {
    spec.size_text = *text;
    const auto size = ReadPictureSize(*text, data_folder);
    if (size) spec.size = *size;
    if (!size) Note(mistakes, size.errors());
  }
  if (const auto ppi = table.Number("ppi", kPpiRule)) spec.density = Ppi{*ppi};
  spec.pixel_ratio = table.Number("pixel_ratio", kPixelRatioRule).value_or(1);
  spec.bleed_mm = table.Number("bleed", kBleedRule).value_or(0);
  spec.crop_marks = table.Flag("crop_marks").value_or(false);
  if (const auto metres = table.Number("from_metres", kMetresRule)) {
    const TomlNode& node = *table.Find("from_metres");
    spec.from_metres = {*metres, mistakes.PlaceOf(node), table.KeyOf("from_metres")};
  }
  // What a missing or refused size would make of the rest is not worth a line.
  const bool sized = table.Find("size") != nullptr;
  const bool from_afar = table.Find("from_metres") != nullptr;
  const auto refuse = [&](std::string_view key, const std::string& expected) {
    if (const TomlNode* node = table.Find(key)) table.Refuse(key, *node, "expected " + expected);
  };
  if (sized && from_afar) {
    refuse("from_metres", "no size beside it: the distance says how large the picture is");
  }
  if (!sized) {
    for (const char* key : {"pixel_ratio", "fit", "bleed", "crop_marks"}) {
      refuse(key, from_afar
                      ? "a size beside it in place of a distance, which shows all of the photo"
                      : "a size beside it; without one the picture is the photo's own");
    }
  }
  if (!spec.size) return;
  if (spec.size->printed()) {
    refuse("pixel_ratio", "a size in px beside it; in mm and inches, ppi says the pixels");
  } else if (!table.Find("ppi")) {
    for (const char* key : {"bleed", "crop_marks"}) {
      refuse(key, "a size in mm or inches beside it, or the ppi of its pixels");
    }
  }
  if (const auto checked = CheckSheetSize(spec); !checked) Note(mistakes, checked.errors());
}

// Keys that say nothing in files of this format.
void RefuseIdle(TableReader& table, const OutputSpec& spec) {
  const std::string& format = spec.format.value;
  const auto refuse = [&](std::string_view key, const std::string& expected) {
    if (const TomlNode* node = table.Find(key)) table.Refuse(key, *node, "expected " + expected);
  };
  if (spec.fit == PictureFit::kCover) {
    refuse("ground", "contain beside it: a picture that covers the sheet leaves no ground");
  }
  if (format.empty()) return;
  if (format != "tiff") {
    for (const char* key : {"compression", "tiles"}) refuse(key, "it of a TIFF alone");
  }
  if (format == "tiff" || format == "png") {
    refuse("quality", fmt::format("it of JPEG, WebP or PDF: {} loses nothing", format));
  } else if (spec.depth == 16) {
    refuse("depth", "8, or a PNG or TIFF, which hold 16 bits");
  }
}

}  // namespace

std::string FormatNamed(const std::string& text) {
  if (text == "jpg") return "jpeg";
  if (text == "tif") return "tiff";
  for (const char* name : {"png", "jpeg", "tiff", "webp", "pdf"}) {
    if (text == name) return name;
  }
  return "";
}

OutputSpec ReadOutput(TableReader& table, const std::string& data_folder, const ScenePaths& paths,
                      const std::vector<Swatch>& swatches) {
  OutputSpec spec;
  table.Require("name", "the output's name, which its files carry");
  if (const auto name = ReadText(table, "name", kMaxNameBytes)) spec.name = *name;
  table.Require("format", kFormatNames);
  if (const TomlNode* node = table.Find("format")) {
    const std::string format = node->kind == TomlKind::kString ? FormatNamed(node->text) : "";
    if (format.empty()) table.Refuse("format", *node, fmt::format("expected {}", kFormatNames));
    spec.format = {format, table.mistakes().PlaceOf(*node), table.KeyOf("format")};
  }
  ReadOutputKeys(table, data_folder, swatches, spec);
  if (spec.profile && IsProfileFile(spec.profile->value)) {
    spec.profile = ReadFileName(table, "profile", paths);
  }
  table.RefuseUnknown();
  return spec;
}

void ReadOutputKeys(TableReader& table, const std::string& data_folder,
                    const std::vector<Swatch>& swatches, OutputSpec& spec) {
  if (table.Either("fit", "cover", "contain").value_or(false)) spec.fit = PictureFit::kContain;
  ReadSheet(table, data_folder, spec);
  if (const auto ground = ReadColour(table, "ground", swatches)) spec.ground = *ground;
  spec.profile = ReadText(table, "profile", kMaxPathBytes);
  spec.depth = table.Whole("depth", kDepthRule);
  if (spec.depth && *spec.depth != 8 && *spec.depth != 16) {
    table.Refuse("depth", *table.Find("depth"), fmt::format("expected {}", kDepthRule.expected));
  }
  if (const auto compression = ReadCompression(table)) {
    spec.compression = *compression;
  }
  spec.tiles = table.Flag("tiles").value_or(false);
  spec.quality = table.Whole("quality", kQualityRule);
  spec.sharp_artwork = table.Flag("sharp_artwork").value_or(false);
  spec.vision = ReadVision(table);
  RefuseIdle(table, spec);
}

}  // namespace wheatpaste

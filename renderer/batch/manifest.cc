#include "batch/manifest.h"

#include <cerrno>
#include <unordered_map>
#include <utility>

#include <fcntl.h>
#include <unistd.h>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/files.h"
#include "batch/json_values.h"

namespace wheatpaste {
namespace {

using Json = nlohmann::ordered_json;

std::string JournalOf(const std::string& folder, const std::string& name) {
  return JoinPath(folder, "." + name + ".journal");
}

std::string Printed(const Json& json) {
  // Names come from file systems and may hold any bytes.
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

// None also where the key is missing: earlier versions did not know it.
template <typename T>
std::optional<T> OptionalOf(const Json& json, const char* key) {
  const auto value = json.find(key);
  return value == json.end() || value->is_null() ? std::optional<T>() : value->template get<T>();
}

Json JsonOf(const PlacedRecord& placed) {
  return {{"surface", placed.surface},
          {"artwork", placed.artwork},
          {"width_mm", ValueOrNull(placed.width_mm)},
          {"height_mm", ValueOrNull(placed.height_mm)},
          {"px_per_mm", ValueOrNull(placed.px_per_mm)},
          {"centre_px", ValueOrNull(placed.centre_px)}};
}

Json JsonOf(const ColourRecord& colour) {
  return {{"name", TextOrNull(colour.name)},
          {"srgb", colour.srgb},
          {"lab", colour.lab},
          {"cmyk_percent", ValueOrNull(colour.cmyk_percent)},
          {"printed_lab", ValueOrNull(colour.printed_lab)},
          {"shift", ValueOrNull(colour.shift)}};
}

Json JsonOf(const PictureFrame& frame) {
  const auto& [picture, window] = frame;
  return {{"picture_px", {picture.x0, picture.y0, picture.x1, picture.y1}},
          {"photo_px", {window.x0, window.y0, window.width, window.height}}};
}

// input_of  what stands for an input file.
template <typename InputOf>
Json JsonOf(const JobRecord& record, const InputOf& input_of) {
  Json inputs = Json::array();
  for (const auto& [file, sha256] : record.inputs) inputs.push_back(input_of(file, sha256));
  Json json{{"file", record.file},
            {"scene", record.scene},
            {"artwork", record.artwork},
            {"colourway", record.colourway ? Json(*record.colourway) : Json()},
            {"output", record.output},
            {"title", record.scene_title},
            {"print_condition", TextOrNull(record.print_condition)},
            {"status", record.done ? "done" : "failed"},
            {"errors", record.errors},
            {"warnings", record.warnings},
            {"notes", record.notes},
            {"recipe", record.recipe},
            {"inputs", std::move(inputs)},
            {"seconds", record.seconds}};
  if (record.done) {
    json["size_px"] = {record.size.width, record.size.height};
    json["ppi"] = record.ppi;
    json["bleed_mm"] = ValueOrNull(record.bleed_mm);
    json["profile"] = record.profile;
    json["bytes"] = record.bytes;
    json["sha256"] = record.sha256;
    json["changed_ns"] = record.changed_ns;
    json["frame"] = record.frame ? JsonOf(*record.frame) : Json();
    json["from_metres"] = ValueOrNull(record.from_metres);
    json["vision"] = TextOrNull(record.vision);
    for (const char* const key : {"placements", "colours"}) json[key] = Json::array();
    for (const PlacedRecord& placed : record.placements)
      json["placements"].push_back(JsonOf(placed));
    for (const ColourRecord& colour : record.colours) json["colours"].push_back(JsonOf(colour));
  }
  return json;
}

std::string TextOf(const Json& json, const char* key) {
  const Json& value = json.at(key);
  return value.is_null() ? std::string() : value.get<std::string>();
}

PlacedRecord PlacedOf(const Json& json) {
  return {TextOf(json, "surface"),
          TextOf(json, "artwork"),
          OptionalOf<double>(json, "width_mm"),
          OptionalOf<double>(json, "height_mm"),
          OptionalOf<double>(json, "px_per_mm"),
          OptionalOf<std::array<double, 2>>(json, "centre_px")};
}

ColourRecord ColourOf(const Json& json) {
  return {TextOf(json, "name"),
          TextOf(json, "srgb"),
          json.at("lab").get<std::array<double, 3>>(),
          OptionalOf<std::array<double, 4>>(json, "cmyk_percent"),
          OptionalOf<std::array<double, 3>>(json, "printed_lab"),
          OptionalOf<double>(json, "shift")};
}

PictureFrame FrameOf(const Json& json) {
  const auto picture = json.at("picture_px").get<std::array<int64_t, 4>>();
  const auto window = json.at("photo_px").get<std::array<double, 4>>();
  return {{picture[0], picture[1], picture[2], picture[3]},
          {window[0], window[1], window[2], window[3]}};
}

// Throws the library's exceptions where `json` is no record.
template <typename InputOf>
JobRecord RecordOf(const Json& json, const InputOf& input_of) {
  JobRecord record;
  record.file = TextOf(json, "file");
  record.scene = TextOf(json, "scene");
  record.artwork = TextOf(json, "artwork");
  if (!json.at("colourway").is_null()) record.colourway = TextOf(json, "colourway");
  record.output = TextOf(json, "output");
  record.scene_title = TextOf(json, "title");
  record.print_condition = TextOf(json, "print_condition");
  record.done = TextOf(json, "status") == "done";
  for (const auto& [key, lines] :
       {std::pair("errors", &record.errors), std::pair("warnings", &record.warnings),
        std::pair("notes", &record.notes)}) {
    *lines = json.at(key).template get<std::vector<std::string>>();
  }
  record.recipe = TextOf(json, "recipe");
  for (const Json& input : json.at("inputs")) record.inputs.insert(input_of(input));
  record.seconds = json.at("seconds").get<double>();
  if (!record.done) return record;
  record.size = {json.at("size_px").at(0).get<int64_t>(), json.at("size_px").at(1).get<int64_t>()};
  record.ppi = json.at("ppi").get<double>();
  record.bleed_mm = OptionalOf<double>(json, "bleed_mm");
  record.profile = TextOf(json, "profile");
  record.bytes = json.at("bytes").get<int64_t>();
  record.sha256 = TextOf(json, "sha256");
  record.changed_ns = json.at("changed_ns").get<int64_t>();
  if (const auto frame = json.find("frame"); frame != json.end() && !frame->is_null()) {
    record.frame = FrameOf(*frame);
  }
  record.from_metres = OptionalOf<double>(json, "from_metres");
  record.vision = OptionalOf<std::string>(json, "vision").value_or("");
  for (const Json& placed : json.value("placements", Json::array())) {
    record.placements.push_back(PlacedOf(placed));
  }
  for (const Json& colour : json.value("colours", Json::array())) {
    record.colours.push_back(ColourOf(colour));
  }
  return record;
}

std::pair<std::string, std::string> InputOf(const Json& input) {
  return {TextOf(input, "file"), TextOf(input, "sha256")};
}

Json InputJson(const std::string& file, const std::string& sha256) {
  return {{"file", file}, {"sha256", sha256}};
}

// Is the file inside the folder, as the program itself names them? A manifest may come from elsewhere.
bool StaysInside(const std::string& file) {
  return !file.empty() && file[0] != '/' && file.find('\0') == std::string::npos &&
         !(("/" + file + "/").find("/../") != std::string::npos);
}

void Parse(const std::string& text, Manifest& manifest) {
  const Json json = Json::parse(text);
  manifest.program = TextOf(json, "program");
  manifest.title = TextOf(json, "title");
  manifest.run_sheet = TextOf(json, "run_sheet");
  manifest.run_sheet_path = OptionalOf<std::string>(json, "run_sheet_path").value_or("");
  std::vector<std::pair<std::string, std::string>> inputs;
  for (const Json& input : json.at("inputs")) inputs.push_back(InputOf(input));
  const auto by_number = [&inputs](const Json& number) { return inputs.at(number.get<size_t>()); };
  for (const auto& [key, records] :
       {std::pair("jobs", &manifest.jobs), std::pair("left_over", &manifest.left_over)}) {
    for (const Json& job : json.at(key)) records->push_back(RecordOf(job, by_number));
  }
}

// Whether the text was there at all.
Result<bool> ReadText(const std::string& path, std::string& text) {
  if (access(path.c_str(), F_OK) != 0 && errno == ENOENT) return false;
  const auto bytes = ReadWholeFile({path, {path}, ""}, kMaxManifestBytes);
  if (!bytes) return bytes.errors();
  text.assign(bytes->begin(), bytes->end());
  return true;
}

}  // namespace

ManifestOutline OutlineOf(const Manifest& manifest) {
  const auto files = [](const std::vector<JobRecord>& records) {
    std::vector<std::string> names;
    for (const JobRecord& record : records) names.push_back(record.file);
    return names;
  };
  return {manifest.program,        manifest.title,       manifest.run_sheet,
          manifest.run_sheet_path, files(manifest.jobs), files(manifest.left_over),
          manifest.has_journal};
}

Result<Manifest> ReadManifest(const std::string& folder, const std::string& name) {
  Manifest manifest;
  const std::string path = JoinPath(folder, name);
  std::string text;
  const auto there = ReadText(path, text);
  if (!there) return there.errors();
  const auto broken = [](const std::string& file, const std::string& why) {
    return Error{
        {PrintableText(file)},
        "",
        "expected the record of a batch, as the program wrote it; " + PrintableText(why, 300)};
  };
  try {
    if (*there) Parse(text, manifest);
  } catch (const Json::exception& fault) {
    return broken(path, fault.what());
  } catch (const std::out_of_range& fault) {
    return broken(path, fault.what());
  }
  std::unordered_map<std::string, size_t> by_file;
  for (size_t i = 0; i < manifest.jobs.size(); ++i) by_file[manifest.jobs[i].file] = i;
  const std::string journal = JournalOf(folder, name);
  std::string lines;
  const auto has_journal = ReadText(journal, lines);
  if (!has_journal) return has_journal.errors();
  manifest.has_journal = *has_journal;
  for (size_t at = 0; at < lines.size();) {
    const size_t end = lines.find('\n', at);
    if (end == std::string::npos) break;  // cut off when the run was killed
    try {
      JobRecord record = RecordOf(Json::parse(lines.substr(at, end - at)), InputOf);
      const auto [place, is_new] = by_file.emplace(record.file, manifest.jobs.size());
      if (is_new) {
        manifest.jobs.push_back(std::move(record));
      } else {
        manifest.jobs[place->second] = std::move(record);
      }
    } catch (const Json::exception&) {
      // A line that a crash of the machine garbled: its picture is made again.
    }
    at = end + 1;
  }
  for (const auto* records : {&manifest.jobs, &manifest.left_over}) {
    for (const JobRecord& record : *records) {
      if (!StaysInside(record.file)) {
        return broken(path, fmt::format("it names the file \"{}\"", record.file));
      }
    }
  }
  return manifest;
}

Status WriteManifest(const std::string& folder, const Manifest& manifest, const std::string& name) {
  auto file = PendingFile::Create(JoinPath(folder, name));
  if (!file) return file.errors();
  Errors errors;
  const auto put = [&](const std::string& text) {
    if (!errors.empty()) return;
    if (auto written = file->Write(text.data(), text.size()); !written) errors = written.errors();
  };
  // A line a record, written as it is made: easy to read and to compare, and never all of it in memory.
  const auto put_list = [&](const char* key, const auto& items, const auto& json_of) {
    put(fmt::format(",\n\"{}\": [", key));
    const char* before = "\n  ";
    for (const auto& item : items) put(std::exchange(before, ",\n  ") + Printed(json_of(item)));
    put("]");
  };
  std::unordered_map<std::string, size_t> numbers;
  std::vector<std::pair<std::string, std::string>> inputs;
  const auto key_of = [](const std::string& input, const std::string& sha256) {
    return input + '\0' + sha256;
  };
  for (const auto* records : {&manifest.jobs, &manifest.left_over}) {
    for (const JobRecord& record : *records) {
      for (const auto& [input, sha256] : record.inputs) {
        if (numbers.emplace(key_of(input, sha256), inputs.size()).second) {
          inputs.emplace_back(input, sha256);
        }
      }
    }
  }
  const auto record_json = [&](const JobRecord& record) {
    return JsonOf(record, [&](const std::string& input, const std::string& sha256) {
      return numbers.at(key_of(input, sha256));
    });
  };
  put(fmt::format("{{\"program\": {},\n\"title\": {},\n\"run_sheet\": {},\n\"run_sheet_path\": {}",
                  Printed(manifest.program), Printed(manifest.title), Printed(manifest.run_sheet),
                  Printed(TextOrNull(manifest.run_sheet_path))));
  put_list("inputs", inputs,
           [](const auto& input) { return InputJson(input.first, input.second); });
  put_list("jobs", manifest.jobs, record_json);
  put_list("left_over", manifest.left_over, record_json);
  put("}\n");
  if (!errors.empty()) return errors;
  if (auto whole = file->Commit(); !whole) return whole.errors();
  unlink(JournalOf(folder, name).c_str());
  return Done{};
}

void RemoveManifest(const std::string& folder, const std::string& name) {
  unlink(JoinPath(folder, name).c_str());
  unlink(JournalOf(folder, name).c_str());
}

Result<Journal> Journal::Open(const std::string& folder, const std::string& name) {
  std::string path = JournalOf(folder, name);
  const int descriptor = open(path.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
  if (descriptor < 0) return CannotWrite(path);
  Journal journal(std::move(path), descriptor);
  // A line that an earlier run left unfinished ends here.
  if (lseek(descriptor, 0, SEEK_END) > 0) {
    if (auto ended = WriteAll(descriptor, "\n", 1, journal.path_); !ended) return ended.errors();
  }
  return journal;
}

Journal::Journal(Journal&& other) noexcept
    : path_(std::move(other.path_)), descriptor_(std::exchange(other.descriptor_, -1)) {}

Journal::~Journal() {
  if (descriptor_ >= 0) close(descriptor_);
}

Status Journal::Add(const JobRecord& record) {
  const std::string line = Printed(JsonOf(record, InputJson)) + "\n";
  return WriteAll(descriptor_, line.data(), line.size(), path_);
}

}  // namespace wheatpaste

#include "batch/make_job.h"

#include <algorithm>
#include <chrono>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/files.h"
#include "batch/batch_folder.h"
#include "batch/describe_picture.h"
#include "batch/output_profile.h"
#include "batch/preview_file.h"
#include "composite/colourway.h"
#include "scene/read_colourways.h"
#include "scene/slots.h"

namespace wheatpaste {
namespace {

double SecondsNow() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

// What the job was made from, by name: its scene's files and its own.
ReadFiles InputsOf(const JobInput& input, const ReadLog& log) {
  ReadFiles inputs = input.ready.files;
  // The artwork as it was when it said the size: where it has changed since, the next run tells.
  if (input.view != nullptr) inputs.insert(input.view->files.begin(), input.view->files.end());
  inputs.merge(input.names.NamesOf(log.files()));
  return inputs;
}

// The swatches of the run sheet, then those of the scene whose names it has not.
std::vector<Swatch> SwatchesFor(const RunSheet& sheet, const Scene& scene) {
  std::vector<Swatch> swatches = sheet.swatches;
  for (const Swatch& swatch : scene.swatches) {
    const auto same = [&](const Swatch& own) { return own.name == swatch.name; };
    if (std::none_of(sheet.swatches.begin(), sheet.swatches.end(), same)) {
      swatches.push_back(swatch);
    }
  }
  return swatches;
}

Status Make(const JobInput& input, const ReadLog& log, JobRecord& record) {
  const PreparedScene& prepared = *input.ready.prepared;
  const Scene& scene = prepared.solved.scene;
  const OutputSpec& spec = input.sheet.outputs[input.job.output];
  record.scene_title = scene.title;
  if (scene.print_condition) record.print_condition = scene.print_condition->name;
  Errors errors;
  const auto collect = [&errors](auto result) {
    if (!result) errors.insert(errors.end(), result.errors().begin(), result.errors().end());
    return result;
  };
  const auto files = collect(FilesFor(scene, input.sheet.artworks[input.job.artwork]));
  const auto changes = collect(ChangesFor(input.sheet, input.job, scene));
  std::optional<Profile> profile;
  if (spec.profile) {
    if (auto read = collect(ReadOutputProfile(*spec.profile, input.data_folder))) profile = *read;
  }
  if (!errors.empty()) return errors;
  auto artworks = ReadArtworks(scene, *files, false, *changes, false);
  if (!artworks) return artworks.errors();
  const auto colours = CountPrinted(scene, *artworks);
  const auto rendered = RenderScene(input.ready.prepared, *artworks);
  if (!rendered) return rendered.errors();

  // All that is read has been read.
  record.inputs = InputsOf(input, log);
  const std::string path = JoinPath(input.folder, record.file);
  if (record.inputs.contains(input.names.NameOf(path))) {
    return Error{{PrintableText(path)}, "", "is a file that its picture is made from"};
  }
  if (auto made = MakeFolder(FolderOf(path)); !made) return made;
  PreviewFacts facts;
  facts.title = scene.title;
  facts.scene = record.scene;
  facts.artwork = record.artwork;
  facts.colourway = record.colourway.value_or("");
  facts.condition = record.print_condition;
  facts.version = input.version;
  const auto written = WritePreview(path, *rendered, spec, profile ? &*profile : nullptr, &facts);
  if (!written) return written.errors();

  record.done = true;
  record.size = written->sheet.canvas;
  record.placements = PlacementsOf(*rendered, written->sheet.picture);
  record.colours =
      ColoursOf(colours->Colours(), SwatchesFor(input.sheet, scene), prepared.solved.press);
  if (spec.from_metres) record.from_metres = spec.from_metres->value;
  if (spec.vision) record.vision = NameOf(spec.vision->deficiency);
  record.frame = PictureFrame{written->sheet.picture, prepared.frame.window};
  record.ppi = DensityOf(spec).value;
  if (spec.bleed_mm > 0) record.bleed_mm = spec.bleed_mm;
  record.profile = (profile ? *profile : prepared.base.profile).description();
  record.bytes = written->bytes;
  record.changed_ns = ChangedNs(path);
  record.warnings = WarningsOf(*rendered, *artworks);
  record.notes = NotesOf(*rendered, *artworks);
  for (auto& more : {NotesOf(*changes, *artworks), OutputNotes(spec, *rendered)}) {
    record.notes.insert(record.notes.end(), more.begin(), more.end());
  }
  if (input.view != nullptr) {
    record.notes.push_back(DistanceNote(*input.view->view, spec.from_metres->value));
  }
  for (const Error& lacking : LackingColours(*changes, *artworks)) {
    record.notes.push_back(fmt::format("colourway {}: {}", *record.colourway, lacking.message));
  }
  const auto digest = Sha256OfFile(path);
  if (!digest) return digest.errors();
  record.sha256 = *digest;
  return Done{};
}

}  // namespace

Result<SlotFiles> FilesFor(const Scene& scene, const RunArtwork& artwork) {
  SlotFiles files;
  Errors errors;
  for (const std::string& slot : SlotsOf(scene)) {
    const auto file = artwork.slots.find(slot);
    if (file == artwork.slots.end()) {
      errors.push_back({artwork.name.place,
                        fmt::format("artwork.name = \"{}\"", artwork.name.value),
                        fmt::format("has nothing for the slot \"{}\" of {}; expected slots = {{ {} "
                                    "= \"FILE\" }}, or an exclude",
                                    slot, PrintableText(scene.file), slot)});
    } else {
      files.emplace(slot, file->second);
    }
  }
  if (!errors.empty()) return errors;
  return files;
}

Result<std::vector<ColourChange>> ChangesFor(const RunSheet& sheet, const PlannedJob& job,
                                             const Scene& scene) {
  if (!job.colourway) return std::vector<ColourChange>{};
  return ChangesOf(sheet.colourways[*job.colourway], SwatchesFor(sheet, scene));
}

JobView ViewFor(const RunSheet& sheet, const PlannedJob& job, const SolvedInput& solved,
                const InputNames& names) {
  const ReadLog log;
  const auto find = [&]() -> Result<DistanceView> {
    const auto files = FilesFor(solved.solved.scene, sheet.artworks[job.artwork]);
    if (!files) return files.errors();
    const auto artworks = ReadArtworks(solved.solved.scene, *files, false);
    if (!artworks) return artworks.errors();
    return ViewFrom(solved.solved, *artworks, *sheet.outputs[job.output].from_metres);
  };
  JobView view;
  if (auto found = find()) {
    view.view = *std::move(found);
  } else {
    view.errors = found.errors();
  }
  view.files = names.NamesOf(log.files());
  view.files.insert(solved.files.begin(), solved.files.end());
  return view;
}

JobRecord DescribeJob(const RunSheet& sheet, const PlannedJob& job) {
  JobRecord record;
  record.file = job.file;
  record.scene = sheet.scenes[job.scene].name;
  record.artwork = sheet.artworks[job.artwork].name.value;
  record.output = sheet.outputs[job.output].name.value;
  if (job.colourway) record.colourway = sheet.colourways[*job.colourway].name.value;
  return record;
}

JobRecord MakeJob(const JobInput& input) {
  const double begin = SecondsNow();
  JobRecord record = DescribeJob(input.sheet, input.job);
  const ReadLog log;
  if (auto made = Make(input, log, record); !made) {
    record.done = false;
    for (const Error& error : made.errors()) record.errors.push_back(FormatError(error));
    record.inputs = InputsOf(input, log);
  }
  record.seconds = SecondsNow() - begin;
  return record;
}

}  // namespace wheatpaste

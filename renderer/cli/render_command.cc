#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "batch/output_profile.h"
#include "batch/preview_file.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/output_names.h"
#include "cli/pass_files.h"
#include "cli/report.h"
#include "cli/stage_progress.h"
#include "cli/vision_files.h"
#include "composite/render_scene.h"
#include "composite/view_distance.h"
#include "output/write_picture.h"
#include "scene/read_output.h"
#include "scene/read_scene.h"

namespace wheatpaste {
namespace {

// Writes the picture and, before it, its views: where the picture stands, all of them do.
Result<PreviewWritten> WritePictures(const RenderedScene& rendered, const std::string& out,
                                     const OutputSpec& spec, const Profile* profile,
                                     const PreviewFacts& about,
                                     const std::vector<WantedVision>& views) {
  std::vector<std::string> written;
  const auto failed = [&written](const Errors& errors) {
    std::error_code ignored;
    for (const std::string& file : written) std::filesystem::remove(file, ignored);
    return errors;
  };
  for (const WantedVision& view : views) {
    OutputSpec seen_spec = spec;
    seen_spec.vision = OutputVision{view.deficiency, view.severity};
    auto seen = WritePreview(view.file, rendered, seen_spec, profile, &about);
    if (!seen) return failed(seen.errors());
    written.push_back(view.file);
  }
  auto picture = WritePreview(out, rendered, spec, profile, &about);
  if (!picture) return failed(picture.errors());
  return picture;
}

// Where the sheet lies on the canvas, and how large its bleed is.
Json SheetOf(const OutputSpec& spec, const SheetLayout& sheet) {
  const auto rectangle = [](const RectPx& rect) {
    return Json::array({rect.x0, rect.y0, rect.x1, rect.y1});
  };
  return {{"trim_px", rectangle(sheet.trim)},       {"bleed_px", rectangle(sheet.bleed)},
          {"picture_px", rectangle(sheet.picture)}, {"bleed_mm", spec.bleed_mm},
          {"crop_marks", spec.crop_marks},          {"pixel_ratio", spec.pixel_ratio}};
}

// What the file says of itself: names, no folders.
PreviewFacts AboutOf(const Scene& scene, const SlotFiles& files, const WantedColourway& colourway) {
  const auto name = [](const std::string& path) {
    return std::filesystem::path(path).filename().string();
  };
  PreviewFacts about;
  about.title = scene.title;
  about.scene = name(scene.file);
  for (const auto& [slot, file] : files) {
    about.artwork += (about.artwork.empty() ? "" : ", ") + name(file.value);
  }
  about.colourway = colourway.name.value_or("");
  if (scene.print_condition) about.condition = scene.print_condition->name;
  about.version = WHEATPASTE_VERSION;
  return about;
}

std::string DefaultOutput(const std::string& scene) {
  return std::filesystem::path(scene).stem().string() + ".png";
}

}  // namespace

int RunRender(const RenderArguments& arguments) {
  // Every argument and every key is looked at before anything is reported.
  Errors errors;
  const auto collect = [&errors](const auto& result) {
    if (!result) errors.insert(errors.end(), result.errors().begin(), result.errors().end());
  };
  const auto take = [&collect](auto result) {
    collect(result);
    return result;
  };
  std::unique_ptr<ThreadLimit> limit;
  if (arguments.threads) {
    if (auto threads = take(ReadThreads(*arguments.threads)); threads.ok()) {
      limit = std::make_unique<ThreadLimit>(*threads);
    }
  }
  const std::string out = arguments.out.value_or(DefaultOutput(arguments.scene.scene));
  const auto format = take(PictureFormatOf(out));
  const auto spec =
      take(ReadOutputOptions(arguments.output, format ? FormatNamed(EndingOf(out)) : ""));
  const auto views = take(ReadVision(arguments, out));
  const auto files = take(ReadSlotFiles(arguments.scene));
  auto scene = take(ReadScene(arguments.scene.scene, SceneOptionsOf(arguments.scene)));
  Scene unread;  // so that the proof's options are looked at whatever the scene is
  collect(ApplyProof(arguments.proof, scene ? *scene : unread));
  if (scene) collect(ApplySamples(arguments.samples, *scene));
  std::optional<Profile> profile;
  if (spec && spec->profile) {
    if (auto found = take(ReadOutputProfile(*spec->profile, DataFolder()))) profile = *found;
  }
  if (profile && format) {
    collect(CheckHolds(out, *format, *profile));
  }
  if (!errors.empty()) return Refuse(errors);
  const auto colourway = take(ReadWantedColourway(arguments.scene, *scene));
  if (!errors.empty()) return Refuse(errors);
  std::vector<NamedOutput> outputs{{"--out", out, "the picture"}};
  for (const WantedVision& view : *views) outputs.push_back({"--vision", view.file, "the view"});
  if (arguments.report) outputs.push_back({"--report", *arguments.report, "the report"});
  if (arguments.passes) {
    for (NamedOutput& pass : NamedPasses(*arguments.passes)) outputs.push_back(std::move(pass));
  }
  errors = MistakenOutputs(outputs, *scene, *files);
  if (!errors.empty()) return Refuse(errors);
  // Guides show geometry alone: slots may stay open.
  const auto artworks = ReadArtworks(*scene, *files, arguments.guides, colourway->changes);
  if (!artworks) return Refuse(artworks.errors());
  auto solved = SolveScene(std::move(*scene), ToldStagePhotoOptions());
  if (!solved) return Refuse(solved.errors());
  std::optional<DistanceView> distance;
  if (spec->from_metres) {
    const auto view = ViewFrom(*solved, *artworks, *spec->from_metres);
    if (!view) return Refuse(view.errors());
    distance = *view;
  }
  const PreviewFacts about = AboutOf(solved->scene, *files, *colourway);
  PictureWish wish = WishOf(*spec, *solved);
  if (distance) wish.size = distance->size;
  const auto rendered = arguments.guides ? RenderGuides(std::move(*solved), wish)
                                         : RenderScene(std::move(*solved), *artworks, wish,
                                                       arguments.passes ? WantedFaces::kAllLit
                                                                        : WantedFaces::kPlaced);
  if (!rendered) return Refuse(rendered.errors());
  // Opened before the picture is written: where no report can be, there is to be no picture either.
  std::optional<Result<PendingFile>> report_file;
  if (arguments.report) {
    report_file.emplace(PendingFile::Create(*arguments.report));
    if (!report_file->ok()) return Refuse(report_file->errors());
  }
  std::optional<Result<PassFiles>> passes;
  if (arguments.passes) {
    passes.emplace(PassFiles::Create(*arguments.passes));
    if (!passes->ok()) return Refuse(passes->errors());
    if (auto written = (*passes)->Write(*rendered->scene); !written)
      return Refuse(written.errors());
  }

  const auto preview =
      WritePictures(*rendered, out, *spec, profile ? &*profile : nullptr, about, *views);
  if (!preview) return Refuse(preview.errors());
  if (passes) {
    if (auto whole = (*passes)->Commit(); !whole) return Refuse(whole.errors());
  }

  const SizePx canvas = preview->sheet.canvas;
  const Profile& colours = profile ? *profile : rendered->scene->base.profile;
  const auto warnings = WarningsOf(*rendered, *artworks);
  auto notes = NotesOf(*rendered, *artworks);
  for (std::string& note : NotesOf(colourway->changes, *artworks)) {
    notes.push_back(std::move(note));
  }
  for (std::string& note : OutputNotes(*spec, *rendered)) notes.push_back(std::move(note));
  if (distance) notes.push_back(DistanceNote(*distance, spec->from_metres->value));
  if (arguments.report) {
    Json report = ReportOf(rendered->scene->solved, *artworks);
    report["colourway"] = ColourwayOf(colourway->name, colourway->changes);
    report["notes"] = notes;
    report["warnings"] = warnings;
    // Blur at each surface: null where the photo does not tell, or the scene wants artwork sharp.
    Json blur = Json::object(), gloss = Json::object(), overexposed = Json::object();
    for (size_t i = 0; i < rendered->scene->surfaces.size(); ++i) {
      const auto& focus = rendered->scene->surfaces[i].focus;
      blur[rendered->scene->solved.scene.surfaces[i].name.value] =
          focus ? Json(focus->sigma_px) : Json();
      // Largest share of a face on which light is mirrored, or lost to the photo's own white.
      double mirrors = 0, lost = 0;
      for (const PreparedChart& chart : rendered->scene->surfaces[i].charts) {
        mirrors = std::max(mirrors, chart.gloss ? chart.gloss->share : 0);
        lost = std::max(lost, chart.clipped);
      }
      gloss[rendered->scene->solved.scene.surfaces[i].name.value] = mirrors;
      overexposed[rendered->scene->solved.scene.surfaces[i].name.value] = lost;
    }
    report["output"] = {{"file", out},
                        {"size_px", Json::array({canvas.width, canvas.height})},
                        {"sheet", SheetOf(*spec, preview->sheet)},
                        {"enlarged", rendered->scene->frame.scale()},
                        {"depth", preview->depth},
                        {"ppi", DensityOf(*spec).value},
                        {"profile", colours.description()},
                        {"colour_model", NameOf(colours.model())},
                        {"blur_px", blur},
                        {"gloss_share", gloss},
                        {"overexposed_share", overexposed},
                        {"bytes", preview->bytes}};
    report["output"]["views"] = Json::array();
    for (const WantedVision& view : *views) {
      report["output"]["views"].push_back(
          {{"file", view.file}, {"vision", view.name}, {"severity", view.severity}});
    }
    report["output"]["from"] = Json();
    if (distance) {
      report["output"]["from"] = {{"metres", spec->from_metres->value},
                                  {"surface", distance->surface},
                                  {"surface_ppi", distance->wanted.value},
                                  {"photo_ppi", distance->photo.value}};
    }
    const std::string text = Print(report);
    if (auto written = (*report_file)->Write(text.data(), text.size()); !written) {
      return Refuse(written.errors());
    }
    if (auto whole = (*report_file)->Commit(); !whole) return Refuse(whole.errors());
  }
  if (rendered->guides != nullptr) {
    for (const std::string& line : rendered->guides->Legend()) {
      fmt::print("guides: {}\n", PrintableText(line, 1000));
    }
  }
  for (const std::string& note : notes) fmt::print(stderr, "note: {}\n", PrintableText(note, 1000));
  for (const std::string& warning : warnings) {
    fmt::print(stderr, "warning: {}\n", PrintableText(warning, 1000));
  }
  fmt::print("{}: {} x {} px\n", out, canvas.width, canvas.height);
  return kExitDone;
}

}  // namespace wheatpaste

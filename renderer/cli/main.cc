#include <algorithm>
// main.cc - the program: subcommands and their options.

#include <csignal>
#include <exception>
#include <new>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "base/error.h"
#include "cli/commands.h"

namespace wheatpaste {
namespace {

void AddSceneArguments(CLI::App& command, SceneArguments& arguments) {
  command.add_option("SCENE", arguments.scene, "Scene file (.toml)")->required();
  // One value each, so that a scene after it is not swallowed.
  command
      .add_option("--artwork", arguments.artwork,
                  "Fill a slot of the scene: SLOT=FILE (SVG, PDF, PNG, JPEG, TIFF, WebP)")
      ->take_all()
      ->allow_extra_args(false);
  command
      .add_option("--allow", arguments.allow,
                  "A folder outside the scene's own that the scene may read from")
      ->take_all()
      ->allow_extra_args(false);
}

void AddProofArguments(CLI::App& command, ProofArguments& arguments) {
  command.add_option("--proof", arguments.condition,
                     "Show colours as a press holds them: a print condition by name, such as "
                     "\"coated offset\", or its profile, .icc");
  command.add_option("--proof-intent", arguments.intent,
                     "relative: on the scene's material (default); absolute: the press's paper "
                     "included");
}

void AddColourway(CLI::App& command, SceneArguments& arguments) {
  command.add_option("--colourway", arguments.colourway,
                     "Show the artwork in a colourway of the scene, by its name");
}

void AddAllow(CLI::App& command, std::vector<std::string>& folders) {
  command.add_option("--allow", folders, "A folder outside the file's own that may be read from")
      ->take_all()
      ->allow_extra_args(false);
}

CLI::App& AddBatch(CLI::App& app, BatchArguments& batch) {
  CLI::App& command = *app.add_subcommand(
      "batch",
      "Make every picture of a run sheet that is not there yet, or not as it would be now");
  command.add_option("RUNSHEET", batch.run_sheet, "Run sheet (.toml)")->required();
  command.add_option("--out", batch.out,
                     "Folder for pictures and manifest.json (default: the run sheet's name, -out)");
  AddAllow(command, batch.allow);
  command.add_option("--jobs", batch.jobs, "Pictures at once, at most (default: one a thread)");
  command.add_option("--threads", batch.threads, "Worker threads, at most (default: all)");
  command.add_option("--memory", batch.memory,
                     "Gibibytes that pictures at work may take together (default: 0.7 of the "
                     "machine's)");
  command.add_option("--shard", batch.shard,
                     "PART/PARTS: only this part of the pictures, for several machines");
  command.add_flag("--prune", batch.prune,
                   "Remove pictures of earlier runs that the run sheet makes no more");
  command.add_flag("--watch", batch.watch,
                   "Then wait, and make again what a saved file touches, newest first");
  CLI::Option* quiet = command.add_flag("--quiet", batch.quiet, "Print mistakes only");
  command
      .add_flag("--json-lines", batch.json_lines,
                "Print what happens as JSON, an object a line, for other programs")
      ->excludes(quiet);
  return command;
}

// What commands that show a batch have in common.
void AddBatchFolder(CLI::App& command, std::string& folder) {
  command.add_option("DIR", folder, "A batch's folder")->required();
}

void AddShownOutput(CLI::App& command, std::optional<std::string>& output) {
  command.add_option("--output", output,
                     "The output of the run sheet that is shown (default: the first JPEG)");
}

void AddTheme(CLI::App& command, std::optional<std::string>& theme, const std::string& what) {
  command.add_option("--theme", theme, what + ", .toml (default: shared/themes/plain.toml)");
}

CLI::App& AddAnswers(CLI::App& app, AnswersArguments& answers) {
  CLI::App& command = *app.add_subcommand(
      "answers", "Take in what clients saved on the review page, and list what is to be done");
  AddBatchFolder(command, answers.folder);
  command.add_option("FILE", answers.files,
                     "Files of answers (none: list what the batch's record has)");
  command.add_option("--name", answers.name, "Who answered, of files that are not signed");
  command.add_option("--out", answers.out,
                     "Sheet of the pictures with numbered comments, .pdf (default: "
                     "DIR/answers.pdf)");
  AddTheme(command, answers.theme, "Fonts, colours and margins of that sheet");
  command.add_flag("--json", answers.json, "Print JSON for other programs");
  return command;
}

CLI::App& AddSheet(CLI::App& app, SheetArguments& sheet) {
  CLI::App& command =
      *app.add_subcommand("sheet", "Write a contact sheet: every preview of a batch, small");
  AddBatchFolder(command, sheet.folder);
  command.add_option("--out", sheet.out,
                     "File to write, .pdf, .png or .jpg (default: DIR/sheet.pdf)");
  command.add_option("--sort", sheet.sort, "By scene (default), artwork or colourway");
  command.add_option("--columns", sheet.columns,
                     "Pictures beside each other (default: as suits their number)");
  command.add_option(
      "--size", sheet.size,
      "Of the pages, such as A4 or \"letter landscape\" (default: \"A4 landscape\"); of "
      "a .png or .jpg the width, its height follows");
  AddTheme(command, sheet.theme, "Fonts, colours and margins of your own");
  AddShownOutput(command, sheet.output);
  return command;
}

CLI::App& AddReview(CLI::App& app, ReviewArguments& review) {
  CLI::App& command = *app.add_subcommand(
      "review", "Write one page on which a client looks at a batch's pictures and answers");
  AddBatchFolder(command, review.folder);
  command.add_option("--out", review.out, "Page to write, .html (default: DIR/review.html)");
  AddShownOutput(command, review.output);
  command.add_flag("--linked", review.linked,
                   "Pictures in a folder beside the page, not in it: for several hundred");
  command.add_option("--run-sheet", review.run_sheet,
                     "Where the batch's run sheet is now, for blank photos to compare with");
  AddAllow(command, review.allow);
  return command;
}

CLI::App& AddSlides(CLI::App& app, SlidesArguments& slides) {
  CLI::App& command =
      *app.add_subcommand("slides", "Write a deck with a batch's pictures to present from, PDF");
  AddBatchFolder(command, slides.folder);
  command.add_option("--out", slides.out, "File to write, .pdf (default: DIR/slides.pdf)");
  command.add_option("--size", slides.size,
                     "Of the pages: slide (16:9), \"A4 landscape\", \"letter landscape\" or "
                     "WIDTHxHEIGHTmm (default: the theme's, slide)");
  AddTheme(command, slides.theme, "Fonts, colours, margins and logo of your own");
  AddShownOutput(command, slides.output);
  return command;
}

CLI::App& AddDieline(CLI::App& app, DielineArguments& dieline) {
  CLI::App& command = *app.add_subcommand(
      "dieline", "Draw the flat blank of a carton to measure, to design on, SVG");
  command
      .add_option("--style", dieline.style,
                  "0201 (slotted box), 0427 (tray with lid), tuck, \"reverse tuck\" or sleeve")
      ->required();
  command
      .add_option("--inner", dieline.inner,
                  "What it has to hold: LENGTHxBREADTHxHEIGHT in mm, such as 90x40x140")
      ->required();
  command.add_option("--board", dieline.board, "Thickness of the board, mm")->required();
  command.add_option("--out", dieline.out, "File to write, .svg (default: dieline.svg)");
  return command;
}

// One option of the file that is written, for every key of read_output.h but vision.
void AddOutputOptions(CLI::App& command, std::vector<OutputOption>& output) {
  struct Row {
    OutputOption::Kind kind;
    const char* key;
    const char* help;
  };
  static constexpr Row kRows[] = {
      {OutputOption::kText, "size",
       "WIDTHxHEIGHT in px, in mm or in, such as 210x297mm, or a size by name, such as A3, "
       "\"A3 landscape\" or slide (default: the photo's own)"},
      {OutputOption::kNumber, "from_metres",
       "The picture as large as it is seen from that distance of the print, one minute of arc to a "
       "px"},
      {OutputOption::kNumber, "ppi", "Pixels per inch (default: 96; print sizes 300)"},
      {OutputOption::kNumber, "pixel_ratio", "Device pixels per px of a size in px (default: 1)"},
      {OutputOption::kText, "fit",
       "A photo of another shape: cover (default) fills the size, contain shows all of it"},
      {OutputOption::kText, "ground", "Colour around a contained photo (default: \"#ffffff\")"},
      {OutputOption::kNumber, "bleed", "Bleed beyond the size, mm on every side (default: 0)"},
      {OutputOption::kFlag, "crop_marks", "Draw crop marks around it"},
      {OutputOption::kText, "profile",
       "Colours of the file: sRGB, \"Display P3\", a print condition (CMYK, .tif or .pdf) or an "
       ".icc file (default: the photo's own)"},
      {OutputOption::kNumber, "depth", "Bits a channel: 8 or 16 (default: the photo's)"},
      {OutputOption::kText, "compression", "Of TIFF: none, lzw or deflate (default)"},
      {OutputOption::kFlag, "tiles", "TIFF in tiles, not in strips"},
      {OutputOption::kNumber, "quality",
       "1 to 100, of JPEG and WebP (default: 92); PDF is without loss where it is not given"},
      {OutputOption::kFlag, "sharp_artwork",
       "Artwork as sharp as the picture allows, where the photo is soft too"},
  };
  for (const Row& row : kRows) {
    const auto add = [&output, &row](const std::string& value) {
      output.push_back({row.kind, row.key, value});
    };
    std::string name = row.key;
    std::replace(name.begin(), name.end(), '_', '-');
    if (row.kind == OutputOption::kFlag) {
      command.add_flag_callback(
          "--" + name, [add] { add(""); }, row.help);
    } else {
      command.add_option_function<std::string>("--" + name, add, row.help);
    }
  }
  command.get_option("--from-metres")->excludes(command.get_option("--size"));
}

void AddSamples(CLI::App& command, std::optional<std::string>& samples) {
  command.add_option("--samples", samples,
                     "Paths of light a pixel of a stage's photograph, in place of the scene's: few "
                     "to see it soon");
}

int Main(int argc, char** argv) {
  CLI::App app("Shows a mark on real things before anything is printed.", "wheatpaste");
  app.set_version_flag("--version", "wheatpaste " WHEATPASTE_VERSION);
  app.require_subcommand(1);

  RenderArguments render;
  CLI::App& render_command = *app.add_subcommand("render", "Make the picture of a scene");
  AddSceneArguments(render_command, render.scene);
  AddProofArguments(render_command, render.proof);
  AddColourway(render_command, render.scene);
  render_command.add_option(
      "--out", render.out,
      "Picture to write: .png .jpg .tif .webp .pdf (default: the scene's name, .png)");
  AddOutputOptions(render_command, render.output);
  AddSamples(render_command, render.samples);
  render_command.add_option("--threads", render.threads, "Threads at most (default: all)");
  render_command.add_option("--report", render.report, "Write what is known of the picture, JSON");
  CLI::Option* passes = render_command.add_option(
      "--passes", render.passes,
      "A folder for what the light analysis found, as TIFF files: irradiance, surface mm, ...");
  render_command
      .add_flag("--guides", render.guides,
                "Draw the solved geometry over the photo instead of artwork")
      ->excludes(passes);

  CLI::Option* vision =
      render_command
          .add_option("--vision", render.vision,
                      "Beside the picture, one more as people with a colour-vision deficiency see "
                      "it: protan, deutan or tritan; may be given again")
          ->take_all()
          ->allow_extra_args(false);
  render_command
      .add_option("--severity", render.severity,
                  "Of that deficiency: 0 none to 1 complete (default: 1)")
      ->needs(vision);

  CheckArguments check;
  CLI::App& check_command =
      *app.add_subcommand("check", "Look for problems and show the solved geometry, no picture");
  AddSceneArguments(check_command, check.scene);
  AddProofArguments(check_command, check.proof);
  AddColourway(check_command, check.scene);
  check_command.add_flag("--json", check.json, "Print JSON for other programs");

  BatchArguments batch;
  const CLI::App& batch_command = AddBatch(app, batch);

  MergeArguments merge;
  CLI::App& merge_command =
      *app.add_subcommand("merge", "Join the parts of a batch that several machines made");
  merge_command.add_option("DIR", merge.folders, "Folders of the parts")->required();
  merge_command.add_option("--out", merge.out,
                           "Folder of the whole batch (default: the first of them)");

  ReviewArguments review;
  const CLI::App& review_command = AddReview(app, review);

  SheetArguments sheet;
  const CLI::App& sheet_command = AddSheet(app, sheet);

  AnswersArguments answers;
  const CLI::App& answers_command = AddAnswers(app, answers);

  SlidesArguments slides;
  const CLI::App& slides_command = AddSlides(app, slides);

  BlankArguments blank;
  CLI::App& blank_command =
      *app.add_subcommand("blank", "Write the flat print blank of a cylinder or cone, SVG");
  AddSceneArguments(blank_command, blank.scene);
  blank_command.add_option("--surface", blank.surface, "The surface's name")->required();
  blank_command.add_option("--out", blank.out, "File to write (default: SURFACE-blank.svg)");
  blank_command.add_option("--bleed", blank.bleed, "Bleed around the blank, mm (default: 0)");

  StageArguments stage;
  CLI::App& stage_command = *app.add_subcommand(
      "stage", "Take the photograph of a scene's stage, and keep it for every preview on it");
  stage_command.add_option("SCENE", stage.scene.scene, "Scene file (.toml)")->required();
  AddAllow(stage_command, stage.scene.allow);
  stage_command.add_option("--out", stage.out,
                           "File to write, .tif (default: the stage's base, else the user's own "
                           "folder of kept photographs)");
  AddSamples(stage_command, stage.samples);
  stage_command.add_option("--threads", stage.threads, "Threads at most (default: all)");

  DielineArguments dieline;
  const CLI::App& dieline_command = AddDieline(app, dieline);

  MatteArguments matte;
  CLI::App& matte_command =
      *app.add_subcommand("matte", "Grow mattes from the strokes in a scene and write their files");
  AddSceneArguments(matte_command, matte.scene);
  matte_command.add_flag("--replace", matte.replace, "Grow mattes again whose files exist");

  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    return app.exit(asked);
  } catch (const CLI::RequiredError& mistake) {
    // A misspelt command would else be called a missing one.
    const bool misspelt = app.get_subcommands().empty() && argc > 1;
    fmt::print(
        stderr, "wheatpaste: error: {}; see wheatpaste --help\n",
        misspelt
            ? fmt::format(
                  "{}: expected a command: render, batch, merge, slides, sheet, review, answers, "
                  "check, stage, blank, dieline or matte",
                  PrintableText(argv[1]))
            : PrintableText(mistake.what(), 400));
    return kExitBadInput;
  } catch (const CLI::ParseError& mistake) {
    fmt::print(stderr, "wheatpaste: error: {}; see wheatpaste --help\n",
               PrintableText(mistake.what(), 400));
    return kExitBadInput;
  }
  if (render_command.parsed()) return RunRender(render);
  if (batch_command.parsed()) return RunBatchCommand(batch);
  if (merge_command.parsed()) return RunMerge(merge);
  if (review_command.parsed()) return RunReview(review);
  if (sheet_command.parsed()) return RunContactSheet(sheet);
  if (answers_command.parsed()) return RunAnswers(answers);
  if (slides_command.parsed()) return RunSlides(slides);
  if (blank_command.parsed()) return RunBlank(blank);
  if (stage_command.parsed()) return RunStage(stage);
  if (dieline_command.parsed()) return RunDieline(dieline);
  if (matte_command.parsed()) return RunMatte(matte);
  return RunCheck(check);
}

}  // namespace
}  // namespace wheatpaste

int main(int argc, char** argv) {
  // A file-size limit or a closed pipe is an error to report, not an end.
  std::signal(SIGXFSZ, SIG_IGN);
  std::signal(SIGPIPE, SIG_IGN);
  try {
    return wheatpaste::Main(argc, argv);
  } catch (const std::bad_alloc&) {
    fmt::print(stderr, "wheatpaste: error: not enough memory for this picture\n");
    return wheatpaste::kExitBadInput;
  } catch (const std::exception& fault) {
    fmt::print(stderr, "wheatpaste: fault of the program: {}\n", fault.what());
    return wheatpaste::kExitFault;
  }
}

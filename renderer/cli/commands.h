// commands.h - the program's subcommands: arguments in, exit status out.
//
// Exit status  0 done, 1 some jobs failed, 2 bad input (nothing written), 3 a fault of the program.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace wheatpaste {

inline constexpr int kExitDone = 0;
inline constexpr int kExitSomeFailed = 1;
inline constexpr int kExitBadInput = 2;
inline constexpr int kExitFault = 3;

// What render and check have in common.
struct SceneArguments {
  std::string scene;
  std::vector<std::string> artwork;      // SLOT=FILE
  std::vector<std::string> allow;        // folders that a scene may read from
  std::optional<std::string> colourway;  // of render and check
};

// The press that colours are shown as.
struct ProofArguments {
  std::optional<std::string> condition;  // in place of the scene's
  std::optional<std::string> intent;     // "relative" or "absolute"
};

// What of the file is asked for, by the key that a run sheet has for it (scene/read_output.h): "crop_marks" is the
// option --crop-marks.
struct OutputOption {
  enum Kind { kText, kNumber, kFlag } kind = kText;
  std::string key;
  std::string value;  // of a flag nothing
};

struct RenderArguments {
  SceneArguments scene;
  ProofArguments proof;
  std::optional<std::string> out;  // default: the scene's name, .png, in the current folder
  std::vector<OutputOption> output;
  std::optional<std::string> samples;  // of a stage
  std::optional<std::string> threads;
  std::optional<std::string> report;
  std::optional<std::string> passes;  // a folder
  bool guides = false;
  std::vector<std::string> vision;  // names of deficiencies
  std::optional<std::string> severity;
};

struct CheckArguments {
  SceneArguments scene;
  ProofArguments proof;
  bool json = false;
};

struct BlankArguments {
  SceneArguments scene;
  std::string surface;
  std::optional<std::string> out;  // default: the surface's name, -blank.svg, in the current folder
  std::optional<std::string> bleed;
};

struct DielineArguments {
  std::string style, inner, board;
  std::optional<std::string> out;  // default: dieline.svg in the current folder
};

struct MatteArguments {
  SceneArguments scene;
  bool replace = false;  // mattes that exist are grown again
};

struct BatchArguments {
  std::string run_sheet;
  std::vector<std::string> allow;
  std::optional<std::string> out;  // default: the run sheet's name, -out, in the current folder
  std::optional<std::string> jobs, threads, memory, shard;
  bool prune = false, watch = false, quiet = false, json_lines = false;
};

struct StageArguments {
  SceneArguments scene;
  std::optional<std::string> out;  // default: the stage's `base`, else where the user's are kept
  std::optional<std::string> samples, threads;
};

struct MergeArguments {
  std::vector<std::string> folders;
  std::optional<std::string> out;  // default: the first of them
};

struct ReviewArguments {
  std::string folder;
  std::optional<std::string> out;     // default: review.html in the folder
  std::optional<std::string> output;  // of the batch, to show
  std::optional<std::string> run_sheet;
  std::vector<std::string> allow;
  bool linked = false;
};

struct AnswersArguments {
  std::string folder;              // of a batch
  std::vector<std::string> files;  // none: what the record has
  std::optional<std::string> name, out, theme;
  bool json = false;
};

struct SheetArguments {
  std::string folder;  // of a batch
  std::optional<std::string> out, sort, columns, size, theme, output;
};

struct SlidesArguments {
  std::string folder;
  std::optional<std::string> out;  // default: slides.pdf in the folder
  std::optional<std::string> size, theme;
  std::optional<std::string> output;  // of the batch, to show
};

int RunRender(const RenderArguments& arguments);
// Every picture of a run sheet that is not there yet.
int RunBatchCommand(const BatchArguments& arguments);
// The records and pictures of shards, joined.
int RunMerge(const MergeArguments& arguments);
// One page on which a client looks at a batch's pictures and answers.
int RunReview(const ReviewArguments& arguments);
// A deck with a batch's pictures, PDF.
int RunSlides(const SlidesArguments& arguments);
int RunCheck(const CheckArguments& arguments);
// The flat print blank of a cylinder or cone, as SVG.
int RunBlank(const BlankArguments& arguments);
// The flat blank of a carton of a published style, as SVG.
int RunDieline(const DielineArguments& arguments);
// Grows the mattes of the scene's strokes and writes them where the scene names them.
int RunMatte(const MatteArguments& arguments);
// The photograph of a scene's stage, taken and kept.
int RunStage(const StageArguments& arguments);
// Every preview of a batch, small, PDF, PNG or JPEG.
int RunContactSheet(const SheetArguments& arguments);
// Clients' answers into a batch's record, listed.
int RunAnswers(const AnswersArguments& arguments);

}  // namespace wheatpaste

#include <fmt/format.h>

#include "base/files.h"
#include "base/private_folder.h"
#include "batch/blank_photo.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/outcome.h"
#include "cli/report.h"
#include "present/preview_set.h"
#include "present/review_page.h"

namespace wheatpaste {
namespace {

// Through a file of its own, which is removed at once.
Result<JpegPicture> ReadBlank(const JobRecord& record, const Manifest& manifest,
                              const BlankPhotoOptions& options, const JpegLimits& limits) {
  const auto folder = PrivateFolder::Make();
  if (!folder) return folder.errors();
  const std::string path = JoinPath(folder->path(), "blank.jpg");
  if (auto written = WriteBlankPhoto(path, manifest, record, options); !written) {
    return written.errors();
  }
  return ReadJpegPicture(path, limits);
}

}  // namespace

int RunReview(const ReviewArguments& arguments) {
  const auto set = ReadPreviewSet(arguments.folder, arguments.output);
  if (!set) return Refuse(set.errors());
  const std::string out = arguments.out.value_or(JoinPath(arguments.folder, "review.html"));
  if (EndingOf(out) != "html") {
    return Refuse({Error{{"--out " + PrintableText(out)}, "", "expected a name ending in .html"}});
  }
  ReviewOptions options;
  BlankPhotoOptions blanks{arguments.folder, arguments.run_sheet, {DataFolder(), arguments.allow}};
  std::vector<std::string> without_blank;
  options.blank = [&](const PreviewScene& scene, const JpegLimits& limits) {
    auto blank = ReadBlank(*scene.previews.front().shown, set->manifest, blanks, limits);
    if (blank) return std::optional(*std::move(blank));
    without_blank.push_back(fmt::format("{} has no blank photo to compare with: {}", scene.name,
                                        FormatError(blank.errors().front())));
    return std::optional<JpegPicture>();
  };
  options.linked = arguments.linked;
  options.program = "wheatpaste " WHEATPASTE_VERSION;
  const auto written = WriteReviewPage(out, *set, options);
  if (!written) return Refuse(written.errors());
  fmt::print("{}: {} pictures, {:.1f} MB\n", PrintableText(out), written->pictures,
             static_cast<double>(written->bytes) / 1e6);
  std::vector<std::string> notes = set->notes;
  for (const auto& more : {written->notes, without_blank}) {
    notes.insert(notes.end(), more.begin(), more.end());
  }
  return PrintOutcome(notes, written->missing);
}

}  // namespace wheatpaste

#include <fmt/format.h>

#include "base/files.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/report.h"
#include "present/preview_set.h"
#include "present/review_page.h"

namespace wheatpaste {

int RunReview(const ReviewArguments& arguments) {
  const auto set = ReadPreviewSet(arguments.folder, arguments.output);
  if (!set) return Refuse(set.errors());
  const std::string out = arguments.out.value_or(JoinPath(arguments.folder, "review.html"));
  if (EndingOf(out) != "html") {
    return Refuse({Error{{"--out " + PrintableText(out)}, "", "expected a name ending in .html"}});
  }
  ReviewOptions options;
  options.linked = arguments.linked;
  options.program = "wheatpaste " WHEATPASTE_VERSION;
  const auto written = WriteReviewPage(out, *set, options);
  if (!written) return Refuse(written.errors());
  fmt::print("{}: {} pictures, {:.1f} MB\n", PrintableText(out), written->pictures,
             static_cast<double>(written->bytes) / 1e6);
  for (const std::string& note : set->notes) fmt::print("note: {}\n", note);
  for (const std::string& note : written->notes) fmt::print("note: {}\n", note);
  for (const std::string& what : written->missing) fmt::print(stderr, "missing: {}\n", what);
  return written->missing.empty() ? kExitDone : kExitSomeFailed;
}

}  // namespace wheatpaste

#include <fmt/format.h>

#include "batch/merge_batches.h"
#include "cli/commands.h"
#include "cli/report.h"

namespace wheatpaste {

int RunMerge(const MergeArguments& arguments) {
  const std::string out = arguments.out.value_or(arguments.folders.front());
  const auto merged = MergeBatches(arguments.folders, out);
  if (!merged) return Refuse(merged.errors());
  fmt::print("{}: {} pictures, {} failed, {} copied\n", PrintableText(out), merged->pictures,
             merged->failed, merged->copied);
  for (const std::string& what : merged->missing) {
    fmt::print(stderr, "missing: {}\n", PrintableText(what, 1000));
  }
  return merged->missing.empty() && merged->failed == 0 ? kExitDone : kExitSomeFailed;
}

}  // namespace wheatpaste

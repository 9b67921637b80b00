#include "cli/outcome.h"

#include <fmt/format.h>

#include "base/error.h"
#include "cli/commands.h"

namespace wheatpaste {
namespace {

constexpr size_t kMostCharacters = 1000;

}  // namespace

int PrintOutcome(const std::vector<std::string>& notes, const std::vector<std::string>& missing) {
  for (const std::string& note : notes) {
    fmt::print("note: {}\n", PrintableText(note, kMostCharacters));
  }
  for (const std::string& what : missing) {
    fmt::print(stderr, "missing: {}\n", PrintableText(what, kMostCharacters));
  }
  return missing.empty() ? kExitDone : kExitSomeFailed;
}

}  // namespace wheatpaste

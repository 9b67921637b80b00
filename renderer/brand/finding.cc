#include "brand/finding.h"

namespace wheatpaste {

const char* NameOf(Finding::Verdict verdict) {
  switch (verdict) {
    case Finding::Verdict::kKept:
      return "kept";
    case Finding::Verdict::kBroken:
      return "broken";
    case Finding::Verdict::kNotJudged:
      return "not judged";
    case Finding::Verdict::kNotMeasured:
      break;
  }
  return "not measured";
}

Finding Judged(Finding finding) {
  if (!finding.measured) {
    finding.verdict = Finding::Verdict::kNotMeasured;
  } else if (!finding.expected) {
    finding.verdict = Finding::Verdict::kNotJudged;
  } else {
    finding.verdict = *finding.measured >= *finding.expected ? Finding::Verdict::kKept
                                                             : Finding::Verdict::kBroken;
  }
  return finding;
}

}  // namespace wheatpaste

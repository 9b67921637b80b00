// finding.h - what one rule of a brand found on one placement, or in the whole scene.
//
// Rules   "contrast", "colour vision", "line", "gap", "lettering", "reading distance", "resolution", "clear space",
//         "edge distance", "crease distance", "bleed", "lettering on creases", "glue".
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace wheatpaste {

struct Finding {
  enum class Verdict {
    kKept,        // as expected
    kBroken,      // worth a warning
    kNotJudged,   // measured; nothing says what is expected
    kNotMeasured  // `words` says why
  };

  std::string rule;
  std::optional<size_t> placement = {};  // index into Scene::placements; none: of the whole scene
  std::string subject = {};              // what was measured: "#0f4a3f on the bare substrate"
  std::optional<double> measured = {};
  std::optional<double> expected = {};  // the least value that keeps the rule
  std::string unit = {};                // of both: "mm", "m", "ppi", "ratio", "CIEDE2000"
  std::string source = {};              // of the expectation
  Verdict verdict = Verdict::kNotMeasured;
  bool can_be_mended = false;  // not measured for want of something that the user can give
  std::string words = {};      // one plain sentence, without end mark
};

using Findings = std::vector<Finding>;

// "kept", "broken", "not judged", "not measured".
const char* NameOf(Finding::Verdict verdict);

// A finding whose verdict follows from its numbers: kept where measured is at least what is expected.
Finding Judged(Finding finding);

}  // namespace wheatpaste

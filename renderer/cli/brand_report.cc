#include "cli/brand_report.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

// "contrast 9.8 to 1", "line 0.25 mm".
std::string ShortOf(const Finding& finding) {
  const double value = *finding.measured;
  const int digits = finding.unit == "ppi" ? 0 : value < 1 ? 2 : value < 100 ? 1 : 0;
  const std::string unit = finding.unit == "ratio" ? "to 1" : finding.unit;
  if (finding.unit == "CIEDE2000") return fmt::format("{} {} {:.0f}", finding.rule, unit, value);
  return fmt::format("{} {:.{}f} {}", finding.rule, value, digits, unit);
}

// The finding of each rule that lies nearest to its expectation, in the order of the rules.
std::vector<const Finding*> TightestOf(const std::vector<const Finding*>& findings) {
  std::vector<const Finding*> tightest;
  for (const Finding* finding : findings) {
    if (!finding->measured || finding->verdict == Finding::Verdict::kBroken) continue;
    // Nobody asked for room, and there is none: a page that fills its face.
    if (finding->verdict == Finding::Verdict::kNotJudged && *finding->measured == 0) continue;
    const auto same = std::find_if(tightest.begin(), tightest.end(), [&](const Finding* other) {
      return other->rule == finding->rule;
    });
    if (same == tightest.end()) {
      tightest.push_back(finding);
    } else if (*finding->measured < *(*same)->measured) {
      *same = finding;
    }
  }
  return tightest;
}

}  // namespace

Json BrandOf(const Findings& findings) {
  Json list = Json::array();
  const auto number = [](const std::optional<double>& value) {
    return value ? Json(*value) : Json();
  };
  for (const Finding& finding : findings) {
    list.push_back({{"rule", finding.rule},
                    {"placement", finding.placement ? Json(*finding.placement) : Json()},
                    {"subject", finding.subject.empty() ? Json() : Json(finding.subject)},
                    {"measured", number(finding.measured)},
                    {"expected", number(finding.expected)},
                    {"unit", finding.unit},
                    {"source", finding.source.empty() ? Json() : Json(finding.source)},
                    {"verdict", NameOf(finding.verdict)},
                    {"words", finding.words}});
  }
  return list;
}

std::string BrandText(const Scene& scene, const Findings& findings) {
  std::string text;
  const auto line = [&](const std::string& words) {
    text += fmt::format("brand       {}\n", PrintableText(words, 1000));
  };
  std::vector<std::optional<size_t>> groups;
  for (const Finding& finding : findings) {
    if (std::find(groups.begin(), groups.end(), finding.placement) == groups.end()) {
      groups.push_back(finding.placement);
    }
  }
  for (const auto& group : groups) {
    std::vector<const Finding*> own;
    for (const Finding& finding : findings) {
      if (finding.placement == group) own.push_back(&finding);
    }
    const std::string name = group ? scene.placements[*group].artwork.value : "all colours";
    std::vector<std::string> kept;
    for (const Finding* finding : TightestOf(own)) kept.push_back(ShortOf(*finding));
    if (!kept.empty()) line(fmt::format("{}: {}", name, fmt::join(kept, ", ")));
    std::set<std::string> said;
    for (const Finding* finding : own) {
      const bool broken = finding->verdict == Finding::Verdict::kBroken;
      // That there is no lettering or no thin line needs no words.
      const bool mendable =
          finding->verdict == Finding::Verdict::kNotMeasured && finding->can_be_mended;
      if ((!broken && !mendable) || !said.insert(finding->words).second) continue;
      line(fmt::format("{}: {}{}", name,
                       broken ? "look at this: " : "not measured: ", finding->words));
    }
  }
  return text;
}

}  // namespace wheatpaste

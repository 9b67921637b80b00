#include "dieline/blanks.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dieline/blank_pen.h"
#include "dieline/find_panels.h"
#include "scene/nearest_name.h"
#include "scene/stage.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

constexpr double kMostInnerMm = 3000, kMostBoardMm = 20;

template <typename T>
Error Mistake(const Placed<T>& value, const std::string& shown, const std::string& expected) {
  return {value.place, value.key.empty() ? "" : value.key + " = " + shown, expected};
}

// Every side of a panel moved outwards. Corners sharper than a right angle are cut off, so that none reaches past the bleed of the panel beside it.
FlatOutline Grown(const FlatOutline& outline, double by) {
  FlatOutline grown;
  for (size_t i = 0; i < outline.size(); ++i) {
    const Vector2d &before = outline[(i + outline.size() - 1) % outline.size()], &at = outline[i],
                   &after = outline[(i + 1) % outline.size()];
    const Vector2d u = (at - before).normalized(), v = (after - at).normalized();
    // To the left of a walk that keeps the panel on its right as it is seen.
    const Vector2d left_of_u(u.y(), -u.x()), left_of_v(v.y(), -v.x());
    if (u.dot(v) < 0 && u.x() * v.y() - u.y() * v.x() > 0) {
      // Three sides around the circle about the corner.
      const double along = std::tan(std::acos(u.dot(v)) / 4);
      grown.push_back(at + by * (left_of_u + along * u));
      grown.push_back(at + by * (left_of_v - along * v));
      continue;
    }
    const Vector2d mean = left_of_u + left_of_v;
    const double length2 = std::max(mean.squaredNorm(), 0.5);  // spikes stay short
    grown.push_back(at + 2 * by / length2 * mean);
  }
  return grown;
}

}  // namespace

Result<DielineDrawing> DrawBlank(const Placed<std::string>& style,
                                 const Placed<std::array<double, 3>>& inner,
                                 const Placed<double>& board) {
  Errors errors;
  const auto& [l, b, h] = inner.value;
  const std::string shown = fmt::format("[{}, {}, {}]", l, b, h);
  for (const double length : inner.value) {
    if (length > 0 && length <= kMostInnerMm) continue;
    errors.push_back(Mistake(
        inner, shown, fmt::format("expected lengths above 0 and up to {} mm", kMostInnerMm)));
    break;
  }
  if (!(board.value > 0 && board.value <= kMostBoardMm)) {
    errors.push_back(
        Mistake(board, fmt::format("{}", board.value),
                fmt::format("expected a thickness above 0 and up to {} mm", kMostBoardMm)));
  }
  const bool known =
      std::find(kCartonStyles.begin(), kCartonStyles.end(), style.value) != kCartonStyles.end();
  if (!known) {
    errors.push_back(
        Mistake(style, fmt::format("\"{}\"", PrintableText(style.value)),
                "expected one of " + QuotedList({kCartonStyles.begin(), kCartonStyles.end()})));
  }
  if (!errors.empty()) return errors;
  // Less, and its flaps would not clear each other.
  constexpr double kLeastPerBoard = 10;
  const double least = std::max(10.0, kLeastPerBoard * board.value);
  if (std::min({l, b, h}) < least) {
    return Mistake(inner, shown,
                   fmt::format("expected lengths of at least {} mm with a board of {} mm", least,
                               board.value));
  }
  const BlankSize size{l, b, h, board.value};
  DielineDrawing drawing = style.value == "0201"     ? Draw0201(size)
                           : style.value == "0427"   ? Draw0427(size)
                           : style.value == "sleeve" ? DrawSleeve(size)
                                                     : DrawTuck(size, style.value != "tuck");
  const auto dieline = FindPanels(drawing, style);
  WHEATPASTE_CHECK(dieline.ok());
  for (const DielinePanel& panel : dieline->panels) {
    if (!panel.glued) drawing.bleed.push_back(Grown(panel.outline, kBlankBleedMm));
  }
  return drawing;
}

}  // namespace wheatpaste

#include <charconv>

#include <fmt/format.h>

#include "base/files.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/report.h"
#include "dieline/blanks.h"
#include "dieline/write_dieline.h"

namespace wheatpaste {
namespace {

std::optional<double> ReadNumber(std::string_view text) {
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

// "90x40x140".
Result<std::array<double, 3>> ReadInner(const std::string& text) {
  std::array<double, 3> inner{};
  std::string_view rest = text;
  for (size_t i = 0; i < 3; ++i) {
    const size_t end = i < 2 ? rest.find('x') : rest.size();
    const auto value =
        end == std::string_view::npos ? std::nullopt : ReadNumber(rest.substr(0, end));
    if (!value) {
      return Error{PlacedOption("--inner", text).place, "",
                   "expected LENGTHxBREADTHxHEIGHT in mm, such as 90x40x140"};
    }
    inner[i] = *value;
    rest.remove_prefix(i < 2 ? end + 1 : end);
  }
  return inner;
}

}  // namespace

int RunDieline(const DielineArguments& arguments) {
  Errors errors;
  const auto add = [&](const Errors& more) {
    errors.insert(errors.end(), more.begin(), more.end());
  };
  const std::string out = arguments.out.value_or("dieline.svg");
  if (EndingOf(out) != "svg") {
    errors.push_back({PlacedOption("--out", out).place, "", "expected a file ending in .svg"});
  }
  const auto inner = ReadInner(arguments.inner);
  if (!inner) add(inner.errors());
  const auto board = ReadNumber(arguments.board);
  if (!board) {
    errors.push_back({PlacedOption("--board", arguments.board).place, "",
                      "expected the board's thickness in mm, such as 0.5"});
  }
  if (!errors.empty()) return Refuse(errors);
  const auto place = [](const char* option, const std::string& value) {
    return PlacedOption(option, value).place;
  };
  const auto drawing = DrawBlank({arguments.style, place("--style", arguments.style), ""},
                                 {*inner, place("--inner", arguments.inner), ""},
                                 {*board, place("--board", arguments.board), ""});
  if (!drawing) return Refuse(drawing.errors());
  const std::string title =
      fmt::format("{} {} mm, board {} mm", arguments.style, arguments.inner, arguments.board);
  if (auto written = WriteWholeFile(out, DielineSvg(*drawing, title, kBlankCaution)); !written) {
    return Refuse(written.errors());
  }
  fmt::print("{}: {}, a page of {:.1f} x {:.1f} mm, true to scale\nnote: {}\n", out, title,
             drawing->page.x(), drawing->page.y(), kBlankCaution);
  return kExitDone;
}

}  // namespace wheatpaste

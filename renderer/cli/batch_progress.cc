#include "cli/batch_progress.h"

#include <cmath>
#include <cstdio>

#include <sys/ioctl.h>
#include <unistd.h>

#include <fmt/format.h>

#include "base/error.h"
#include "cli/report.h"

namespace wheatpaste {
namespace {

constexpr int kBarCells = 24;
constexpr int kLeastColumns = 40;

// "12 s", "3 min 20 s", "2 h 5 min".
std::string Duration(double seconds) {
  const auto whole = static_cast<int64_t>(std::ceil(seconds));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

int Columns() {
  winsize size{};
  if (ioctl(STDERR_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col < kLeastColumns) return 80;
  return size.ws_col;
}

void PrintLine(const Json& json) {
  const std::string line = json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
  std::fwrite(line.data(), 1, line.size(), stdout);
  std::fflush(stdout);
}

void PrintCounted(const char* kind, const std::map<std::string, size_t>& texts) {
  for (const auto& [text, pictures] : texts) {
    fmt::print(stderr, "{}: {}{}\n", kind, PrintableText(text, 1000),
               pictures == 1 ? "" : fmt::format(" ({} pictures)", pictures));
  }
}

}  // namespace

BatchProgress::BatchProgress(Style style)
    : style_(style),
      bar_(style == Style::kPeople && isatty(STDERR_FILENO) != 0),
      begin_(std::chrono::steady_clock::now()) {}

double BatchProgress::seconds() const {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin_).count();
}

void BatchProgress::Begins(size_t to_do, size_t planned) {
  begin_ = std::chrono::steady_clock::now();
  to_do_ = to_do;
  ended_ = 0;
  notes_.clear();
  warnings_.clear();
  if (style_ == Style::kJsonLines) {
    PrintLine({{"event", "begin"}, {"to_do", to_do}, {"planned", planned}});
  }
}

void BatchProgress::Ended(const JobRecord& record) {
  ++ended_;
  for (const std::string& note : record.notes) ++notes_[note];
  for (const std::string& warning : record.warnings) ++warnings_[warning];
  if (style_ == Style::kQuiet) return;
  if (style_ == Style::kJsonLines) {
    PrintLine({{"event", "picture"},
               {"file", record.file},
               {"status", record.done ? "done" : "failed"},
               {"errors", record.errors},
               {"seconds", record.seconds},
               {"ended", ended_},
               {"to_do", to_do_}});
    return;
  }
  if (bar_) return DrawBar(record.file);
  if (record.done) {
    fmt::print("{}: {} x {} px, {:.2f} s\n", PrintableText(record.file), record.size.width,
               record.size.height, record.seconds);
  } else {
    fmt::print("{}: failed\n", PrintableText(record.file));
  }
  std::fflush(stdout);
}

void BatchProgress::DrawBar(const std::string& file) {
  const double share = static_cast<double>(ended_) / static_cast<double>(to_do_);
  const double rate = static_cast<double>(ended_) / std::max(1e-3, seconds());
  const int filled = static_cast<int>(std::lround(share * kBarCells));
  std::string line = fmt::format(
      "{}{} {}/{}  {:.1f} a second, {} left  ", std::string(static_cast<size_t>(filled), '='),
      std::string(static_cast<size_t>(kBarCells - filled), '.'), ended_, to_do_, rate,
      Duration(static_cast<double>(to_do_ - ended_) / rate));
  line += PrintableText(file);
  // One line, whatever the terminal's width: a wrapped one could not be drawn over.
  line.resize(std::min(line.size(), static_cast<size_t>(Columns() - 1)));
  fmt::print(stderr, "\r\x1b[K{}", line);
  std::fflush(stderr);
}

void BatchProgress::EraseBar() {
  if (bar_ && ended_ > 0) fmt::print(stderr, "\r\x1b[K");
}

void BatchProgress::Finish(const BatchResult& result, const std::string& folder) {
  EraseBar();
  if (style_ == Style::kJsonLines) {
    PrintLine({{"event", "end"},
               {"made", result.made},
               {"unchanged", result.unchanged},
               {"failed", result.failed},
               {"not_begun", result.not_begun},
               {"left_over", result.left_over},
               {"removed", result.removed},
               {"seconds", seconds()}});
  } else if (style_ == Style::kPeople) {
    std::string counts = fmt::format("{} made, {} unchanged", result.made, result.unchanged);
    if (result.failed > 0) counts += fmt::format(", {} failed", result.failed);
    if (result.not_begun > 0) counts += fmt::format(", {} not begun", result.not_begun);
    if (!result.removed.empty()) counts += fmt::format(", {} removed", result.removed.size());
    fmt::print("{}: {}, {:.1f} s\n", PrintableText(folder), counts, seconds());
    for (const std::string& file : result.left_over) {
      fmt::print("left over: {}; no job makes it any more, --prune removes it\n",
                 PrintableText(file));
    }
    std::fflush(stdout);
    PrintCounted("note", notes_);
    PrintCounted("warning", warnings_);
  }
  for (const JobRecord& record : result.failures) {
    fmt::print(stderr, "failed: {}\n", PrintableText(record.file));
    for (const std::string& error : record.errors) {
      fmt::print(stderr, "{}\n", PrintableText(error, 1000));
    }
  }
  if (result.not_begun > 0) {
    fmt::print(stderr, "stopped before the end; the same command goes on from here\n");
  }
}

}  // namespace wheatpaste

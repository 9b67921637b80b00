#include "artwork/read_pdf.h"

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <string>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>

#include "artwork/drawing_process.h"
#include "artwork/place_error.h"
#include "base/private_folder.h"
#include "base/read_log.h"

namespace wheatpaste {
namespace {

constexpr size_t kKeptMessageBytes = 4096;

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() {
    if (number_ >= 0) close(number_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }
  void Close() {
    if (number_ >= 0) close(std::exchange(number_, -1));
  }

 private:
  int number_;
};

struct Ending {
  bool in_time = false;
  int status = 0;  // as waitpid gives it
  std::string message;
};

void Limit(pid_t child, __rlimit_resource what, int64_t most) {
  const rlimit limit{static_cast<rlim_t>(most), static_cast<rlim_t>(most)};
  prlimit(child, what, &limit, nullptr);
}

// Reads what the child says until it ends or `deadline` passes; then it is ended. Always reaped.
Ending WaitFor(pid_t child, int errors, double deadline) {
  Ending ending;
  const Descriptor process(static_cast<int>(syscall(SYS_pidfd_open, child, 0)));
  bool talking = true;
  while (true) {
    const double left = deadline - MonotonicSeconds();
    if (left <= 0 || process.number() < 0) break;
    std::array<pollfd, 2> wanted = {{{process.number(), POLLIN, 0}, {errors, POLLIN, 0}}};
    const int ready = poll(wanted.data(), talking ? 2 : 1, static_cast<int>(left * 1000) + 1);
    if (ready <= 0) continue;
    if (talking && wanted[1].revents != 0) {
      std::array<char, 1024> part;
      const ssize_t got = read(errors, part.data(), part.size());
      talking = got > 0;
      if (got > 0 && ending.message.size() < kKeptMessageBytes) {
        ending.message.append(part.data(), static_cast<size_t>(got));
      }
      continue;
    }
    if (wanted[0].revents != 0) {
      ending.in_time = true;
      break;
    }
  }
  if (!ending.in_time) kill(child, SIGKILL);
  while (waitpid(child, &ending.status, 0) < 0 && errno == EINTR) {
  }
  return ending;
}

// The first line of what poppler said, without its "Syntax Error: " and "Command Line Error: ".
std::string Reason(const Ending& ending) {
  if (WIFSIGNALED(ending.status)) {
    return fmt::format("pdftocairo ended early, by signal {} (too large, or a fault)",
                       WTERMSIG(ending.status));
  }
  if (ending.message.find("ncorrect password") != std::string::npos) {
    return "is encrypted; expected a PDF that opens without a password";
  }
  std::string line = ending.message.substr(0, ending.message.find('\n'));
  if (const size_t at = line.find("Error: "); at != std::string::npos) line.erase(0, at + 7);
  if (line.empty()) line = fmt::format("status {}", WEXITSTATUS(ending.status));
  return fmt::format("cannot be read as PDF: {}", PrintableText(line));
}

std::string Variable(const char* name, const char* otherwise) {
  const char* value = std::getenv(name);
  return fmt::format("{}={}", name, value != nullptr ? value : otherwise);
}

std::vector<char*> Pointers(std::vector<std::string>& words) {
  std::vector<char*> pointers;
  for (std::string& word : words) pointers.push_back(word.data());
  pointers.push_back(nullptr);
  return pointers;
}

}  // namespace

Result<Bytes> SvgFromPdf(const Bytes& pdf, const Placed<std::string>& path,
                         const std::string& program) {
  const auto folder = PrivateFolder::Make();
  if (!folder) {
    return ArtworkError(path, "cannot be read: " + folder.errors().front().message);
  }
  const std::string input = folder->path() + "/page.pdf";
  const std::string output = folder->path() + "/page.svg";
  const std::string_view data(reinterpret_cast<const char*>(pdf.data()), pdf.size());
  if (auto written = WriteWholeFile(input, data); !written) return written.errors();

  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC) != 0) {
    return ArtworkError(path, fmt::format("cannot be read: {}", std::strerror(errno)));
  }
  Descriptor hear(ends[0]), say(ends[1]);
  std::vector<std::string> words = {program, "-svg", "-f", "1", "-l", "1", input, output};
  std::vector<std::string> variables = {Variable("PATH", "/usr/bin:/bin"), Variable("HOME", "/"),
                                        "LC_ALL=C"};
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_adddup2(&actions, say.number(), 2);
  // In a process group of its own, which a terminal's Ctrl-C does not reach: a batch finishes what it has begun.
  posix_spawnattr_t apart;
  posix_spawnattr_init(&apart);
  posix_spawnattr_setflags(&apart, POSIX_SPAWN_SETPGROUP);
  pid_t child = -1;
  const int failure = posix_spawnp(&child, program.c_str(), &actions, &apart,
                                   Pointers(words).data(), Pointers(variables).data());
  posix_spawnattr_destroy(&apart);
  posix_spawn_file_actions_destroy(&actions);
  if (failure != 0) {
    return ArtworkError(path, fmt::format("is a PDF, which needs the program pdftocairo ({}); "
                                          "install the package poppler-utils",
                                          std::strerror(failure)));
  }
  Limit(child, RLIMIT_AS, kPdfMemoryBytes);
  Limit(child, RLIMIT_CPU, kPdfSeconds);
  Limit(child, RLIMIT_FSIZE, kPdfSvgBytes);
  Limit(child, RLIMIT_CORE, 0);
  say.Close();
  const Ending ending = WaitFor(child, hear.number(), MonotonicSeconds() + kPdfSeconds);
  if (!ending.in_time) {
    return ArtworkError(path,
                        fmt::format("takes more than {} s to read; simplify it", kPdfSeconds));
  }
  const bool done = WIFEXITED(ending.status) && WEXITSTATUS(ending.status) == 0;
  if (!done) return ArtworkError(path, Reason(ending));
  const ReadLog own;  // a file of our own, not the user's
  auto svg = ReadWholeFile({output, {}, ""}, kPdfSvgBytes);
  if (!svg || svg->empty())
    return ArtworkError(path, "cannot be read as PDF: it has no first page");
  return svg;
}

}  // namespace wheatpaste

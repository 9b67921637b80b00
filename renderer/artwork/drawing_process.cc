#include "artwork/drawing_process.h"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <ctime>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>

#include "artwork/draw_svg.h"
#include "artwork/place_error.h"

// Address-space limits and the sanitizers' shadow memory exclude each other.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define WHEATPASTE_HAS_SHADOW_MEMORY 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer) || \
    __has_feature(memory_sanitizer)
#define WHEATPASTE_HAS_SHADOW_MEMORY 1
#endif
#endif

namespace wheatpaste {

struct DrawingProcess::Reply {
  uint32_t ok = 0;
  SvgSize size;
  char message[240] = {};
};

namespace {

constexpr int kChildSocket = 3;

// Maps all pages at once, which is quicker than a fault for each. Where the kernel cannot (before
// Linux 5.14), they are mapped as they are touched.
void MapPages(void* pixels, size_t bytes) {
  if (bytes > 0) madvise(pixels, bytes, MADV_POPULATE_WRITE);
}

void LimitMemory() {
#ifndef WHEATPASTE_HAS_SHADOW_MEMORY
  // What the parent had mapped at the fork does not count against the child.
  long pages = 0;
  if (FILE* status = std::fopen("/proc/self/statm", "r")) {
    if (std::fscanf(status, "%ld", &pages) != 1) pages = 0;
    std::fclose(status);
  }
  const auto bytes =
      static_cast<rlim_t>(pages) * static_cast<rlim_t>(sysconf(_SC_PAGESIZE)) + kDrawingMemoryBytes;
  const rlimit limit{bytes, bytes};
  setrlimit(RLIMIT_AS, &limit);
#endif
}

// Leaves the child with its socket as the only descriptor, silent, and mortal.
void BecomeChild(int socket, pid_t parent) {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != parent) _exit(1);
  for (const int number : {SIGSEGV, SIGBUS, SIGILL, SIGFPE, SIGABRT, SIGALRM, SIGXCPU, SIGPIPE,
                           SIGHUP, SIGQUIT, SIGUSR1, SIGUSR2}) {
    signal(number, SIG_DFL);
  }
  // A terminal's Ctrl-C and a cluster's end reach child and parent alike. A parent that finishes what it has begun needs
  // the child for it; with one that ends, the child ends too.
  for (const int number : {SIGINT, SIGTERM}) signal(number, SIG_IGN);
  sigset_t none;
  sigemptyset(&none);
  sigprocmask(SIG_SETMASK, &none, nullptr);
  // The socket may itself be one of the first three.
  socket = fcntl(socket, F_DUPFD, kChildSocket + 1);
  const int nothing = open("/dev/null", O_RDWR);
  for (int stream = 0; stream < kChildSocket; ++stream) dup2(nothing, stream);
  dup2(socket, kChildSocket);
  close_range(kChildSocket + 1, ~0U, 0);
  const rlimit no_core{0, 0};
  setrlimit(RLIMIT_CORE, &no_core);
  LimitMemory();
}

template <typename Message>
bool Send(int socket, const Message& message) {
  return send(socket, &message, sizeof(message), MSG_NOSIGNAL) ==
         static_cast<ssize_t>(sizeof(message));
}

template <typename Reply>
void Tell(Reply& reply, const std::string& message) {
  std::snprintf(reply.message, sizeof(reply.message), "%s", message.c_str());
}

}  // namespace

// The child's whole life. An exception here must not unwind into the parent's copied frames.
[[noreturn]] void DrawingProcess::Serve(const SvgSource& source, uint32_t* pixels) noexcept {
  Reply reply;
  std::string error;
  SvgHandle handle(source, error);
  Tell(reply, error);
  reply.ok = handle.ok();
  if (handle.ok()) reply.size = handle.size();
  if (!Send(kChildSocket, reply) || !handle.ok()) _exit(0);
  PartRequest request;
  while (recv(kChildSocket, &request, sizeof(request), 0) ==
         static_cast<ssize_t>(sizeof(request))) {
    reply = {};
    error.clear();
    reply.ok = handle.Draw(request, pixels, error);
    Tell(reply, error);
    if (!Send(kChildSocket, reply)) break;
  }
  _exit(0);
}

DrawingLimits& drawing_limits() {
  static DrawingLimits limits;
  return limits;
}

double MonotonicSeconds() {
  timespec now{};
  clock_gettime(CLOCK_MONOTONIC, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

Result<DrawingProcess> DrawingProcess::Start(const SvgSource& source, size_t part_bytes,
                                             const Placed<std::string>& path) {
  DrawingProcess process(path);
  if (part_bytes > 0) {
    void* shared =
        mmap(nullptr, part_bytes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (shared == MAP_FAILED) {
      return ArtworkError(path, fmt::format("cannot draw: no memory for {} bytes", part_bytes));
    }
    process.pixels_ = static_cast<uint32_t*>(shared);
    process.pixel_bytes_ = part_bytes;
  }
  int sockets[2];
  if (socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, sockets) != 0) {
    return ArtworkError(path, fmt::format("cannot draw: {}", std::strerror(errno)));
  }
  process.socket_ = sockets[0];
  const pid_t parent = getpid();
  process.child_ = fork();
  if (process.child_ == 0) {
    BecomeChild(sockets[1], parent);
    MapPages(process.pixels_, part_bytes);
    Serve(source, process.pixels_);
  }
  close(sockets[1]);
  if (process.child_ < 0) {
    return ArtworkError(path, fmt::format("cannot draw: {}", std::strerror(errno)));
  }
  return process;
}

Result<SvgSize> DrawingProcess::AwaitSize() {
  const double limit = drawing_limits().read_seconds;
  auto reply = Await(MonotonicSeconds() + limit, limit);
  if (!reply) return reply.errors();
  return reply->size;
}

DrawingProcess::DrawingProcess(DrawingProcess&& other) noexcept
    : path_(other.path_),
      child_(std::exchange(other.child_, -1)),
      socket_(std::exchange(other.socket_, -1)),
      pixels_(std::exchange(other.pixels_, nullptr)),
      pixel_bytes_(other.pixel_bytes_) {}

DrawingProcess::~DrawingProcess() {
  if (socket_ >= 0) close(socket_);
  if (child_ > 0) {
    kill(child_, SIGKILL);
    while (waitpid(child_, nullptr, 0) < 0 && errno == EINTR) {
    }
  }
  if (pixels_ != nullptr) munmap(pixels_, pixel_bytes_);
}

Result<DrawingProcess::Reply> DrawingProcess::Await(double deadline, double limit_seconds) {
  while (true) {
    const double left = deadline - MonotonicSeconds();
    pollfd wanted{socket_, POLLIN, 0};
    const int ready = left <= 0 ? 0 : poll(&wanted, 1, static_cast<int>(left * 1000) + 1);
    if (ready < 0 && errno == EINTR) continue;
    if (ready > 0) break;
    if (left > 0) continue;
    return ArtworkError(path_,
                        fmt::format("takes more than {} s to draw; simplify it", limit_seconds));
  }
  Reply reply;
  if (recv(socket_, &reply, sizeof(reply), 0) != static_cast<ssize_t>(sizeof(reply))) {
    int status = 0;
    while (waitpid(child_, &status, 0) < 0 && errno == EINTR) {
    }
    child_ = -1;
    return ArtworkError(
        path_, WIFSIGNALED(status)
                   ? fmt::format("the drawing ended early, by signal {} (out of memory, or a fault "
                                 "of the SVG library)",
                                 WTERMSIG(status))
                   : fmt::format("the drawing ended early, with status {}", WEXITSTATUS(status)));
  }
  if (reply.ok == 0) {
    reply.message[sizeof(reply.message) - 1] = 0;
    return ArtworkError(path_, fmt::format("cannot be drawn: {}", PrintableText(reply.message)));
  }
  return reply;
}

Status DrawingProcess::Draw(const PartRequest& request, double deadline) {
  WHEATPASTE_CHECK_OP(static_cast<size_t>(request.part.area()) * 4, <=, pixel_bytes_);
  if (!Send(socket_, request)) {
    // The child is gone; Await finds out how it ended.
  }
  auto reply = Await(deadline, drawing_limits().draw_seconds);
  if (!reply) return reply.errors();
  return Done{};
}

}  // namespace wheatpaste

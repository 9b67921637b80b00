#include "base/digest.h"

#include <array>
#include <cerrno>
#include <cstring>
#include <vector>

#include <fcntl.h>
#include <nettle/sha2.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

constexpr size_t kPieceBytes = size_t{256} << 10;

}  // namespace

struct Sha256::State {
  sha256_ctx context;
};

Sha256::Sha256() : state_(std::make_unique<State>()) { sha256_init(&state_->context); }
Sha256::~Sha256() = default;

void Sha256::Add(const void* data, size_t size) {
  sha256_update(&state_->context, size, static_cast<const uint8_t*>(data));
}

void Sha256::AddText(std::string_view text) {
  const uint64_t size = text.size();
  Add(&size, sizeof size);
  Add(text.data(), text.size());
}

std::array<uint8_t, 32> Sha256::Digest() {
  std::array<uint8_t, 32> digest;
  static_assert(digest.size() == SHA256_DIGEST_SIZE);
  sha256_digest(&state_->context, digest.size(), digest.data());
  return digest;
}

std::string Sha256::Hex() {
  std::string hex;
  for (const uint8_t byte : Digest()) hex += fmt::format("{:02x}", byte);
  return hex;
}

std::string Sha256Of(const void* data, size_t size) {
  Sha256 digest;
  digest.Add(data, size);
  return digest.Hex();
}

Result<std::string> Sha256OfFile(const std::string& path) {
  const auto failed = [&path](const char* doing) {
    return Error{
        {PrintableText(path)}, "", fmt::format("cannot {}: {}", doing, std::strerror(errno))};
  };
  const int descriptor = open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) return failed("open");
  struct Closer {
    int descriptor;
    ~Closer() { close(descriptor); }
  } const closer{descriptor};
  struct stat status {};
  if (fstat(descriptor, &status) != 0) return failed("read");
  if (!S_ISREG(status.st_mode)) {
    return Error{{PrintableText(path)}, "", "expected a regular file"};
  }
  Sha256 digest;
  std::vector<uint8_t> piece(kPieceBytes);
  for (;;) {
    const ssize_t got = read(descriptor, piece.data(), piece.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return failed("read");
    if (got == 0) return digest.Hex();
    digest.Add(piece.data(), static_cast<size_t>(got));
  }
}

}  // namespace wheatpaste

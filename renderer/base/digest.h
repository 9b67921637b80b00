// digest.h - the SHA-256 of bytes, by which a file is known to be what it was.
//
// Source  FIPS 180-4; computed by Nettle, checked with its examples (tests/base/digest_test.cc).
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "base/error.h"

namespace wheatpaste {

class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(const Sha256&) = delete;
  Sha256& operator=(const Sha256&) = delete;

  void Add(const void* data, size_t size);
  // A text and its length, so that neighbours cannot run into each other.
  void AddText(std::string_view text);
  // Once, at the end: the digest's bytes, or as 64 hex digits in lower case.
  std::array<uint8_t, 32> Digest();
  std::string Hex();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string Sha256Of(const void* data, size_t size);

// Of a regular file, read in pieces.
// errors  cannot open or read it: the system's own words.
Result<std::string> Sha256OfFile(const std::string& path);

}  // namespace wheatpaste

// must_run.h - programs that a test needs to succeed.
#pragma once

#include <string>

#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste::test {

// Runs a program, which must succeed, and returns what it printed.
inline std::string MustRun(const std::string& command) {
  const RunResult run = Run(command);
  INFO(command << "\n" << run.out << run.err);
  REQUIRE(run.status == 0);
  return run.out;
}

}  // namespace wheatpaste::test

// check.h - what must be true if the program itself is right. A failure is our fault: exit status 3.
#pragma once

#include <string>

#include <fmt/format.h>

namespace wheatpaste {

// Prints the broken claim and the details, and ends the program with exit status 3.
[[noreturn]] void CheckFailed(const char* file, int line, const char* claim,
                              const std::string& details);

}  // namespace wheatpaste

#define WHEATPASTE_CHECK(claim)                                                   \
  do {                                                                            \
    if (!(claim)) ::wheatpaste::CheckFailed(__FILE__, __LINE__, #claim, "false"); \
  } while (false)

// Compares two values and prints both where the comparison fails.
#define WHEATPASTE_CHECK_OP(a, op, b)                                            \
  do {                                                                           \
    const auto& check_a = (a);                                                   \
    const auto& check_b = (b);                                                   \
    if (!(check_a op check_b))                                                   \
      ::wheatpaste::CheckFailed(__FILE__, __LINE__, #a " " #op " " #b,           \
                                fmt::format("{} against {}", check_a, check_b)); \
  } while (false)

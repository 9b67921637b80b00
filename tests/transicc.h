// transicc.h - colours through profiles by LittleCMS's own program.
#pragma once

#include <sstream>
#include <string>
#include <vector>

#include "must_run.h"
#include "support.h"

namespace wheatpaste::test {

// The numbers that transicc prints for `lines` of numbers, in their order.
inline std::vector<double> Transicc(const std::string& options, const std::string& lines) {
  const TempFolder folder;
  WriteText(folder / "in.txt", lines + "\n");
  std::istringstream out(MustRun("transicc -n " + options + " < '" + folder / "in.txt" + "'"));
  std::vector<double> numbers;
  for (double number; out >> number;) numbers.push_back(number);
  return numbers;
}

}  // namespace wheatpaste::test

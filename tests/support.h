// support.h - what tests of several folders share: temporary folders, running the program, CSV tables.
#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

namespace wheatpaste::test {

// A folder of its own, removed with everything in it at the end.
class TempFolder {
 public:
  TempFolder();
  ~TempFolder();
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  const std::string& path() const { return path_; }
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }
  // Names of everything in the folder, sorted.
  std::vector<std::string> List() const;

 private:
  std::string path_;
};

struct RunResult {
  int status = -1;  // exit status; 128 + n when ended by signal n
  std::string out;
  std::string err;
};

// Runs a command line through /bin/sh and waits for its end.
RunResult Run(const std::string& command);

// Runs the program itself with `arguments` (shell syntax).
RunResult RunWheatpaste(const std::string& arguments);

// Throws where it is none. Parsed in one place: compiling that takes seconds a file.
nlohmann::json ParseJson(const std::string& text);

std::string ReadText(const std::string& path);
void WriteText(const std::string& path, const std::string& text);

// Path of a file of the source tree, or of the test data beside the tests.
std::string SourcePath(const std::string& name);

// Rows of a comma-separated file, first line (the heading) left out; quotes are not interpreted.
std::vector<std::vector<std::string>> ReadCsv(const std::string& path);

}  // namespace wheatpaste::test

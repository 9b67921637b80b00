#include "support.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include <sys/wait.h>

#include <nlohmann/json.hpp>

namespace wheatpaste::test {

namespace fs = std::filesystem;

TempFolder::TempFolder() {
  std::string pattern = (fs::temp_directory_path() / "wheatpaste-test-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("cannot make " + pattern);
  path_ = pattern;
}

TempFolder::~TempFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::vector<std::string> TempFolder::List() const {
  std::vector<std::string> names;
  for (const auto& entry : fs::recursive_directory_iterator(path_)) {
    names.push_back(fs::relative(entry.path(), path_).string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

RunResult Run(const std::string& command) {
  const TempFolder scratch;
  const std::string line =
      "( " + command + "\n) > '" + scratch / "out" + "' 2> '" + scratch / "err" + "'";
  const int raw = std::system(line.c_str());
  RunResult result;
  result.status = WIFEXITED(raw) ? WEXITSTATUS(raw) : 128 + WTERMSIG(raw);
  result.out = ReadText(scratch / "out");
  result.err = ReadText(scratch / "err");
  return result;
}

RunResult RunWheatpaste(const std::string& arguments) {
  return Run("'" WHEATPASTE_PROGRAM "' " + arguments);
}

nlohmann::json ParseJson(const std::string& text) { return nlohmann::json::parse(text); }

std::string ReadText(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) throw std::runtime_error("cannot read " + path);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

void WriteText(const std::string& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary);
  out << text;
  if (!out) throw std::runtime_error("cannot write " + path);
}

std::string SourcePath(const std::string& name) {
  return std::string(WHEATPASTE_SOURCE_DIR) + "/" + name;
}

std::vector<std::vector<std::string>> ReadCsv(const std::string& path) {
  std::istringstream lines(ReadText(path));
  std::vector<std::vector<std::string>> rows;
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    std::vector<std::string> cells;
    std::istringstream cell_stream(line);
    std::string cell;
    while (std::getline(cell_stream, cell, ',')) cells.push_back(cell);
    if (!cells.empty()) rows.push_back(cells);
  }
  return rows;
}

}  // namespace wheatpaste::test

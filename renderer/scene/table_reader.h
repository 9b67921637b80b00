// table_reader.h - strict reading of one TOML table: every mistake noted, unknown keys refused.
//
// Use     ask for each key the table may hold, then call RefuseUnknown(). A key that was never
//         asked for is unknown. Each getter notes what is wrong and returns nothing; reading goes
//         on.
// Places  a mistake stands at the value; an unknown key at the key; a missing one at the table.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "scene/toml_document.h"

namespace wheatpaste {

// What was found wrong with one file so far.
class Mistakes {
 public:
  // Reported in full up to this many; the rest is counted. A hostile file can hold a million.
  static constexpr size_t kMostReported = 500;

  explicit Mistakes(std::string file) : file_(std::move(file)) {}

  const std::string& file() const { return file_; }
  bool none() const { return errors_.empty(); }
  bool full() const { return errors_.size() >= kMostReported; }
  Place PlaceOf(const TomlNode& node) const { return {file_, node.line, node.column}; }

  void Add(const Place& place, const std::string& subject, const std::string& message);
  void Add(const TomlNode& node, const std::string& subject, const std::string& message) {
    Add(PlaceOf(node), subject, message);
  }

  // Sorted by line, then column; mistakes at one place keep the order they were found in.
  Errors Sorted() &&;

 private:
  std::string file_;
  Errors errors_;
  size_t unreported_ = 0;
};

// The numbers that a key accepts. `expected` finishes "expected ...".
struct NumberRule {
  double low = 0;
  bool low_included = true;
  double high = 0;
  std::string_view expected;

  bool Accepts(double number) const {
    return (low_included ? number >= low : number > low) && number <= high;
  }
};

// Without place: what is wrong with `node` as a number of `rule`; "" when nothing is.
std::string NumberComplaint(const TomlNode& node, const NumberRule& rule);

// What is wrong with `text` as a line of at most `max_bytes`; "" when nothing is. Empty is wrong.
std::string LineComplaint(const std::string& text, size_t max_bytes);

class TableReader {
 public:
  // name  dotted name of the table, "" for the root.
  TableReader(const TomlNode& table, std::string name, Mistakes& mistakes)
      : table_(table), name_(std::move(name)), mistakes_(mistakes) {}

  const TomlNode& table() const { return table_; }
  Mistakes& mistakes() { return mistakes_; }
  // "surface.size".
  std::string KeyOf(std::string_view key) const;
  // "surface.size = [420, -1]".
  std::string SubjectOf(std::string_view key, const TomlNode& value) const;

  // The value under `key`, whatever it is, or null.
  const TomlNode* Find(std::string_view key);
  // The same; when there is none, notes "missing; expected `expected`".
  const TomlNode* Require(std::string_view key, std::string_view expected);

  void Refuse(std::string_view key, const TomlNode& value, const std::string& message);

  std::optional<double> Number(std::string_view key, const NumberRule& rule);
  // The same, and whole.
  std::optional<int64_t> Whole(std::string_view key, const NumberRule& rule);
  // true or false.
  std::optional<bool> Flag(std::string_view key);
  // One line of at most `max_bytes`. Null when the key is missing or its value is refused.
  const TomlNode* Line(std::string_view key, size_t max_bytes);
  // Which of two words: true for the second. None where the key is missing or its value is refused.
  std::optional<bool> Either(std::string_view key, std::string_view first, std::string_view second);
  // Which of several words, by its index.
  std::optional<size_t> Word(std::string_view key, const std::vector<std::string>& words);
  // Exactly `count` numbers of one rule. The expectation is `expected` where it is no such array.
  std::optional<std::vector<double>> Numbers(std::string_view key, size_t count,
                                             const NumberRule& rule, std::string_view expected);

  void RefuseUnknown();

 private:
  const TomlNode& table_;
  std::string name_;
  Mistakes& mistakes_;
  std::vector<std::string> known_;
};

}  // namespace wheatpaste

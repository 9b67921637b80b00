#include "scene/table_reader.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include <fmt/format.h>

#include "scene/nearest_name.h"

namespace wheatpaste {

void Mistakes::Add(const Place& place, const std::string& subject, const std::string& message) {
  if (!full()) {
    errors_.push_back({place, subject, message});
  } else {
    ++unreported_;
  }
}

Errors Mistakes::Sorted() && {
  std::stable_sort(errors_.begin(), errors_.end(), [](const Error& a, const Error& b) {
    return std::tie(a.place.line, a.place.column) < std::tie(b.place.line, b.place.column);
  });
  if (unreported_ > 0) {
    errors_.push_back({{file_}, "", fmt::format("{} more mistakes are not listed", unreported_)});
  }
  return std::move(errors_);
}

std::string NumberComplaint(const TomlNode& node, const NumberRule& rule) {
  if (node.kind != TomlKind::kNumber) {
    return fmt::format("expected a number, not {}{}", NameOf(node.kind),
                       node.kind == TomlKind::kString ? "; write it without quotes" : "");
  }
  if (!std::isfinite(node.number)) return "expected a finite number";
  if (!rule.Accepts(node.number)) return fmt::format("expected {}", rule.expected);
  return "";
}

std::string LineComplaint(const std::string& text, size_t max_bytes) {
  if (text.empty()) return "expected some text between the quotes";
  if (text.size() > max_bytes) return fmt::format("expected at most {} bytes", max_bytes);
  const bool plain = std::none_of(text.begin(), text.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
  });
  return plain ? "" : "expected one line of text, without control characters";
}

std::string TableReader::KeyOf(std::string_view key) const {
  const std::string printable = PrintableText(key, 64);
  return name_.empty() ? printable : name_ + "." + printable;
}

std::string TableReader::SubjectOf(std::string_view key, const TomlNode& value) const {
  return KeyOf(key) + " = " + ValueText(value);
}

const TomlNode* TableReader::Find(std::string_view key) {
  if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.emplace_back(key);
  for (const TomlEntry& entry : table_.entries) {
    if (entry.key == key) return &entry.value;
  }
  return nullptr;
}

const TomlNode* TableReader::Require(std::string_view key, std::string_view expected) {
  const TomlNode* found = Find(key);
  if (!found) mistakes_.Add(table_, KeyOf(key), fmt::format("missing; expected {}", expected));
  return found;
}

void TableReader::Refuse(std::string_view key, const TomlNode& value, const std::string& message) {
  mistakes_.Add(value, SubjectOf(key, value), message);
}

std::optional<double> TableReader::Number(std::string_view key, const NumberRule& rule) {
  const TomlNode* node = Find(key);
  if (!node) return {};
  const std::string complaint = NumberComplaint(*node, rule);
  if (complaint.empty()) return node->number;
  Refuse(key, *node, complaint);
  return {};
}

std::optional<int64_t> TableReader::Whole(std::string_view key, const NumberRule& rule) {
  const auto number = Number(key, rule);
  if (!number) return {};
  if (*number == std::floor(*number)) return static_cast<int64_t>(*number);
  Refuse(key, *Find(key), fmt::format("expected {}", rule.expected));
  return {};
}

std::optional<bool> TableReader::Flag(std::string_view key) {
  const TomlNode* node = Find(key);
  if (!node) return {};
  if (node->kind == TomlKind::kBool) return node->text == "true";
  Refuse(key, *node, "expected true or false");
  return {};
}

std::optional<size_t> TableReader::Word(std::string_view key,
                                        const std::vector<std::string>& words) {
  const TomlNode* node = Find(key);
  if (!node) return {};
  const auto at = std::find(words.begin(), words.end(), node->text);
  if (node->kind == TomlKind::kString && at != words.end()) {
    return static_cast<size_t>(at - words.begin());
  }
  Refuse(key, *node, "expected one of " + QuotedList(words));
  return {};
}

std::optional<bool> TableReader::Either(std::string_view key, std::string_view first,
                                        std::string_view second) {
  const TomlNode* node = Find(key);
  if (!node) return {};
  if (node->kind == TomlKind::kString && node->text == first) return false;
  if (node->kind == TomlKind::kString && node->text == second) return true;
  Refuse(key, *node, fmt::format("expected \"{}\" or \"{}\"", first, second));
  return {};
}

const TomlNode* TableReader::Line(std::string_view key, size_t max_bytes) {
  const TomlNode* node = Find(key);
  if (!node) return nullptr;
  const std::string complaint = node->kind == TomlKind::kString
                                    ? LineComplaint(node->text, max_bytes)
                                    : fmt::format("expected a string, not {}", NameOf(node->kind));
  if (complaint.empty()) return node;
  Refuse(key, *node, complaint);
  return nullptr;
}

std::optional<std::vector<double>> TableReader::Numbers(std::string_view key, size_t count,
                                                        const NumberRule& rule,
                                                        std::string_view expected) {
  const TomlNode* node = Find(key);
  if (!node) return {};
  if (node->kind != TomlKind::kArray || node->items.size() != count) {
    Refuse(key, *node, fmt::format("expected {}", expected));
    return {};
  }
  std::vector<double> numbers;
  for (const TomlNode& item : node->items) {
    const std::string complaint = NumberComplaint(item, rule);
    if (complaint.empty()) {
      numbers.push_back(item.number);
    } else {
      mistakes_.Add(item, SubjectOf(key, *node), complaint);
    }
  }
  if (numbers.size() != count) return {};
  return numbers;
}

void TableReader::RefuseUnknown() {
  for (const TomlEntry& entry : table_.entries) {
    if (std::find(known_.begin(), known_.end(), entry.key) != known_.end()) continue;
    // The search costs time and its result would only be counted once the list is full.
    const std::string nearest = mistakes_.full() ? "" : NearestName(entry.key, known_);
    std::string message = "unknown key; ";
    message += nearest.empty() ? fmt::format("known here: {}", fmt::join(known_, ", "))
                               : fmt::format("did you mean {}?", nearest);
    mistakes_.Add({mistakes_.file(), entry.line, entry.column}, KeyOf(entry.key), message);
  }
}

}  // namespace wheatpaste

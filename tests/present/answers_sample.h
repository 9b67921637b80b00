// answers_sample.h - a file of answers to start from.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

namespace wheatpaste::test {

inline const std::string kSomeDigest(64, 'a');
inline const std::string kOtherDigest(64, 'b');

inline nlohmann::json PinJson(const std::string& id, const std::string& text) {
  return {{"id", id}, {"x", 0.42}, {"y", 1}, {"text", text}, {"made", "2026-03-01T09:20:00Z"}};
}

inline nlohmann::json ItemJson(const std::string& file, const nlohmann::json& verdict) {
  return {{"file", file},
          {"sha256", kSomeDigest},
          {"verdict", verdict},
          {"favourite", false},
          {"pins", nlohmann::json::array()}};
}

inline nlohmann::json AnswersJson() {
  nlohmann::json change = ItemJson("tote/lettered-page.jpg", "change");
  change["favourite"] = true;
  change["pins"].push_back(PinJson("pin-0001", "\"><script>alert(1)</script>"));
  return {{"format", "wheatpaste answers 1"},
          {"review", kSomeDigest},
          {"title", "Round one"},
          {"name", "Anna Berg"},
          {"saved", "2026-03-01T09:30:00Z"},
          {"comment", "Warm,\nplease."},
          {"items", {change, ItemJson("carton/plain-page.jpg", nullptr)}}};
}

}  // namespace wheatpaste::test

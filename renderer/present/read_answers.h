// read_answers.h - a client's file of answers, which may be anything, to answers.
//
// Limits  the file kMaxAnswersBytes, and those below; unknown and missing keys, wrong types, a picture named twice and a
//         pin's id twice at one picture are mistakes. A page lets people save before they sign: the name may be empty.
// Errors  every mistake of the file, at its JSON pointer: "anna.json:/items/0/pins/2/x: error: x = 1.4: expected ..."
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/error.h"
#include "present/answers.h"

namespace wheatpaste {

inline constexpr char kAnswersFormat[] = "wheatpaste answers 1";
inline constexpr int64_t kMaxAnswersBytes = int64_t{4} << 20;
inline constexpr size_t kMaxAnswerItems = 10'000;
inline constexpr size_t kMaxPinsAnItem = 1'000;
inline constexpr size_t kMaxNameCharacters = 200;
inline constexpr size_t kMaxTitleCharacters = 1'000;
inline constexpr size_t kMaxTextCharacters = 10'000;
inline constexpr size_t kMaxFileCharacters = 1'000;  // of a picture's name

// file  for messages.
Result<Answers> ParseAnswers(std::string_view text, const std::string& file);

Result<Answers> ReadAnswers(const std::string& path);

}  // namespace wheatpaste

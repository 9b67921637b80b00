// answers_fields.h - the parts that a client's answers and the batch's record of them share, from checked JSON and to it.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

#include "present/answers.h"
#include "present/answers_json.h"

namespace wheatpaste {

// review, title, name, saved, comment. `object` has these keys.
void ReadHead(const nlohmann::json& object, const std::string& pointer, JsonChecker& checker,
              Answers& answers);

// file, sha256, verdict, favourite.
ItemAnswer ReadItem(const nlohmann::json& object, const std::string& pointer, JsonChecker& checker);

// file, sha256.
std::string ReadPictureName(const nlohmann::json& object, const std::string& pointer,
                            JsonChecker& checker);
std::string ReadDigest(const nlohmann::json& object, const std::string& pointer, const char* key,
                       JsonChecker& checker);

// id, x, y, text, made.
Pin ReadPin(const nlohmann::json& object, const std::string& pointer, JsonChecker& checker);

// "approved", "change" or null.
nlohmann::ordered_json VerdictJson(Verdict verdict);

}  // namespace wheatpaste

// Clients' files: what is read of a good one, and what is said of every bad one.
#include <catch2/catch.hpp>

#include "present/answers_json.h"
#include "present/read_answers.h"
#include "present/answers_sample.h"

namespace wheatpaste {
namespace {

using test::AnswersJson;
using test::kSomeDigest;

std::string ErrorsOf(const std::string& text) {
  const auto answers = ParseAnswers(text, "anna.json");
  REQUIRE_FALSE(answers.ok());
  return FormatErrors(answers.errors());
}

std::string ErrorsOfJson(const nlohmann::json& json) { return ErrorsOf(json.dump()); }

TEST_CASE("ReadAnswers: a page's file, to the last character", "[present][closed-form]") {
  // As the page's script writes it: indented by one, a line end behind it (ECMA-262, JSON.stringify).
  const std::string text = AnswersJson().dump(1) + "\n";
  const auto read = ParseAnswers(text, "anna.json");
  REQUIRE(read.ok());
  CHECK(read->review == kSomeDigest);
  CHECK(read->title == "Round one");
  CHECK(read->name == "Anna Berg");
  CHECK(read->saved == "2026-03-01T09:30:00Z");
  CHECK(read->comment == "Warm,\nplease.");
  REQUIRE(read->items.size() == 2);
  CHECK(read->items[0].file == "tote/lettered-page.jpg");
  CHECK(read->items[0].sha256 == kSomeDigest);
  CHECK(read->items[0].verdict == Verdict::kChange);
  CHECK(read->items[0].favourite);
  REQUIRE(read->items[0].pins.size() == 1);
  CHECK(read->items[0].pins[0] ==
        Pin{"pin-0001", 0.42, 1, "\"><script>alert(1)</script>", "2026-03-01T09:20:00Z"});
  CHECK(read->items[1].verdict == Verdict::kNone);
}

TEST_CASE("ReadAnswers: what a mail adds to the text is taken where it is safe",
          "[present][closed-form]") {
  const std::string text = AnswersJson().dump(1);
  std::string other_line_ends = text;
  for (size_t at = 0; (at = other_line_ends.find('\n', at)) != std::string::npos; at += 2) {
    other_line_ends.insert(at, "\r");
  }
  for (const std::string& arrived :
       {"\n\n  \t" + text + "\r\n\r\n", "\xEF\xBB\xBF" + text, other_line_ends}) {
    const auto read = ParseAnswers(arrived, "anna.json");
    REQUIRE(read.ok());
    CHECK(read->comment == "Warm,\nplease.");
  }
}

TEST_CASE("ReadAnswers: text becomes plain lines, a name one line", "[present][closed-form]") {
  nlohmann::json json = AnswersJson();
  json["name"] = "  Anna\tBerg\r\n";
  json["comment"] = std::string("a\r\nb\rc\vd\te\x1b[31m\x7f") + "\xC2\x9B" + '\0' + "f";
  const auto read = ParseAnswers(json.dump(), "anna.json");
  REQUIRE(read.ok());
  CHECK(read->name == "Anna Berg");
  CHECK(read->comment == "a\nb\nc\nd e[31mf");
  json["name"] = "   ";
  CHECK(ParseAnswers(json.dump(), "anna.json")->name.empty());
}

TEST_CASE("ReadAnswers: every mistake is told at its pointer", "[present][bad-input]") {
  nlohmann::json json = AnswersJson();
  json["items"][0]["pins"][0]["x"] = 1.4;
  json["items"][0]["pins"][0]["y"] = "low";
  json["items"][0]["verdict"] = "aproved";
  json["items"][1]["file"] = json["items"][0]["file"];
  json["items"][1]["favourit"] = true;
  json["saved"] = "2026-02-29T00:00:00Z";
  json["review"] = "ABC";
  json["/~"] = 1;
  CHECK(ErrorsOfJson(json) ==
        "anna.json:/~1~0: error: unknown key\n"
        "anna.json:/review: error: review = \"ABC\": expected 64 of the characters "
        "0123456789abcdef\n"
        "anna.json:/saved: error: saved = \"2026-02-29T00:00:00Z\": expected a time in UTC, such "
        "as 2026-03-01T09:30:00Z\n"
        "anna.json:/items/0/verdict: error: verdict = \"aproved\": expected \"approved\", "
        "\"change\" or null\n"
        "anna.json:/items/0/pins/0/x: error: x = 1.4: expected a number from 0 to 1\n"
        "anna.json:/items/0/pins/0/y: error: y = \"low\": expected a number from 0 to 1\n"
        "anna.json:/items/1/favourit: error: unknown key; did you mean favourite?\n"
        "anna.json:/items/1/file: error: file = \"tote/lettered-page.jpg\": another item is of "
        "this picture already\n");

  json = AnswersJson();
  json["items"][0].erase("sha256");
  json["items"][0]["pins"].push_back(7);
  CHECK(ErrorsOfJson(json) == "anna.json:/items/0: error: sha256 is missing\n");
  json = AnswersJson();
  json["items"][0]["pins"].push_back(json["items"][0]["pins"][0]);
  CHECK(ErrorsOfJson(json) ==
        "anna.json:/items/0/pins/1/id: error: id = \"pin-0001\": another pin of this picture has "
        "it already\n");
  json["format"] = "wheatpaste answers 2";
  CHECK(ErrorsOfJson(json) ==
        "anna.json:/format: error: format = \"wheatpaste answers 2\": expected \"wheatpaste "
        "answers 1\"\n");
  CHECK(ErrorsOf("[]") ==
        "anna.json: error: an array: expected an object with \"format\", \"review\", \"title\", "
        "\"name\", \"saved\", \"comment\" and \"items\"\n");
}

TEST_CASE("ReadAnswers: limits of lengths and numbers", "[present][bad-input]") {
  const auto has = [](const std::string& text, const std::string& part) {
    INFO(text.substr(0, 300));
    CHECK(text.find(part) != std::string::npos);
  };
  std::string umlauts;
  for (size_t i = 0; i < kMaxNameCharacters; ++i) umlauts += "\xC3\xA4";
  nlohmann::json json = AnswersJson();
  json["name"] = umlauts;  // characters are counted, not bytes
  CHECK(ParseAnswers(json.dump(), "a").ok());
  json["name"] = umlauts + "x";
  has(ErrorsOfJson(json), "/name: error: name = \"");
  has(ErrorsOfJson(json), "has 201 characters, expected at most 200\n");
  json = AnswersJson();
  json["comment"] = std::string(kMaxTextCharacters + 1, 'x');
  has(ErrorsOfJson(json), "has 10001 characters, expected at most 10000\n");
  json = AnswersJson();
  const nlohmann::json pin = json["items"][0]["pins"][0];
  for (size_t i = 0; i < kMaxPinsAnItem; ++i) json["items"][0]["pins"].push_back(pin);
  CHECK(ErrorsOfJson(json) ==
        "anna.json:/items/0/pins: error: 1001 values: expected an array of at most 1000\n");
  json["items"] = nlohmann::json(kMaxAnswerItems + 1, nullptr);
  CHECK(ErrorsOfJson(json) ==
        "anna.json:/items: error: 10001 values: expected an array of at most 10000\n");
  // Ten thousand mistakes are not ten thousand lines.
  json["items"].erase(0);
  has(ErrorsOfJson(json), "anna.json: error: and 9950 mistakes more\n");
}

TEST_CASE("ReadAnswers: what is no JSON is told at its line, with what mail does to text",
          "[present][bad-input]") {
  const std::string text = AnswersJson().dump(1);
  CHECK(ErrorsOf("") == "anna.json:1:1: error: is empty; expected answers, JSON\n");
  CHECK(
      ErrorsOf("Dear all,\n" + text)
          .find(
              "expected JSON, from its first { to its last }; take away the text before and after "
              "it\n") != std::string::npos);
  CHECK(ErrorsOf("> {\n> }").find("as in a quoted mail") != std::string::npos);
  CHECK(ErrorsOf("{\xE2\x80\x9C"
                 "format\xE2\x80\x9D: 1}")
            .find("anna.json:1:2: error: quotes are not plain \"") == 0);
  CHECK(ErrorsOf("{\"format\": 1,\n \"name\": \"Anna\nBerg\"}")
            .find("anna.json:2:15: error: a line ends within a text") == 0);
  CHECK(ErrorsOf(text.substr(0, text.size() / 2)).find("ends too early") != std::string::npos);
  CHECK(ErrorsOf(text + text).find("error: expected JSON") != std::string::npos);
  CHECK(ErrorsOf("{\"name\": \"\xC3(\"}") == "anna.json:1:12: error: expected JSON in UTF-8\n");
  for (const char* const wrong :
       {"{\"x\": NaN}", "{\"x\": 1e999}", "{\"x\": Infinity}", "{\"x\": 01}", "{'x': 1}",
        "{\"x\": \"\\ud800\"}", "{\"x\": 1,}", "/* */ {}"}) {
    INFO(wrong);
    CHECK(ErrorsOf(wrong).find("anna.json:1:") == 0);
  }
}

TEST_CASE("ReadAnswers: keys given twice and depth are refused while reading",
          "[present][bad-input]") {
  std::string text = AnswersJson().dump();
  const size_t at = text.find("\"verdict\"");
  text.insert(at, "\"verdict\": \"approved\", ");
  CHECK(ErrorsOf(text) == "anna.json:/items/0/verdict: error: is given twice\n");
  CHECK(ErrorsOf(std::string(4'000'000, '[')) ==
        "anna.json:/0/0/0/0/0/0/0/0/0/0/0/0/0/0/0/0: error: expected values at most 16 deep in "
        "each other\n");
  std::string objects;
  for (int i = 0; i < 1'000'000; ++i) objects += "{\"\":";
  CHECK(ErrorsOf(objects).find("at most 16 deep") != std::string::npos);
}

TEST_CASE("IsTime: days that there are", "[present][published]") {
  // Source  ISO 8601 and the Gregorian calendar: 1900 has no 29 February, 2000 has.
  for (const char* const good : {"2026-03-01T09:30:00Z", "2000-02-29T00:00:00Z",
                                 "2024-02-29T23:59:59Z", "2016-12-31T23:59:60Z"}) {
    CHECK(IsTime(good));
  }
  for (const char* const bad :
       {"", "2026-03-01", "2026-03-01T09:30:00", "2026-03-01T09:30:00.5Z", "1900-02-29T00:00:00Z",
        "2026-04-31T00:00:00Z", "2026-00-01T00:00:00Z", "2026-13-01T00:00:00Z",
        "2026-03-00T00:00:00Z", "2026-03-01T24:00:00Z", "2026-03-01T09:60:00Z",
        "2026-03-01T09:30:61Z", "2026-03-01 09:30:00Z", "2O26-03-01T09:30:00Z"}) {
    INFO(bad);
    CHECK_FALSE(IsTime(bad));
  }
}

}  // namespace
}  // namespace wheatpaste

// answers_fuzz.cc - any bytes as a client's file of answers: answers that keep every limit and make a record that reads
// back, or errors in one line each.
#include <cstdint>
#include <string_view>

#include "base/check.h"
#include "present/answer_record.h"
#include "present/read_answers.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  using namespace wheatpaste;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto answers = ParseAnswers(text, "fuzz.json");
  if (!answers) {
    for (const Error& error : answers.errors()) {
      WHEATPASTE_CHECK(FormatError(error).find('\n') == std::string::npos);
      WHEATPASTE_CHECK(!error.message.empty());
    }
    return 0;
  }
  WHEATPASTE_CHECK_OP(answers->items.size(), <=, kMaxAnswerItems);
  AnswerRecord record;
  WHEATPASTE_CHECK(AddAnswers(record, *answers));
  WHEATPASTE_CHECK(!AddAnswers(record, *answers));
  const std::string written = AnswerRecordText(record);
  const auto again = ParseAnswerRecord(written, "record.json");
  WHEATPASTE_CHECK(again.ok());
  WHEATPASTE_CHECK(AnswerRecordText(*again) == written);
  return 0;
}

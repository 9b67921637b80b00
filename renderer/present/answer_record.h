// answer_record.h - all that people answered about a batch: answers.json in its folder.
//
// Form    shared/answer-record.schema.json.
// Model   one voice for each name and review page: the same name on the same page is one person. A voice joined with
//         another keeps, of each thing, the one of the newer file: the answers as a whole (verdicts, favourites, comment)
//         as one thing, and each pin by itself. A pin that the newest file no longer has stays, as withdrawn: its file is
//         older than its voice. Files saved in the same second are ordered by their content.
//         Of both things the larger in an order is kept, so joining gives the same for any order of files, and the same
//         file twice changes nothing (a semilattice).
// Rule    the record is only ever replaced whole; one that cannot be read is an error and stays as it is.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "present/answers.h"

namespace wheatpaste {

inline constexpr char kAnswerRecordName[] = "answers.json";
inline constexpr char kAnswerRecordFormat[] = "wheatpaste answer record 1";
inline constexpr int64_t kMaxAnswerRecordBytes = int64_t{64} << 20;

struct KeptPin {
  Pin pin;
  std::string file, sha256;  // of the picture that it is on
  std::string saved;         // time of the file that it is from
};

struct Voice {
  Answers answers;            // of the newest file; no pins in its items
  std::vector<KeptPin> pins;  // by file and id
};

struct AnswerRecord {
  std::vector<Voice> voices;  // by name and review
};

// Holds the folder's record for one who reads and then writes it (flock on the folder); waits until others are done.
class RecordTurn {
 public:
  // errors  cannot open the folder.
  static Result<RecordTurn> Wait(const std::string& folder);
  RecordTurn(RecordTurn&& other) noexcept;
  RecordTurn& operator=(RecordTurn&&) = delete;
  ~RecordTurn();

 private:
  explicit RecordTurn(int descriptor) : descriptor_(descriptor) {}
  int descriptor_;
};

bool IsWithdrawn(const Voice& voice, const KeptPin& pin);

// Joins what a file holds to the record. Whether it changed anything.
bool AddAnswers(AnswerRecord& record, const Answers& answers);

// The record of a batch's folder; an empty one where there is none.
// errors  too large, not such a record.
Result<AnswerRecord> ReadAnswerRecord(const std::string& folder);

// file  for messages.
Result<AnswerRecord> ParseAnswerRecord(std::string_view text, const std::string& file);

std::string AnswerRecordText(const AnswerRecord& record);

// errors  it would be larger than can be read again; cannot write.
Status WriteAnswerRecord(const std::string& folder, const AnswerRecord& record);

}  // namespace wheatpaste

// answers_sheet.h - a batch's answers on paper: each picture with its numbered comments, the text beside it, PDF.
//
// Model   the list's order and numbers (answers_list.h). A picture that asks for nothing is small. Text goes on on the next
//         page where it must; nothing is cut.
// Trust   of clients' text only what it is: no markup. A picture that is missing or not the manifest's leaves its place
//         empty; pins still stand in it.
// Threads reads pictures side by side; the bytes do not depend on their number.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/error.h"
#include "present/answers_list.h"
#include "present/theme.h"

namespace wheatpaste {

struct AnswersSheetMade {
  size_t pages = 0;
  int64_t bytes = 0;
  std::vector<std::string> missing;  // pictures, and why
};

// folder, title  of the batch.
// list           with at least one person.
// errors         `path` cannot be written.
Result<AnswersSheetMade> WriteAnswersSheet(const std::string& folder, const std::string& title,
                                           const AnswerList& list, const Theme& theme,
                                           const std::string& program, const std::string& path);

}  // namespace wheatpaste

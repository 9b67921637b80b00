// answers.h - what one person said of a batch's pictures, as a review page saves it.
//
// Form    shared/answers.schema.json. Times are ISO 8601 in UTC to the second, so that they compare as text.
#pragma once

#include <string>
#include <vector>

namespace wheatpaste {

enum class Verdict { kNone, kApproved, kChange };

// A comment at a point of a picture.
struct Pin {
  std::string id;       // its own; kept when the text changes
  double x = 0, y = 0;  // share of the picture's width and height from its top left, 0 to 1
  std::string text;     // lines end in "\n"
  std::string made;     // time
  bool operator==(const Pin&) const = default;
};

struct ItemAnswer {
  std::string file;    // of the batch's folder
  std::string sha256;  // of the picture that was looked at
  Verdict verdict = Verdict::kNone;
  bool favourite = false;
  std::vector<Pin> pins;
};

struct Answers {
  std::string review;   // id of the page, 64 hex digits
  std::string title;    // of the batch, as the page had it
  std::string name;     // who answers
  std::string saved;    // time
  std::string comment;  // on the whole
  std::vector<ItemAnswer> items;
};

}  // namespace wheatpaste

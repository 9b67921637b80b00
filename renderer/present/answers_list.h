// answers_list.h - a batch's answers as work to do: scene by scene, picture by picture, what asks for work first.
//
// Model   pictures stand in the order of the manifest's scenes, within a scene by what they need (Need), then in the
//         manifest's order. Pins are numbered through from 1 in that order; withdrawn ones have no number. Of one
//         name's verdicts on a picture (from several review pages) the newest counts, the others are listed as earlier.
//         An answer is outdated where the picture that it was given to is not the manifest's by SHA-256.
// Rule    nothing of the record is left out: what is of no picture of the manifest stands at the end.
#pragma once

#include <string>
#include <vector>

#include "batch/manifest.h"
#include "present/answer_record.h"
#include "present/answers.h"

namespace wheatpaste {

// By falling urgency.
enum class Need { kChange, kComments, kLookAgain, kApproved, kNothing };

// "change wanted", "comments", "changed since the answer", "approved", "noted".
const char* NameOf(Need need);

struct ListedVerdict {
  std::string name, saved;
  Verdict verdict = Verdict::kNone;
  bool favourite = false;
  bool outdated = false;
  bool earlier = false;  // a newer one of this name counts
};

struct ListedPin {
  size_t number = 0;  // 0: withdrawn
  std::string name;
  Pin pin;
  bool outdated = false;
};

struct ListedItem {
  std::string file;
  std::string name;  // "lettered, clay", "lettered, from 8 m"; the file where not known
  const JobRecord* record = nullptr;  // of the manifest; none: not known, or it failed
  Need need = Need::kNothing;
  std::vector<ListedVerdict> verdicts;
  std::vector<ListedPin> pins;  // withdrawn ones last
};

struct ListedScene {
  std::string title;
  std::vector<ListedItem> items;
};

struct ListedPerson {
  std::string name, saved, comment;
};

struct AnswerList {
  std::vector<ListedPerson> people;  // one for each voice
  std::vector<ListedScene> scenes;
  std::vector<ListedItem> unknown;  // of pictures that the batch does not have

  size_t Count(Need need) const;
  size_t items() const;
};

// The list points into `manifest`.
AnswerList ListAnswers(const AnswerRecord& record, const Manifest& manifest);

// "2 to change, 1 with comments, 1 changed since the answer, 3 approved"; only what there is.
std::string SummaryOf(const AnswerList& list);

// "Anna Berg: change wanted, favourite; of an earlier picture".
std::string LineOf(const ListedVerdict& verdict);

// "2026-03-01 09:30", UTC.
std::string ShortTime(const std::string& time);

}  // namespace wheatpaste

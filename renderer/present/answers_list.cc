#include "present/answers_list.h"

#include <algorithm>
#include <iterator>
#include <map>
#include <tuple>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "present/caption.h"

namespace wheatpaste {
namespace {

// Of one picture, as it is gathered.
struct Gathered {
  ListedItem item;
  const JobRecord* job = nullptr;                  // of the manifest; none: not known
  std::map<std::string, size_t> pin_by_id;         // of one name and id the newest stands
  std::vector<std::tuple<std::string, bool>> age;  // of item.pins: when saved, whether withdrawn
};

// "lettered, clay, from 8 m".
std::string ItemNameOf(const JobRecord& record) {
  const std::string view = ViewOf(record);
  return view.empty() ? NameOf(record) : NameOf(record) + ", " + view;
}

void MarkEarlier(std::vector<ListedVerdict>& verdicts) {
  std::stable_sort(verdicts.begin(), verdicts.end(), [](const auto& a, const auto& b) {
    return a.name != b.name ? a.name < b.name : a.saved > b.saved;
  });
  for (size_t i = 1; i < verdicts.size(); ++i) {
    verdicts[i].earlier = verdicts[i].name == verdicts[i - 1].name;
  }
}

Need NeedOf(const ListedItem& item) {
  bool change = false, comments = false, again = false, approved = false;
  for (const ListedVerdict& given : item.verdicts) {
    if (given.earlier || given.verdict == Verdict::kNone) continue;
    if (given.outdated) {
      again = true;
    } else {
      (given.verdict == Verdict::kChange ? change : approved) = true;
    }
  }
  for (const ListedPin& pin : item.pins) {
    if (pin.number > 0) (pin.outdated ? again : comments) = true;
  }
  return change     ? Need::kChange
         : comments ? Need::kComments
         : again    ? Need::kLookAgain
         : approved ? Need::kApproved
                    : Need::kNothing;
}

// Withdrawn ones last, else in the order of making.
void SortPins(Gathered& gathered) {
  std::vector<ListedPin>& pins = gathered.item.pins;
  for (size_t i = 0; i < pins.size(); ++i) pins[i].number = std::get<bool>(gathered.age[i]) ? 0 : 1;
  std::stable_sort(pins.begin(), pins.end(), [](const ListedPin& a, const ListedPin& b) {
    const auto key = [](const ListedPin& p) { return std::tie(p.pin.made, p.name, p.pin.id); };
    return a.number != b.number ? a.number > b.number : key(a) < key(b);
  });
}

}  // namespace

const char* NameOf(Need need) {
  switch (need) {
    case Need::kChange:
      return "change wanted";
    case Need::kComments:
      return "comments";
    case Need::kLookAgain:
      return "changed since the answer";
    case Need::kApproved:
      return "approved";
    case Need::kNothing:
      break;
  }
  return "noted";
}

AnswerList ListAnswers(const AnswerRecord& record, const Manifest& manifest) {
  std::unordered_map<std::string, const JobRecord*> jobs;
  for (const JobRecord& job : manifest.jobs) jobs.emplace(job.file, &job);

  std::map<std::string, Gathered> by_file;
  const auto gathered_of = [&](const std::string& file) -> Gathered& {
    const auto [place, is_new] = by_file.try_emplace(file);
    Gathered& gathered = place->second;
    if (!is_new) return gathered;
    gathered.item.file = gathered.item.name = file;
    if (const auto job = jobs.find(file); job != jobs.end()) {
      gathered.item.name = ItemNameOf(*job->second);
      gathered.job = job->second;
      if (job->second->done) gathered.item.record = job->second;
    }
    return gathered;
  };
  const auto is_outdated = [](const Gathered& gathered, const std::string& sha256) {
    return gathered.job != nullptr && gathered.job->sha256 != sha256;
  };
  AnswerList list;
  for (const Voice& voice : record.voices) {
    const Answers& answers = voice.answers;
    list.people.push_back({answers.name, answers.saved, answers.comment});
    for (const ItemAnswer& item : answers.items) {
      Gathered& gathered = gathered_of(item.file);
      gathered.item.verdicts.push_back({answers.name, answers.saved, item.verdict, item.favourite,
                                        is_outdated(gathered, item.sha256), false});
    }
    for (const KeptPin& kept : voice.pins) {
      Gathered& gathered = gathered_of(kept.file);
      const ListedPin pin{0, answers.name, kept.pin, is_outdated(gathered, kept.sha256)};
      const std::tuple age(kept.saved, IsWithdrawn(voice, kept));
      const auto [place, is_new] =
          gathered.pin_by_id.emplace(answers.name + '\n' + kept.pin.id, gathered.item.pins.size());
      if (is_new) {
        gathered.item.pins.push_back(pin);
        gathered.age.push_back(age);
      } else if (gathered.age[place->second] < age) {
        gathered.item.pins[place->second] = pin;
        gathered.age[place->second] = age;
      }
    }
  }
  const auto finished = [](Gathered& gathered) {
    MarkEarlier(gathered.item.verdicts);
    SortPins(gathered);
    gathered.item.need = NeedOf(gathered.item);
    return std::move(gathered.item);
  };
  // In the manifest's order, then what is left.
  std::unordered_map<std::string, size_t> scenes;
  for (const JobRecord& job : manifest.jobs) {
    const auto found = by_file.find(job.file);
    if (found == by_file.end()) continue;
    const auto [scene, is_new] = scenes.emplace(job.scene, list.scenes.size());
    if (is_new) list.scenes.push_back({SceneTitleOf(job), {}});
    list.scenes[scene->second].items.push_back(finished(found->second));
    by_file.erase(found);
  }
  for (auto& [file, gathered] : by_file) list.unknown.push_back(finished(gathered));

  size_t number = 0;
  const auto count_off = [&number](std::vector<ListedItem>& items) {
    std::stable_sort(items.begin(), items.end(),
                     [](const ListedItem& a, const ListedItem& b) { return a.need < b.need; });
    for (ListedItem& item : items) {
      for (ListedPin& pin : item.pins) pin.number = pin.number > 0 ? ++number : 0;
    }
  };
  for (ListedScene& scene : list.scenes) count_off(scene.items);
  count_off(list.unknown);
  return list;
}

size_t AnswerList::Count(Need need) const {
  size_t count = 0;
  for (const ListedScene& scene : scenes) {
    count += static_cast<size_t>(
        std::count_if(scene.items.begin(), scene.items.end(),
                      [need](const ListedItem& item) { return item.need == need; }));
  }
  return count;
}

size_t AnswerList::items() const {
  size_t count = 0;
  for (const ListedScene& scene : scenes) count += scene.items.size();
  return count;
}

std::string SummaryOf(const AnswerList& list) {
  std::string text;
  for (const auto& [need, words] :
       {std::pair(Need::kChange, "to change"), std::pair(Need::kComments, "with comments"),
        std::pair(Need::kLookAgain, "changed since the answer"),
        std::pair(Need::kApproved, "approved"), std::pair(Need::kNothing, "noted")}) {
    const size_t count = list.Count(need);
    if (count > 0) text += fmt::format("{}{} {}", text.empty() ? "" : ", ", count, words);
  }
  if (!list.unknown.empty()) {
    text += fmt::format("{}{} of pictures that the batch does not have", text.empty() ? "" : ", ",
                        list.unknown.size());
  }
  return text;
}

std::string LineOf(const ListedVerdict& given) {
  std::string text = given.name + ": ";
  if (given.verdict != Verdict::kNone) {
    text += given.verdict == Verdict::kApproved ? "approved" : "change wanted";
  }
  if (given.favourite) text += given.verdict == Verdict::kNone ? "favourite" : ", favourite";
  if (given.earlier) text += "; earlier, " + ShortTime(given.saved);
  if (given.outdated) text += "; of an earlier picture";
  return text;
}

std::string ShortTime(const std::string& time) {
  std::string text = time.substr(0, 16);
  std::replace(text.begin(), text.end(), 'T', ' ');
  return text;
}

}  // namespace wheatpaste

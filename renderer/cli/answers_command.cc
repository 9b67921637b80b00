#include <algorithm>

#include <fmt/format.h>

#include "base/files.h"
#include "base/plain_text.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/outcome.h"
#include "cli/report.h"
#include "present/answer_record.h"
#include "present/answers_list.h"
#include "present/answers_sheet.h"
#include "present/caption.h"
#include "present/read_answers.h"
#include "present/caption.h"

namespace wheatpaste {
namespace {

// Every file that is named; nothing where one of them is bad.
Result<std::vector<Answers>> ReadAll(const AnswersArguments& arguments) {
  std::vector<Answers> all;
  Errors errors;
  for (const std::string& file : arguments.files) {
    auto answers = ReadAnswers(file);
    if (!answers) {
      errors.insert(errors.end(), answers.errors().begin(), answers.errors().end());
      continue;
    }
    if (answers->name.empty() && !arguments.name) {
      errors.push_back({{PrintableText(file) + ":/name"},
                        "name = \"\"",
                        "the answers are not signed; say whose they are with --name"});
    }
    if (answers->name.empty()) answers->name = arguments.name.value_or("");
    all.push_back(*std::move(answers));
  }
  if (!errors.empty()) return errors;
  return all;
}

// Text of a client, safe on a terminal; every line of it behind `indent`.
std::string Lines(const std::string& text, const std::string& indent) {
  std::string lines;
  for (size_t at = 0; at <= text.size();) {
    const size_t end = std::min(text.find('\n', at), text.size());
    lines += indent;
    for (const char32_t c :
         PlainCharacters(std::string_view(text).substr(at, end - at), end - at)) {
      AppendUtf8(lines, c);
    }
    lines += "\n";
    at = end + 1;
  }
  return lines;
}

void PrintItem(const ListedItem& item) {
  fmt::print("{}", Lines(fmt::format("{}: {}", item.name, NameOf(item.need)), "  "));
  if (item.name != item.file) fmt::print("{}", Lines(item.file, "      "));
  for (const ListedVerdict& given : item.verdicts) fmt::print("{}", Lines(LineOf(given), "      "));
  for (const ListedPin& pin : item.pins) {
    const std::string number = pin.number > 0 ? std::to_string(pin.number) : "withdrawn";
    fmt::print("{}", Lines(fmt::format("{} {}{}:", number, pin.name,
                                       pin.outdated ? ", of an earlier picture" : ""),
                           "    "));
    fmt::print("{}", Lines(pin.pin.text, "      "));
  }
}

void PrintList(const AnswerList& list) {
  for (const ListedPerson& person : list.people) {
    fmt::print("{}", Lines(fmt::format("{}, {} UTC{}", person.name, ShortTime(person.saved),
                                       person.comment.empty() ? "" : ":"),
                           ""));
    if (!person.comment.empty()) fmt::print("{}", Lines(person.comment, "  "));
  }
  for (const ListedScene& scene : list.scenes) {
    fmt::print("\n{}", Lines(scene.title, ""));
    for (const ListedItem& item : scene.items) PrintItem(item);
  }
  if (list.unknown.empty()) return;
  fmt::print("\nPictures that the batch does not have\n");
  for (const ListedItem& item : list.unknown) PrintItem(item);
}

Json ItemJson(const ListedItem& item) {
  Json verdicts = Json::array(), pins = Json::array();
  for (const ListedVerdict& given : item.verdicts) {
    verdicts.push_back({{"name", given.name},
                        {"saved", given.saved},
                        {"verdict", given.verdict == Verdict::kNone       ? Json()
                                    : given.verdict == Verdict::kApproved ? Json("approved")
                                                                          : Json("change")},
                        {"favourite", given.favourite},
                        {"outdated", given.outdated},
                        {"earlier", given.earlier}});
  }
  for (const ListedPin& pin : item.pins) {
    pins.push_back({{"number", pin.number > 0 ? Json(pin.number) : Json()},
                    {"name", pin.name},
                    {"x", pin.pin.x},
                    {"y", pin.pin.y},
                    {"text", pin.pin.text},
                    {"made", pin.pin.made},
                    {"outdated", pin.outdated}});
  }
  return {{"file", item.file},
          {"name", item.name},
          {"needs", NameOf(item.need)},
          {"verdicts", std::move(verdicts)},
          {"pins", std::move(pins)}};
}

Json ListJson(const AnswerList& list) {
  const auto items_json = [](const std::vector<ListedItem>& items) {
    Json json = Json::array();
    for (const ListedItem& item : items) json.push_back(ItemJson(item));
    return json;
  };
  Json people = Json::array(), scenes = Json::array();
  for (const ListedPerson& person : list.people) {
    people.push_back({{"name", person.name}, {"saved", person.saved}, {"comment", person.comment}});
  }
  for (const ListedScene& scene : list.scenes) {
    scenes.push_back({{"title", scene.title}, {"items", items_json(scene.items)}});
  }
  return {{"program", {{"name", "wheatpaste"}, {"version", WHEATPASTE_VERSION}}},
          {"summary", SummaryOf(list)},
          {"people", std::move(people)},
          {"scenes", std::move(scenes)},
          {"unknown", items_json(list.unknown)}};
}

}  // namespace

int RunAnswers(const AnswersArguments& arguments) {
  const auto refuse = [&](const Errors& errors) { return Refuse(errors, arguments.json); };
  const auto manifest = ReadManifest(arguments.folder);
  if (!manifest) return refuse(manifest.errors());
  if (manifest->jobs.empty()) {
    return refuse({Error{{PrintableText(JoinPath(arguments.folder, kManifestName))},
                         "",
                         "expected a batch's record with pictures in it"}});
  }
  const std::string out = arguments.out.value_or(JoinPath(arguments.folder, "answers.pdf"));
  if (EndingOf(out) != "pdf") {
    return refuse({Error{{"--out " + PrintableText(out)}, "", "expected a name ending in .pdf"}});
  }
  // Where no sheet can be written, nothing is joined either.
  if (auto sheet = PendingFile::Create(out); !sheet) return refuse(sheet.errors());
  const auto theme = ReadTheme(arguments.theme, DataFolder());
  if (!theme) return refuse(theme.errors());
  const auto all = ReadAll(arguments);
  if (!all) return refuse(all.errors());
  AnswerRecord record;
  {
    // What another run adds meanwhile must not be lost.
    const auto turn = RecordTurn::Wait(arguments.folder);
    if (!turn) return refuse(turn.errors());
    auto kept = ReadAnswerRecord(arguments.folder);
    if (!kept) return refuse(kept.errors());
    record = *std::move(kept);
    bool changed = false;
    for (const Answers& answers : *all) {
      const bool adds = AddAnswers(record, answers);
      changed = changed || adds;
    }
    if (changed) {
      if (auto written = WriteAnswerRecord(arguments.folder, record); !written) {
        return refuse(written.errors());
      }
    }
  }
  const AnswerList list = ListAnswers(record, *manifest);
  if (arguments.json) {
    fmt::print("{}", Print(ListJson(list)));
  } else if (!list.people.empty()) {
    fmt::print("{}: {}\n", PrintableText(arguments.folder), SummaryOf(list));
    PrintList(list);
  }
  if (list.people.empty()) {
    if (!arguments.json) fmt::print("{}: no answers yet\n", PrintableText(arguments.folder));
    return kExitDone;
  }
  const auto made = WriteAnswersSheet(arguments.folder, TitleOf(*manifest), list, *theme,
                                      "wheatpaste " WHEATPASTE_VERSION, out);
  if (!made) return Refuse(made.errors());
  if (!arguments.json) {
    fmt::print("\n{}: {}\n", PrintableText(out), Counted(made->pages, "page", "pages"));
  }
  return PrintOutcome({}, made->missing);
}

}  // namespace wheatpaste

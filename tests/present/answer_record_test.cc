// The record of answers: joining, numbering, reading back.
#include <algorithm>

#include <catch2/catch.hpp>

#include "present/answer_record.h"
#include "present/answers_list.h"
#include "present/answers_sample.h"
#include "present/read_answers.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::AnswersJson;
using test::ItemJson;
using test::kOtherDigest;
using test::kSomeDigest;
using test::PinJson;

Answers Parsed(const nlohmann::json& json) {
  auto answers = ParseAnswers(json.dump(), "a.json");
  REQUIRE(answers.ok());
  return *std::move(answers);
}

AnswerRecord Joined(const std::vector<Answers>& files) {
  AnswerRecord record;
  for (const Answers& answers : files) AddAnswers(record, answers);
  return record;
}

// Anna three times (pins changed, withdrawn, moved; twice in one second), from another page, and Bo.
std::vector<Answers> FiveFiles() {
  nlohmann::json first = AnswersJson();
  first["items"][0]["pins"].push_back(PinJson("pin-0002", "Too low."));
  nlohmann::json second = AnswersJson();
  second["saved"] = "2026-03-02T08:00:00Z";
  second["items"][0]["verdict"] = "approved";
  second["items"][0]["pins"] = {PinJson("pin-0002", "Good now."), PinJson("pin-0003", "New.")};
  nlohmann::json same_second = second;
  same_second["comment"] = "Cooler.";
  same_second["items"][0]["pins"][0]["text"] = "Good, now.";
  same_second["items"][0]["pins"].push_back(PinJson("pin-0004", "Here too."));
  nlohmann::json other_page = AnswersJson();
  other_page["review"] = kOtherDigest;
  nlohmann::json other_person = AnswersJson();
  other_person["name"] = "Bo";
  return {Parsed(first), Parsed(second), Parsed(same_second), Parsed(other_page),
          Parsed(other_person)};
}

TEST_CASE("AddAnswers: the same record for every order of files, and however often each comes",
          "[present][invariant]") {
  const std::vector<Answers> files = FiveFiles();
  const std::string expected = AnswerRecordText(Joined(files));
  std::vector<size_t> order{0, 1, 2, 3, 4};
  do {
    std::vector<Answers> ordered;
    for (const size_t i : order) ordered.push_back(files[i]);
    ordered.push_back(files[order[0]]);
    ordered.push_back(files[order[2]]);
    REQUIRE(AnswerRecordText(Joined(ordered)) == expected);
  } while (std::next_permutation(order.begin(), order.end()));
  AnswerRecord record = Joined(files);
  for (const Answers& answers : files) CHECK_FALSE(AddAnswers(record, answers));
}

TEST_CASE("AddAnswers: the newer file decides, pins join by id, none is lost",
          "[present][closed-form]") {
  std::vector<Answers> files = FiveFiles();
  AnswerRecord record;
  CHECK(AddAnswers(record, files[1]));
  CHECK(AddAnswers(record, files[0]));  // older: adds the pin that the newer has no more
  REQUIRE(record.voices.size() == 1);
  const Voice& anna = record.voices[0];
  CHECK(anna.answers.saved == "2026-03-02T08:00:00Z");
  CHECK(anna.answers.items[0].verdict == Verdict::kApproved);
  REQUIRE(anna.pins.size() == 3);
  CHECK(anna.pins[0].pin.id == "pin-0001");
  CHECK(IsWithdrawn(anna, anna.pins[0]));
  CHECK(anna.pins[1].pin.text == "Good now.");
  CHECK_FALSE(IsWithdrawn(anna, anna.pins[1]));
  CHECK_FALSE(IsWithdrawn(anna, anna.pins[2]));
  // Another page, another name: voices of their own.
  CHECK(AddAnswers(record, files[3]));
  CHECK(AddAnswers(record, files[4]));
  CHECK(record.voices.size() == 3);
}

TEST_CASE("Record: reads back as it was written; what is none is an error and stays",
          "[present][invariant]") {
  const test::TempFolder folder;
  CHECK(ReadAnswerRecord(folder.path())->voices.empty());
  const AnswerRecord record = Joined(FiveFiles());
  REQUIRE(WriteAnswerRecord(folder.path(), record).ok());
  const std::string text = test::ReadText(folder / "answers.json");
  const auto read = ReadAnswerRecord(folder.path());
  REQUIRE(read.ok());
  CHECK(AnswerRecordText(*read) == text);
  CHECK(folder.List() == std::vector<std::string>{"answers.json"});
  for (const std::string& wrong :
       {std::string(), text.substr(0, text.size() / 2), AnswersJson().dump(), std::string("[]"),
        std::string("{\"format\": \"wheatpaste answer record 1\", \"voices\": {}}"),
        text.substr(0, text.size() - 3) + text.substr(text.find("[\n") + 1)}) {
    test::WriteText(folder / "answers.json", wrong);
    INFO(wrong);
    const auto refused = ReadAnswerRecord(folder.path());
    REQUIRE_FALSE(refused.ok());
    CHECK(FormatError(refused.errors()[0]).find("answers.json:") != std::string::npos);
    CHECK(test::ReadText(folder / "answers.json") == wrong);
  }
}

JobRecord Job(const std::string& scene, const std::string& artwork, const std::string& sha256) {
  JobRecord job;
  job.scene = job.scene_title = scene;
  job.artwork = artwork;
  job.output = "page";
  job.file = scene + "/" + artwork + "-page.jpg";
  job.done = true;
  job.sha256 = sha256;
  return job;
}

TEST_CASE("ListAnswers: what asks for work first, pins counted through, nothing left out",
          "[present][closed-form]") {
  Manifest manifest;
  manifest.jobs = {Job("carton", "plain", kSomeDigest),   Job("tote", "approved", kSomeDigest),
                   Job("tote", "commented", kSomeDigest), Job("tote", "changed", kOtherDigest),
                   Job("tote", "lettered", kSomeDigest),  Job("tote", "silent", kSomeDigest)};
  nlohmann::json json = AnswersJson();
  nlohmann::json commented = ItemJson("tote/commented-page.jpg", "approved");
  commented["pins"] = {PinJson("pin-0009", "second"), PinJson("pin-0008", "first")};
  commented["pins"][1]["made"] = "2026-03-01T09:00:00Z";
  json["items"] = {ItemJson("tote/approved-page.jpg", "approved"), commented,
                   ItemJson("tote/changed-page.jpg", "change"), json["items"][0],
                   ItemJson("gone/plain-page.jpg", "approved")};
  const AnswerRecord record = Joined({Parsed(json)});
  const AnswerList list = ListAnswers(record, manifest);
  REQUIRE(list.scenes.size() == 1);
  const std::vector<ListedItem>& items = list.scenes[0].items;
  REQUIRE(items.size() == 4);
  CHECK(items[0].name == "lettered");
  CHECK(items[0].need == Need::kChange);
  CHECK(items[1].name == "commented");
  CHECK(items[1].need == Need::kComments);
  CHECK(items[2].name == "changed");
  CHECK(items[2].need == Need::kLookAgain);
  CHECK(items[2].verdicts[0].outdated);
  CHECK(items[3].need == Need::kApproved);
  CHECK(items[0].pins[0].number == 1);
  CHECK(items[1].pins[0].number == 2);
  CHECK(items[1].pins[0].pin.text == "first");
  CHECK(items[1].pins[1].number == 3);
  REQUIRE(list.unknown.size() == 1);
  CHECK(list.unknown[0].file == "gone/plain-page.jpg");
  CHECK(list.unknown[0].record == nullptr);
  CHECK_FALSE(list.unknown[0].verdicts[0].outdated);
  CHECK(SummaryOf(list) ==
        "1 to change, 1 with comments, 1 changed since the answer, 1 approved, 1 of pictures that "
        "the batch does not have");
}

TEST_CASE("ListAnswers: of one name the newest page's verdict counts, pins are told once",
          "[present][closed-form]") {
  Manifest manifest;
  manifest.jobs = {Job("tote", "lettered", kOtherDigest)};
  const nlohmann::json old = AnswersJson();  // wants a change, of the picture as it was
  nlohmann::json now = AnswersJson();
  now["review"] = kOtherDigest;
  now["saved"] = "2026-03-09T12:00:00Z";
  now["items"] = nlohmann::json::array({ItemJson("tote/lettered-page.jpg", "approved")});
  now["items"][0]["sha256"] = kOtherDigest;
  const AnswerRecord record = Joined({Parsed(now), Parsed(old)});
  AnswerList list = ListAnswers(record, manifest);
  REQUIRE(list.scenes.size() == 1);
  const ListedItem& item = list.scenes[0].items[0];
  REQUIRE(item.verdicts.size() == 2);
  CHECK(LineOf(item.verdicts[0]) == "Anna Berg: approved");
  CHECK(LineOf(item.verdicts[1]) ==
        "Anna Berg: change wanted, favourite; earlier, 2026-03-01 09:30; of an earlier picture");
  REQUIRE(item.pins.size() == 1);
  CHECK(item.pins[0].outdated);
  CHECK(item.need == Need::kLookAgain);  // the comment on what it was
  // The page took over the older answers, so that both have the pin.
  now["items"][0]["pins"] = nlohmann::json::array({PinJson("pin-0001", "Still.")});
  list = ListAnswers(Joined({Parsed(old), Parsed(now)}), manifest);
  REQUIRE(list.scenes[0].items[0].pins.size() == 1);
  CHECK(list.scenes[0].items[0].pins[0].pin.text == "Still.");
  CHECK_FALSE(list.scenes[0].items[0].pins[0].outdated);
}

}  // namespace
}  // namespace wheatpaste

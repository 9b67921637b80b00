#include "present/answer_record.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <tuple>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <fmt/format.h>

#include "base/files.h"
#include "present/answers_fields.h"
#include "present/read_answers.h"

namespace wheatpaste {
namespace {

using Json = nlohmann::json;
using OrderedJson = nlohmann::ordered_json;

// Record's lists have no limits of their own: that of the file holds them.
constexpr size_t kNoLimit = static_cast<size_t>(kMaxAnswerRecordBytes);

OrderedJson AnswersJson(const Answers& answers) {
  OrderedJson items = OrderedJson::array();
  for (const ItemAnswer& item : answers.items) {
    items.push_back({{"file", item.file},
                     {"sha256", item.sha256},
                     {"verdict", VerdictJson(item.verdict)},
                     {"favourite", item.favourite}});
  }
  return {{"review", answers.review}, {"title", answers.title},     {"name", answers.name},
          {"saved", answers.saved},   {"comment", answers.comment}, {"items", std::move(items)}};
}

OrderedJson PinJson(const KeptPin& kept) {
  return {{"file", kept.file},     {"sha256", kept.sha256}, {"id", kept.pin.id},
          {"x", kept.pin.x},       {"y", kept.pin.y},       {"text", kept.pin.text},
          {"made", kept.pin.made}, {"saved", kept.saved}};
}

auto KeyOf(const Voice& voice) { return std::tie(voice.answers.name, voice.answers.review); }

auto KeyOf(const KeptPin& kept) { return std::tie(kept.file, kept.pin.id); }

// The newer is the larger.
auto AgeOf(const KeptPin& kept) {
  const Pin& pin = kept.pin;
  return std::tie(kept.saved, pin.text, kept.sha256, pin.x, pin.y, pin.made);
}

bool IsOlder(const Answers& a, const Answers& b) {
  if (a.saved != b.saved) return a.saved < b.saved;
  return AnswersJson(a).dump() < AnswersJson(b).dump();
}

// One file by itself as a voice, in the order of the record.
Voice VoiceOf(const Answers& answers) {
  Voice voice{answers, {}};
  for (ItemAnswer& item : voice.answers.items) {
    for (Pin& pin : item.pins) {
      voice.pins.push_back({std::move(pin), item.file, item.sha256, answers.saved});
    }
    item.pins.clear();
  }
  // Items with nothing but pins say nothing here: their pins carry file and digest.
  std::erase_if(voice.answers.items, [](const ItemAnswer& item) {
    return item.verdict == Verdict::kNone && !item.favourite;
  });
  std::sort(voice.answers.items.begin(), voice.answers.items.end(),
            [](const ItemAnswer& a, const ItemAnswer& b) { return a.file < b.file; });
  std::sort(voice.pins.begin(), voice.pins.end(),
            [](const KeptPin& a, const KeptPin& b) { return KeyOf(a) < KeyOf(b); });
  return voice;
}

// Whether `voice` changed.
bool Join(Voice& voice, Voice&& other) {
  bool changed = IsOlder(voice.answers, other.answers);
  if (changed) voice.answers = std::move(other.answers);
  std::vector<KeptPin> joined;
  auto mine = voice.pins.begin();
  for (KeptPin& pin : other.pins) {
    while (mine != voice.pins.end() && KeyOf(*mine) < KeyOf(pin))
      joined.push_back(std::move(*mine++));
    const bool is_new = mine == voice.pins.end() || KeyOf(pin) < KeyOf(*mine);
    if (is_new || AgeOf(*mine) < AgeOf(pin)) {
      joined.push_back(std::move(pin));
      changed = true;
    } else {
      joined.push_back(std::move(*mine));
    }
    if (!is_new) ++mine;
  }
  std::move(mine, voice.pins.end(), std::back_inserter(joined));
  voice.pins = std::move(joined);
  return changed;
}

Voice ReadVoice(const Json& json, const std::string& pointer, JsonChecker& checker) {
  Voice voice;
  if (!checker.Object(json, pointer,
                      {"review", "title", "name", "saved", "comment", "items", "pins"})) {
    return voice;
  }
  ReadHead(json, pointer, checker, voice.answers);
  const auto each = [&](const char* key, const auto& read) {
    const Json& list = json.at(key);
    const std::string at = fmt::format("{}/{}", pointer, key);
    if (!checker.Array(list, at, kNoLimit)) return;
    for (size_t i = 0; i < list.size(); ++i) read(list[i], fmt::format("{}/{}", at, i));
  };
  each("items", [&](const Json& item, const std::string& here) {
    if (!checker.Object(item, here, {"file", "sha256", "verdict", "favourite"})) return;
    voice.answers.items.push_back(ReadItem(item, here, checker));
  });
  each("pins", [&](const Json& pin, const std::string& here) {
    if (!checker.Object(pin, here, {"file", "sha256", "id", "x", "y", "text", "made", "saved"})) {
      return;
    }
    KeptPin kept{ReadPin(pin, here, checker), ReadPictureName(pin, here, checker),
                 ReadDigest(pin, here, "sha256", checker), checker.Time(pin, here, "saved")};
    if (checker.ok() && !voice.pins.empty() && !(KeyOf(voice.pins.back()) < KeyOf(kept))) {
      checker.Refuse(pin, here, "id", "expected pins in the order of file and id, each once");
    }
    voice.pins.push_back(std::move(kept));
  });
  return voice;
}

}  // namespace

Result<RecordTurn> RecordTurn::Wait(const std::string& folder) {
  RecordTurn turn(open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  int locked = turn.descriptor_;
  while (turn.descriptor_ >= 0 && (locked = flock(turn.descriptor_, LOCK_EX)) != 0 &&
         errno == EINTR) {
  }
  if (locked >= 0) return turn;
  return Error{{PrintableText(folder)}, "", fmt::format("cannot open: {}", std::strerror(errno))};
}

RecordTurn::RecordTurn(RecordTurn&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)) {}

RecordTurn::~RecordTurn() {
  if (descriptor_ >= 0) close(descriptor_);
}

bool IsWithdrawn(const Voice& voice, const KeptPin& pin) { return pin.saved < voice.answers.saved; }

bool AddAnswers(AnswerRecord& record, const Answers& answers) {
  Voice voice = VoiceOf(answers);
  const auto place =
      std::lower_bound(record.voices.begin(), record.voices.end(), voice,
                       [](const Voice& a, const Voice& b) { return KeyOf(a) < KeyOf(b); });
  if (place != record.voices.end() && KeyOf(*place) == KeyOf(voice)) {
    return Join(*place, std::move(voice));
  }
  record.voices.insert(place, std::move(voice));
  return true;
}

Result<AnswerRecord> ReadAnswerRecord(const std::string& folder) {
  const std::string path = JoinPath(folder, kAnswerRecordName);
  if (access(path.c_str(), F_OK) != 0 && errno == ENOENT) return AnswerRecord{};
  const auto bytes = ReadWholeFile({path, {path}, ""}, kMaxAnswerRecordBytes);
  if (!bytes) return bytes.errors();
  return ParseAnswerRecord({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path);
}

Result<AnswerRecord> ParseAnswerRecord(std::string_view text, const std::string& file) {
  const auto json = ParseOutsideJson(text, file);
  if (!json) return json.errors();
  JsonChecker checker(file);
  if (!checker.Object(*json, "", {"format", "voices"})) return checker.TakeErrors();
  if (json->at("format") != kAnswerRecordFormat) {
    checker.Refuse(*json, "", "format", fmt::format("expected \"{}\"", kAnswerRecordFormat));
    return checker.TakeErrors();
  }
  AnswerRecord record;
  const Json& voices = json->at("voices");
  if (!checker.Array(voices, "/voices", kNoLimit)) return checker.TakeErrors();
  for (size_t i = 0; i < voices.size(); ++i) {
    const std::string here = fmt::format("/voices/{}", i);
    record.voices.push_back(ReadVoice(voices[i], here, checker));
    if (checker.ok() && i > 0 && !(KeyOf(record.voices[i - 1]) < KeyOf(record.voices[i]))) {
      checker.Refuse(voices[i], here, "name",
                     "expected voices in the order of name and review, each once");
    }
  }
  if (!checker.ok()) return checker.TakeErrors();
  return record;
}

std::string AnswerRecordText(const AnswerRecord& record) {
  // A line an item and a pin: easy to read and to compare.
  const auto lines = [](const OrderedJson& list) {
    std::string text = "[";
    for (size_t i = 0; i < list.size(); ++i) {
      text += (i == 0 ? "\n    " : ",\n    ") + list[i].dump();
    }
    return text + "]";
  };
  std::string text = fmt::format("{{\"format\": \"{}\",\n\"voices\": [", kAnswerRecordFormat);
  const char* before = "\n  {";
  for (const Voice& voice : record.voices) {
    text += std::exchange(before, ",\n  {");
    OrderedJson answers = AnswersJson(voice.answers);
    OrderedJson pins = OrderedJson::array();
    for (const KeptPin& pin : voice.pins) pins.push_back(PinJson(pin));
    for (const char* const key : {"name", "review", "title", "saved", "comment"}) {
      text += fmt::format("\"{}\": {},\n   ", key, answers.at(key).dump());
    }
    text +=
        fmt::format("\"items\": {},\n   \"pins\": {}}}", lines(answers.at("items")), lines(pins));
  }
  return text + "]}\n";
}

Status WriteAnswerRecord(const std::string& folder, const AnswerRecord& record) {
  const std::string path = JoinPath(folder, kAnswerRecordName);
  const std::string text = AnswerRecordText(record);
  if (static_cast<int64_t>(text.size()) > kMaxAnswerRecordBytes) {
    return Error{{PrintableText(path)},
                 "",
                 fmt::format("would be {} bytes long with these answers, expected at most {}",
                             text.size(), kMaxAnswerRecordBytes)};
  }
  return WriteWholeFile(path, text);
}

}  // namespace wheatpaste

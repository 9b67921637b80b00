// Answers and contact sheets by the whole program: files in, record, list and sheets out.
#include <array>

#include <catch2/catch.hpp>

#include "cli/batch_scene.h"

namespace wheatpaste::test {
namespace {

bool Has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// One page of the batch, four pictures of two scenes; files of answers beside it.
class AnsweredScene : public BatchScene {
 public:
  AnsweredScene() {
    Exchange("run.toml", "[[output]]\nname = \"sheet\"\nformat = \"png\"\n", "");
    Exchange("run.toml",
             "[[colourway]]\nname = \"night\"\nrecolour = { \"#c02020\" = \"#204080\" }\n", "");
    REQUIRE(Batch().status == 0);
    WriteText(folder / "make.py", R"(
import json
jobs = {job['file']: job['sha256'] for job in json.load(open('run-out/manifest.json'))['jobs']}
def pin(name, text):
  return {'id': name, 'x': 0.5, 'y': 0.25, 'text': text, 'made': '2026-03-01T09:00:00Z'}
def item(file, verdict, *pins, sha256=None):
  return {'file': file, 'sha256': sha256 or jobs.get(file, 'd' * 64), 'verdict': verdict, 'favourite': False, 'pins': pins}
def save(file, name, saved, *items):
  json.dump({'format': 'wheatpaste answers 1', 'review': 'a' * 64, 'title': 'Round one', 'name': name,
    'saved': saved, 'comment': '', 'items': items}, open(file, 'w'))
script = '"><script>alert(1)</script>'
save('anna.json', 'Anna ' + script, '2026-03-01T09:30:00Z',
  item('scene/plain-page.jpg', 'approved'), item('wide/round-page.jpg', 'change', pin('pin-0001', script)))
save('anna-later.json', 'Anna ' + script, '2026-03-02T09:30:00Z',
  item('scene/plain-page.jpg', 'change', pin('pin-0002', 'Larger.')), item('wide/round-page.jpg', 'approved'))
save('bo.json', 'Bo', '2026-03-01T12:00:00Z',
  item('wide/plain-page.jpg', 'approved', sha256='c' * 64), item('gone/old-page.jpg', 'change'))
save('unsigned.json', '', '2026-03-01T12:00:00Z', item('wide/plain-page.jpg', 'approved'))
)");
    MustRun("cd '" + folder.path() + "' && python3 make.py");
  }
};

constexpr char kValidate[] = R"(
import json, jsonschema, sys
schema = json.load(open(sys.argv[1]))
jsonschema.Draft202012Validator.check_schema(schema)
for file in sys.argv[2:]:
  jsonschema.Draft202012Validator(schema).validate(json.load(open(file)))
)";

TEST_CASE("answers: any order of files makes one record, one list and one sheet",
          "[cli][invariant]") {
  const AnsweredScene scene;
  const auto result_of = [&](const std::string& files) {
    const RunResult run = scene.Program("answers run-out " + files);
    INFO(run.err);
    REQUIRE(run.status == 0);
    return std::array{run.out, ReadText(scene.folder / "run-out/answers.json"),
                      ReadText(scene.folder / "run-out/answers.pdf")};
  };
  const auto first = result_of("anna.json bo.json anna-later.json");
  CHECK(result_of("") == first);
  CHECK(result_of("bo.json") == first);
  MustRun("rm '" + scene.folder / "run-out/answers.json" + "'");
  (void)result_of("anna-later.json");
  (void)result_of("bo.json");
  CHECK(result_of("anna.json anna.json") == first);

  const std::string& list = first[0];
  CHECK(Has(list,
            "run-out: 1 to change, 1 changed since the answer, 1 approved, 1 of pictures that "
            "the batch does not have\n"));
  CHECK(Has(list,
            "  plain: change wanted\n      scene/plain-page.jpg\n      Anna "
            "\"><script>alert(1)</script>: change wanted\n    1 Anna "
            "\"><script>alert(1)</script>:\n      Larger.\n"));
  CHECK(Has(list, "    withdrawn Anna "));
  CHECK(Has(list, "Bo: approved; of an earlier picture\n"));
  CHECK(Has(list, "gone/old-page.jpg: change wanted\n"));

  // Source  JSON Schema 2020-12, by python3-jsonschema; qpdf and poppler.
  WriteText(scene.folder / "validate.py", kValidate);
  MustRun("cd '" + scene.folder.path() + "' && python3 validate.py '" +
          SourcePath("shared/answers.schema.json") +
          "' anna.json anna-later.json bo.json unsigned.json && python3 validate.py '" +
          SourcePath("shared/answer-record.schema.json") + "' run-out/answers.json");
  MustRun("qpdf --check '" + scene.folder / "run-out/answers.pdf" + "'");
  const std::string text = MustRun("pdftotext '" + scene.folder / "run-out/answers.pdf" + "' -");
  CHECK(Has(text, "Larger."));
  CHECK(Has(text, "\"><script>alert(1)</script>"));
}

TEST_CASE("answers: --json says the same to programs", "[cli][reference]") {
  const AnsweredScene scene;
  const RunResult run = scene.Program("answers run-out bo.json anna.json --json");
  REQUIRE(run.status == 0);
  WriteText(scene.folder / "list.json", run.out);
  CHECK(MustRun("cd '" + scene.folder.path() + R"__(' && python3 -c "
import json
found = json.load(open('list.json'))
print([(scene['title'], [(item['file'], item['needs'], len(item['pins'])) for item in scene['items']]) for scene in found['scenes']])
print([item['file'] for item in found['unknown']], [person['name'] for person in found['people']][1])")__") ==
        "[('Small', [('scene/plain-page.jpg', 'approved', 0)]), "
        "('Small', [('wide/round-page.jpg', 'change wanted', 1), ('wide/plain-page.jpg', 'changed "
        "since the answer', 0)])]\n"
        "['gone/old-page.jpg'] Bo\n");
}

TEST_CASE("answers: one bad file, a broken record, no batch: refused, nothing written",
          "[cli][bad-input]") {
  const AnsweredScene scene;
  WriteText(scene.folder / "bad.json", ReadText(scene.folder / "bo.json").replace(0, 1, "> {"));
  RunResult run = scene.Program("answers run-out anna.json bad.json unsigned.json");
  CHECK(run.status == 2);
  CHECK(Has(run.err, "bad.json:1:1: error: the lines begin with \">\""));
  CHECK(Has(run.err,
            "unsigned.json:/name: error: name = \"\": the answers are not signed; say whose they "
            "are with --name\n"));
  CHECK(scene.Program("answers run-out anna.json --out none/a.pdf").status == 2);
  CHECK_FALSE(scene.Files().contains("answers.json"));
  CHECK_FALSE(scene.Files().contains("answers.pdf"));
  CHECK(Has(scene.Program("answers run-out").out, "run-out: no answers yet\n"));
  run = scene.Program("answers run-out unsigned.json --name Cleo");
  CHECK(run.status == 0);
  CHECK(Has(run.out, "      Cleo: approved\n"));

  MustRun("truncate -s 4194305 '" + scene.folder / "large.json" + "'");
  run = scene.Program("answers run-out large.json");
  CHECK(run.status == 2);
  CHECK(run.err == "large.json: error: is 4194305 bytes long, expected at most 4194304\n");

  scene.Exchange("run-out/answers.json", "\"approved\"", "\"perhaps\"");
  const std::string broken = ReadText(scene.folder / "run-out/answers.json");
  run = scene.Program("answers run-out anna.json");
  CHECK(run.status == 2);
  CHECK(run.err ==
        "run-out/answers.json:/voices/0/items/0/verdict: error: verdict = \"perhaps\": expected "
        "\"approved\", \"change\" or null\n");
  CHECK(ReadText(scene.folder / "run-out/answers.json") == broken);

  CHECK(scene.Program("answers none anna.json").err ==
        "none/manifest.json: error: expected a batch's record with pictures in it\n");
  CHECK(scene.Program("answers run-out --out a.txt").err ==
        "--out a.txt: error: expected a name ending in .pdf\n");
}

TEST_CASE("sheet: a PDF or a picture of every preview; bad options are refused together",
          "[cli][bad-input]") {
  const AnsweredScene scene;
  RunResult run = scene.Program("sheet run-out --sort artwork");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(Has(run.out, "run-out/sheet.pdf: 4 pictures, 1 page, "));
  MustRun("qpdf --check '" + scene.folder / "run-out/sheet.pdf" + "'");
  REQUIRE(scene.Program("sheet run-out --out s.png --size 800x600 --columns 4").status == 0);
  CHECK(Has(MustRun("/usr/bin/identify '" + scene.folder / "s.png" + "'"), " PNG 800x"));
  run = scene.Program("sheet run-out --sort size --columns 0 --size 1x1mm --out s.gif");
  CHECK(run.status == 2);
  CHECK(run.err ==
        "--out s.gif: error: expected a name ending in .pdf, .png or .jpg\n"
        "--sort size: error: expected scene, artwork or colourway\n"
        "--columns 0: error: expected a whole number from 1 to 40\n"
        "--size 1x1mm: error: expected sides of 60 to 5000 mm\n");
}

}  // namespace
}  // namespace wheatpaste::test

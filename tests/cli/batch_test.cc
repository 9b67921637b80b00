// Batches by the whole program: what is made, what is left alone, what survives.
#include <chrono>
#include <thread>

#include <catch2/catch.hpp>

#include "cli/batch_scene.h"

namespace wheatpaste::test {
namespace {

bool Has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// Runs `jq`-like one-liners without jq.
std::string Python(const BatchScene& scene, const std::string& code) {
  WriteText(scene.folder / "look.py", code);
  const RunResult run = Run("cd '" + scene.folder.path() + "' && python3 look.py");
  MustRun("rm '" + scene.folder / "look.py" + "'");
  INFO(run.err);
  REQUIRE(run.status == 0);
  return run.out;
}

TEST_CASE("batch: every picture stands where the contract says, and is what render makes",
          "[cli][invariant]") {
  const BatchScene scene;
  const RunResult run = scene.Batch();
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto files = scene.Files();
  REQUIRE(files.size() == BatchScene::kPictures + 1);
  for (const char* name : {"scene/plain-page.jpg", "scene/plain-night-sheet.png",
                           "wide/round-night-page.jpg", "wide/round-sheet.png"}) {
    CHECK(files.contains(name));
  }
  CHECK(Has(run.out, "run-out: 16 made, 0 unchanged, "));

  // The same settings, by render; the colourway stands in the scene then.
  WriteText(scene.folder / "night.toml",
            ReadText(scene.folder / "wide.toml") +
                "[[colourway]]\nname = \"night\"\nrecolour = { \"#c02020\" = \"#204080\" }\n");
  REQUIRE(scene
              .Program("render night.toml --artwork mark=round.svg --colourway night --size "
                       "160x120 --out one.jpg")
              .status == 0);
  CHECK(CodesOf(scene.folder / "one.jpg") ==
        CodesOf(scene.folder / "run-out/wide/round-night-page.jpg"));
  REQUIRE(scene.Render("--out two.png").status == 0);
  CHECK(CodesOf(scene.folder / "two.png") ==
        CodesOf(scene.folder / "run-out/scene/plain-sheet.png"));
}

TEST_CASE("batch: the manifest is as its JSON Schema says, and tells the truth of the files",
          "[cli][reference]") {
  // Source  JSON Schema 2020-12, by python3-jsonschema; sha256 by Python's hashlib.
  const BatchScene scene;
  WriteText(scene.folder / "round.svg", "<svg");  // half of the jobs fail
  REQUIRE(scene.Batch().status == 1);
  CHECK(Python(scene, R"(
import json, jsonschema, hashlib
schema = json.load(open(')" +
                          SourcePath("shared/manifest.schema.json") + R"('))
jsonschema.Draft202012Validator.check_schema(schema)
record = json.load(open('run-out/manifest.json'))
jsonschema.Draft202012Validator(schema).validate(record)
done = [job for job in record['jobs'] if job['status'] == 'done']
failed = [job for job in record['jobs'] if job['status'] == 'failed']
digest = lambda path: hashlib.sha256(open(path, 'rb').read()).hexdigest()
for job in done:
  assert digest('run-out/' + job['file']) == job['sha256'], job['file']
  names = [record['inputs'][i]['file'] for i in job['inputs']]
  assert job['scene'] + '.toml' in names and 'mark.svg' in names and 'photo.png' in names, names
  assert 'wheatpaste:shared/inks.toml' in names, names
  for i in job['inputs']:
    entry = record['inputs'][i]
    if not entry['file'].startswith('wheatpaste:'):
      assert digest(entry['file']) == entry['sha256'], entry
assert all('round.svg' in job['errors'][0] for job in failed)
print(record['title'], len(done), len(failed))
)") == "Round one 8 8\n");
}

TEST_CASE("batch: outputs from a distance and of a deficiency are what render makes",
          "[cli][twin]") {
  // One card faces the camera, 2.5 mm a px, the other is seen at an angle.
  const BatchScene scene;
  scene.Exchange("wide.toml", "[[80, 60], [240, 70], [235, 190], [75, 180]]",
                 "[[80, 60], [240, 60], [240, 180], [80, 180]]");
  WriteText(scene.folder / "run.toml", R"(scenes = ["scene.toml", "wide.toml"]
[[artwork]]
name = "plain"
slots = { mark = "mark.svg" }
[[artwork]]
name = "round"
slots = { mark = "round.svg" }
[[output]]
name = "far"
from_metres = 9
format = "png"
[[output]]
name = "seen"
size = "160x120"
vision = "deutan"
severity = 0.7
format = "png"
)");
  const RunResult run = scene.Batch();
  INFO(run.err);
  REQUIRE(run.status == 0);
  for (const std::string name : {"scene", "wide"}) {
    for (const std::string mark : {"mark", "round"}) {
      const std::string render = "render " + name + ".toml --artwork mark=" + mark + ".svg ";
      const std::string made =
          scene.folder / "run-out/" + name + "/" + (mark == "mark" ? "plain" : "round");
      REQUIRE(scene.Program(render + "--from-metres 9 --out a.png").status == 0);
      CHECK(CodesOf(scene.folder / "a.png") == CodesOf(made + "-far.png"));
      REQUIRE(scene.Program(render + "--size 160x120 --vision deutan --severity 0.7 --out b.png")
                  .status == 0);
      CHECK(CodesOf(scene.folder / "b-deutan.png") == CodesOf(made + "-seen.png"));
    }
  }
  // Derived here: 87.3 px an inch at 1 m are 0.382 px a mm at 9 m.
  CHECK(Python(scene, R"(
import json, math
jobs = {job['file']: job for job in json.load(open('run-out/manifest.json'))['jobs']}
far, seen = jobs['wide/plain-far.png'], jobs['wide/plain-seen.png']
print(far['from_metres'], far['vision'], seen['from_metres'], seen['vision'])
print([note for note in far['notes'] if note.startswith('as seen from 9 m')] != [])
print(abs(far['placements'][0]['px_per_mm'] * 9000 * math.tan(math.radians(1 / 60)) - 1) < 2e-3)
)") == "9.0 None None deutan\nTrue\nTrue\n");
  // A distance decides about the picture.
  scene.Exchange("run.toml", "from_metres = 9", "from_metres = 8.5");
  const RunResult again = scene.Batch();
  CHECK(Has(again.out, "run-out: 4 made, 4 unchanged, "));
  // What cannot be seen from so far fails alone.
  scene.Exchange("run.toml", "from_metres = 8.5", "from_metres = 10000");
  const RunResult failed = scene.Batch();
  CHECK(failed.status == 1);
  CHECK(Has(failed.err,
            "run.toml:10:15: error: output.from_metres = 10000: expected a distance at "
            "which the picture has sides of 1 to 60000 px"));
  CHECK(Has(failed.out, "run-out: 0 made, 4 unchanged, "));
}

TEST_CASE("batch: the record tells what is printed how large, and in which colours",
          "[cli][twin]") {
  const BatchScene scene;
  // Half in each of two colours: 300 x 200 mm on a card of 400 mm, which 160 px show where it faces the camera.
  WriteText(scene.folder / "mark.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"20mm\">"
            "<rect width=\"30mm\" height=\"12mm\" fill=\"#c02020\"/>"
            "<rect y=\"12mm\" width=\"30mm\" height=\"8mm\" fill=\"#f0e0c0\"/></svg>\n");
  scene.Exchange("scene.toml", "[[80, 60], [240, 70], [235, 190], [75, 180]]",
                 "[[80, 60], [240, 60], [240, 180], [80, 180]]");
  WriteText(scene.folder / "scene.toml", ReadText(scene.folder / "scene.toml") +
                                             "[swatch]\nsand = \"#f0e0c0\"\nsea = \"#000000\"\n");
  scene.Exchange("wide.toml", "size = [400, 300]\n", "");
  scene.Exchange("wide.toml", "width = 390\n", "");
  scene.Exchange("run.toml", "scenes = [", "print_condition = \"coated offset\"\nscenes = [");
  scene.Exchange("run.toml", "[[artwork]]\nname = \"round\"\nslots = { mark = \"round.svg\" }\n",
                 "[swatch]\nsea = \"#204080\"\n");
  REQUIRE(scene.Batch().status == 0);
  REQUIRE(scene
              .Program("check scene.toml --artwork mark=mark.svg --proof 'coated offset' --json > "
                       "check.json")
              .status == 0);
  CHECK(Python(scene, R"(
import json
jobs = {job['file']: job for job in json.load(open('run-out/manifest.json'))['jobs']}
own, night = jobs['scene/plain-sheet.png'], jobs['scene/plain-night-sheet.png']
placed = own['placements'][0]
print(placed['surface'], placed['artwork'], placed['width_mm'], round(placed['height_mm'], 9),
      round(placed['px_per_mm'], 9), round(jobs['scene/plain-page.jpg']['placements'][0]['px_per_mm'], 9))
print(jobs['wide/plain-sheet.png']['placements'])
for job in own, night:
  print([(colour['srgb'], colour['name']) for colour in job['colours']])
checked = {colour['colour']: colour for colour in json.load(open('check.json'))['placements'][0]['print']['colours']}
for colour in own['colours']:
  other = checked[colour['srgb']]
  assert abs(colour['shift'] - other['shift']) <= 0.006, (colour, other)
  for key, of_check in ('cmyk_percent', 'ink_percent'), ('printed_lab', 'lab_held'):
    assert all(abs(a - b) <= 0.006 for a, b in zip(colour[key], other[of_check])), (colour, other)
print('as checked')
)") == "card mark 300.0 200.0 0.4 0.2\n"
       "[{'surface': 'card', 'artwork': 'mark', 'width_mm': None, 'height_mm': None, 'px_per_mm': "
       "None, 'centre_px': None}]\n"
       "[('#c02020', None), ('#f0e0c0', 'sand')]\n"
       "[('#204080', 'sea'), ('#f0e0c0', 'sand')]\n"
       "as checked\n");
  // The same record for any number of jobs and threads.
  const auto colours = [&](const std::string& arguments) {
    REQUIRE(scene.Program("batch run.toml --out other " + arguments).status == 0);
    const std::string said = Python(scene, R"(
import json
print([job['colours'] + job['placements'] for job in json.load(open('other/manifest.json'))['jobs']])
)");
    MustRun("rm -r '" + scene.folder / "other" + "'");
    return said;
  };
  CHECK(colours("--jobs 1 --threads 1") == colours("--jobs 3 --threads 2"));
}

TEST_CASE("batch: nothing is made twice, and a change makes again what it touches",
          "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch().status == 0);
  const auto times = [&] {
    return Run("cd '" + scene.folder / "run-out" +
               "' && find . -type f | sort | xargs stat -c '%n %y %i'")
        .out;
  };
  const auto made = [&](const std::string& arguments = "") {
    const RunResult run = scene.Batch(arguments);
    INFO(run.err);
    REQUIRE(run.status == 0);
    return run.out;
  };
  const std::string before = times();
  CHECK(Has(made(), "run-out: 0 made, 16 unchanged, "));
  CHECK(times() == before);

  // An artwork: its eight pictures, and no others.
  scene.Exchange("round.svg", "r=\"50%\"", "r=\"40%\"");
  std::string out = made();
  CHECK(Has(out, "run-out: 8 made, 8 unchanged, "));
  CHECK_FALSE(Has(out, "/plain"));
  // A scene.
  scene.Exchange("wide.toml", "width = 390", "width = 380");
  out = made();
  CHECK(Has(out, "run-out: 8 made, 8 unchanged, "));
  CHECK_FALSE(Has(out, "scene/"));
  // One output; another's title, or a comment in the run sheet, changes nothing.
  scene.Exchange("run.toml", "160x120", "80x60");
  CHECK(Has(made(), "run-out: 8 made, 8 unchanged, "));
  scene.Exchange("run.toml", "Round one", "Round two");
  CHECK(Has(made(), "run-out: 0 made, 16 unchanged, "));
  CHECK(Has(ReadText(scene.folder / "run-out/manifest.json"), "Round two"));
  // A colourway.
  scene.Exchange("run.toml", "#204080", "#208040");
  out = made();
  CHECK(Has(out, "run-out: 8 made, 8 unchanged, "));
  CHECK_FALSE(Has(out, "plain-page"));
  // A picture that somebody changed or removed; one that was only touched is left alone.
  WriteText(scene.folder / "run-out/scene/plain-page.jpg", "mine");
  MustRun("rm '" + scene.folder / "run-out/wide/plain-page.jpg" + "' && touch '" +
          scene.folder / "run-out/wide/round-page.jpg" + "'");
  CHECK(Has(made(), "run-out: 2 made, 14 unchanged, "));
  // The photo, seen by its content, not its time.
  MustRun("touch '" + scene.folder / "photo.png" + "'");
  CHECK(Has(made(), "run-out: 0 made, 16 unchanged, "));
}

TEST_CASE("batch: pictures that no job makes any more are listed, and removed when asked",
          "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch().status == 0);
  WriteText(scene.folder / "run-out/scene/mine.txt", "not of the batch");
  scene.Exchange("run.toml", "[\"scene.toml\", \"wide.toml\"]", "[\"scene.toml\"]");
  RunResult run = scene.Batch();
  CHECK(run.status == 0);
  CHECK(Has(run.out,
            "left over: wide/round-sheet.png; no job makes it any more, --prune removes it"));
  CHECK(scene.Files().size() == BatchScene::kPictures + 2);
  run = scene.Batch("--prune");
  CHECK(run.status == 0);
  CHECK(Has(run.out, "0 made, 8 unchanged, 8 removed"));
  CHECK(scene.Files().size() == BatchScene::kPictures / 2 + 2);
  CHECK(ReadText(scene.folder / "run-out/scene/mine.txt") == "not of the batch");
  CHECK(Has(scene.Batch().out, "0 made, 8 unchanged, "));
}

TEST_CASE("batch: one bad scene or artwork does not stop the rest", "[cli][bad-input]") {
  const BatchScene scene;
  scene.Exchange("wide.toml", "size = [400, 300]", "size = [400, -300]");
  MustRun("rm '" + scene.folder / "round.svg" + "'");
  const RunResult run = scene.Batch();
  CHECK(run.status == 1);
  CHECK(Has(run.out, "run-out: 4 made, 0 unchanged, 12 failed, "));
  CHECK(Has(run.err, "failed: scene/round-page.jpg\nrun.toml:8:18: error: artwork.slots.mark = "));
  CHECK(Has(run.err, "cannot open, no such file\n"));
  CHECK(Has(run.err, "failed: wide/plain-page.jpg\n"));
  CHECK(Has(run.err, "wide.toml:8:14: error: surface.size = "));
  // Mended, what failed is made; the rest is not made again.
  scene.Exchange("wide.toml", "-300", "300");
  WriteText(scene.folder / "round.svg", ReadText(scene.folder / "mark.svg"));
  CHECK(Has(scene.Batch().out, "run-out: 12 made, 4 unchanged, "));
}

TEST_CASE("batch: a bad run sheet or option is refused whole", "[cli][bad-input]") {
  const BatchScene scene;
  CheckRefused(scene, "batch run.toml --shard 3/2",
               "--shard 3/2: error: expected PART/PARTS, such as 2/4\n");
  CheckRefused(scene, "batch run.toml --prune --shard 1/2",
               "--prune: error: expected without --shard: one part does not know what the others "
               "make\n");
  CheckRefused(scene, "batch run.toml --jobs 0",
               "--jobs 0: error: expected a whole number from 1 to 1024\n");
  CheckRefused(scene, "batch run.toml --memory lots",
               "--memory lots: error: expected gibibytes from 0.1 to 65536\n");
  CheckRefused(scene, "batch none.toml", "none.toml: error: cannot open, no such file\n");
  scene.Exchange("run.toml", "format = \"png\"", "format = \"bmp\"");
  const RunResult run = scene.Batch();
  CHECK(run.status == 2);
  CHECK(Has(run.err, "run.toml:18:10: error: output.format = \"bmp\": "));
  CHECK_FALSE(Has(Run("ls '" + scene.folder.path() + "'").out, "run-out"));
}

TEST_CASE("batch: the same bytes for any number of jobs and threads", "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch("--out one --jobs 1 --threads 1").status == 0);
  REQUIRE(scene.Batch("--out three --jobs 3 --threads 3 --memory 0.1").status == 0);
  CHECK(scene.Files("one") == scene.Files("three"));
}

TEST_CASE("batch: shards make each picture once, and merge to what one run makes",
          "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch("--out whole").status == 0);
  // Three parts at the same time in one folder.
  const RunResult parts = Run("cd '" + scene.folder.path() +
                              "' && for part in 1 2 3; do '" WHEATPASTE_PROGRAM
                              "' batch run.toml --out parts --shard $part/3 & done; wait");
  REQUIRE(parts.status == 0);
  RunResult merged = scene.Program("merge parts");
  INFO(merged.err);
  CHECK(merged.status == 0);
  CHECK(merged.out == "parts: 16 pictures, 0 failed, 0 copied\n");
  CHECK(scene.Files("parts") == scene.Files("whole"));
  CHECK(Has(scene.Batch("--out parts").out, "0 made, 16 unchanged, "));
  // Folders of their own; one part is not there yet.
  REQUIRE(scene.Batch("--out a --shard 1/2").status == 0);
  merged = scene.Program("merge a --out all");
  CHECK(merged.status == 1);
  CHECK(merged.err == "missing: part 2 of 2\n");
  REQUIRE(scene.Batch("--out b --shard 2/2").status == 0);
  merged = scene.Program("merge a b --out all");
  CHECK(merged.status == 0);
  CHECK(scene.Files("all") == scene.Files("whole"));
  CHECK(scene.Program("merge all none").err ==
        "none: error: cannot read: No such file or directory\n");
}

// Starts a batch into cut/ one job at a time, and sends `signal`, as a terminal does, to it and to every child of its the
// moment that it says so many `pictures` to be done.
RunResult Interrupt(const BatchScene& scene, const std::string& signal, int pictures) {
  return Run("cd '" + scene.folder.path() +
             "'; rm -f lines; mkfifo lines; setsid '" WHEATPASTE_PROGRAM
             "' batch run.toml --out cut --jobs 1 --threads 1 > lines 2>&1 & batch=$!; done=0; "
             "while read -r line; do echo \"$line\"; case $line in *' px, '*) "
             "done=$((done + 1)); [ $done -ne " +
             std::to_string(pictures) + " ] || kill -" + signal +
             " -$batch;; esac; done < lines; wait $batch");
}

TEST_CASE("batch: killed at any moment, nothing is half and the next run completes",
          "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch("--out whole").status == 0);
  const auto whole = scene.Files("whole");
  for (const int pictures : {2, 3, 5}) {
    REQUIRE(Interrupt(scene, "KILL", pictures).status == 128 + 9);
    // What stands under its own name is whole.
    size_t done = 0;
    for (const auto& [name, digest] : scene.Files("cut")) {
      const auto same = whole.find(name);
      if (same == whole.end()) continue;
      ++done;
      CHECK(digest == same->second);
    }
    CHECK(done >= static_cast<size_t>(pictures));
    CHECK(done < BatchScene::kPictures);
  }
  const RunResult last = scene.Batch("--out cut");
  CHECK(last.status == 0);
  CHECK_FALSE(Has(last.out, "cut: 16 made"));
  CHECK(scene.Files("cut") == whole);  // and no rests: every file is one of the whole run's
}

TEST_CASE("batch: killed before the manifest, the record is written by the next run",
          "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch().status == 0);
  // As a run leaves it whose last picture is done: every job in the journal, its inputs beside it, no manifest.
  Python(scene, R"(
import json, os
record = json.load(open('run-out/manifest.json'))
with open('run-out/.manifest.json.journal', 'w') as journal:
  for job in record['jobs']:
    job['inputs'] = [record['inputs'][i] for i in job['inputs']]
    journal.write(json.dumps(job) + '\n')
os.rename('run-out/manifest.json', 'before.json')
)");
  CHECK(Has(scene.Batch().out, "0 made, 16 unchanged, "));
  CHECK(Python(scene, R"(
import json
print(json.load(open('before.json')) == json.load(open('run-out/manifest.json')))
)") == "True\n");
  CHECK_FALSE(scene.Files().contains(".manifest.json.journal"));
}

TEST_CASE("batch: told to stop it finishes what it has begun; the same command goes on",
          "[cli][invariant]") {
  const BatchScene scene;
  REQUIRE(scene.Batch("--out whole").status == 0);
  const RunResult stopped = Interrupt(scene, "INT", 2);
  CHECK(stopped.status == 1);
  CHECK_FALSE(Has(stopped.out, "failed"));
  CHECK(Has(stopped.out, " not begun, "));
  CHECK(Has(stopped.out, "stopped before the end; the same command goes on from here\n"));
  for (const auto& [name, digest] : scene.Files("cut"))
    CHECK(name[0] != '.');  // no journal, no rests
  const RunResult last = scene.Batch("--out cut");
  CHECK(last.status == 0);
  CHECK_FALSE(Has(last.out, "cut: 16 made"));
  CHECK(scene.Files("cut") == scene.Files("whole"));
}

TEST_CASE("batch: a folder takes one run at a time", "[cli][bad-input]") {
  const BatchScene scene;
  MustRun("mkdir '" + scene.folder / "run-out" + "'");
  const RunResult run =
      Run("cd '" + scene.folder.path() +
          "' && flock run-out/.wheatpaste.lock '" WHEATPASTE_PROGRAM "' batch run.toml");
  CHECK(run.status == 2);
  CHECK(run.err ==
        "run-out: error: another run is at work in this folder; wait for it, or choose "
        "another with --out\n");
  CHECK(scene.Files().empty());
}

TEST_CASE("batch: a full disk fails pictures, loses none", "[cli][bad-input]") {
  const BatchScene scene;
  REQUIRE(scene.Batch("--out whole").status == 0);
  // Files of at most 16 KiB: JPEGs and the journal fit, PNGs of 200 KiB do not.
  const RunResult full =
      Run("cd '" + scene.folder.path() +
          "' && ulimit -f 32 && '" WHEATPASTE_PROGRAM "' batch run.toml --out small");
  CHECK(full.status != 0);
  CHECK(Has(full.err, "File too large"));
  for (const auto& [name, digest] : scene.Files("small")) CHECK(name[0] != '.');
  CHECK(scene.Batch("--out small").status == 0);
  CHECK(scene.Files("small") == scene.Files("whole"));
}

TEST_CASE("batch: --json-lines says it to programs, --quiet says nothing", "[cli][reference]") {
  const BatchScene scene;
  WriteText(scene.folder / "round.svg", "<svg");
  const RunResult run = scene.Batch("--json-lines");
  CHECK(run.status == 1);
  WriteText(scene.folder / "lines", run.out);
  CHECK(Python(scene, R"(
import json
lines = [json.loads(line) for line in open('lines')]
print([line['event'] for line in lines].count('picture'), lines[0]['event'], lines[0]['to_do'],
      lines[-1]['event'], lines[-1]['made'], lines[-1]['failed'])
)") == "16 begin 16 end 8 8\n");
  const RunResult quiet = scene.Batch("--quiet");
  CHECK(quiet.out.empty());
  CHECK(Has(quiet.err, "failed: scene/round-page.jpg\n"));
}

TEST_CASE("batch: --watch makes again what a saved file touches", "[cli][invariant]") {
  const BatchScene scene;
  const RunResult run =
      Run("cd '" + scene.folder.path() +
          "' && '" WHEATPASTE_PROGRAM "' batch run.toml --watch > log 2>&1 & watch=$!; cd '" +
          scene.folder.path() + R"('
wait_for() { for i in $(seq 200); do grep -q "$1" log && return 0; sleep 0.05; done; return 1; }
wait_for '16 made' || exit 3
# A program that writes beside and renames, then one that writes in place.
sed 's/r="50%"/r="45%"/' round.svg > .round.new && mv .round.new round.svg
wait_for '8 made, 8 unchanged' || exit 4
: > log
echo '<svg' > mark.svg
wait_for '8 failed' || exit 5
: > log
cp round.svg mark.svg
wait_for '8 made, 8 unchanged' || exit 6
# A rule that holds for nothing is told, and the next save mends it.
: > log
cp run.toml good.toml
{ cat good.toml; printf '[[exclude]]\nscene = "*"\n'; } > .bad && mv .bad run.toml
wait_for 'nothing is left to make' || exit 7
: > log
{ cat good.toml; printf '[[exclude]]\noutput = "sheet"\n'; } > .next && mv .next run.toml
wait_for '0 made, 8 unchanged' || exit 8
kill -TERM $watch && wait $watch
)");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(scene.Files().size() == BatchScene::kPictures + 1);
}

}  // namespace
}  // namespace wheatpaste::test

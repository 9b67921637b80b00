#include "present/slides.h"

#include <filesystem>
#include <set>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/digest.h"
#include "base/parallel.h"
#include "must_run.h"
#include "present/made_pictures.h"
#include "present/slides_caption.h"
#include "present/slides_look.h"
#include "present/slides_pages.h"
#include "present/slides_plan.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::MustRun;

constexpr char kHostile[] = "\"><script>alert(1)</script>";

// A batch's folder: two scenes, the first with three pictures, the second with one in a print condition.
class MadeBatch {
 public:
  MadeBatch() {
    manifest.title = std::string("Round one ") + kHostile;
    for (const char* const artwork : {"lettered", "mark", kHostile}) {
      JobRecord record = Record("wall", "Waiting room & wall", artwork, {96, 54});
      record.placements = {{"poster", "poster", 594, 841, 0.5, {}},
                           {"wall", "wall", 60.5, 20, 0.5, {}}};
      record.warnings = {"/some/folder/mark.svg lies outside the picture"};
      manifest.jobs.push_back(record);
    }
    JobRecord tote = Record("tote", "", "lettered", {60, 90});
    tote.colourway = "night";
    tote.print_condition = "coated offset";
    ColourRecord green{"seed green", "#0f4a3f", {27.5, -22.4, 1.9}, {}, {}, {}};
    green.cmyk_percent = {88, 42, 68, 45};
    green.printed_lab = {29.1, -19.2, 2.2};
    green.shift = 2.4;
    tote.colours = {green};
    manifest.jobs.push_back(tote);
    Save();
  }
  void Save() const { REQUIRE(WriteManifest(folder.path(), manifest).ok()); }

  Result<SlidesMade> Make(const std::string& out, SizeMm page = {338.667, 190.5}) const {
    const auto set = ReadPreviewSet(folder.path(), {});
    REQUIRE(set.ok());
    SlideOptions options;
    options.theme = *ReadTheme({}, WHEATPASTE_SOURCE_DIR);
    options.theme.footer = "Fern";
    options.page = page;
    options.program = "wheatpaste test";
    return WriteSlides(*set, options, folder / out);
  }

  test::TempFolder folder;
  Manifest manifest;

 private:
  JobRecord Record(const std::string& scene, const std::string& title, const std::string& artwork,
                   SizePx size) {
    JobRecord record;
    record.scene = scene;
    record.scene_title = title;
    record.artwork = artwork;
    record.output = "slide";
    record.file = scene + "/" + std::to_string(manifest.jobs.size()) + ".jpg";
    record.done = true;
    record.size = size;
    const std::string path = folder / record.file;
    std::filesystem::create_directories(folder / scene);
    Bytes codes = test::MakeCodes(size, 8);
    codes[0] = static_cast<uint8_t>(manifest.jobs.size() * 40);  // no two pictures are the same
    PictureFacts facts;
    facts.size = size;
    const Profile profile = Profile::Srgb();
    facts.profile = &profile;
    facts.quality = 98 - static_cast<int>(manifest.jobs.size());
    record.bytes = *test::Write(path, facts, codes);
    record.sha256 = *Sha256OfFile(path);
    return record;
  }
};

std::string PageText(const std::string& path, size_t page) {
  return MustRun(fmt::format("pdftotext -raw -f {0} -l {0} {1} -", page, path));
}

bool Has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

TEST_CASE("Slides: other programs find pages, captions, outline, fonts and the batch's own JPEG",
          "[present][reference]") {
  // Source  qpdf 11.3, poppler 22.12.
  const MadeBatch batch;
  const auto made = batch.Make("deck.pdf");
  REQUIRE(made.ok());
  const std::string deck = batch.folder / "deck.pdf";
  // Title; three pictures and their comparison; one picture; colours; index.
  CHECK(made->pages == 8);
  CHECK(made->pictures == 4);
  CHECK(made->anew == 0);
  CHECK(made->missing.empty());
  CHECK(made->bytes == static_cast<int64_t>(std::filesystem::file_size(deck)));
  CHECK(Has(MustRun("qpdf --check " + deck), "No syntax or stream encoding errors"));
  const std::string info = MustRun("pdfinfo -f 1 -l 8 " + deck);
  CHECK(Has(info, std::string("Title:           Round one ") + kHostile));
  CHECK(Has(info, "Page    8 size:  960"));
  CHECK_FALSE(Has(info, "Date"));
  CHECK_FALSE(Has(MustRun("pdffonts " + deck + " | tail -n +3"), " no "));
  for (size_t page = 1; page <= made->pages; ++page) {
    INFO(page);
    const std::string text = PageText(deck, page);
    CHECK(Has(text, "visualisation, not a proof"));
    CHECK(Has(text, fmt::format(" Fern {}\n", page)));
  }
  CHECK(Has(PageText(deck, 1), "4 visualisations of 2 scenes"));
  const std::string preview = PageText(deck, 2);
  CHECK(Has(preview, "Waiting room"));
  CHECK(Has(preview, "lettered"));
  CHECK(Has(preview, "594 \u00d7 841 mm, poster"));
  CHECK(Has(preview, "60.5 \u00d7 20 mm, wall"));
  CHECK(Has(preview, "no print condition"));
  CHECK(Has(preview, "Note: mark.svg lies outside"));
  CHECK_FALSE(Has(preview, "/some"));
  CHECK(Has(PageText(deck, 4), kHostile));
  CHECK(Has(PageText(deck, 5), "3 variants"));
  const std::string tote = PageText(deck, 6);
  CHECK(Has(tote, "lettered, night"));
  CHECK(Has(tote, "print condition: coated offset"));
  const std::string colours = PageText(deck, 7);
  for (const char* const part : {"seed green", "#0f4a3f", "15 74 63", "28 \u221222 2",
                                 "88 42 68 45", "29 \u221219 2", "2.4"}) {
    CHECK(Has(colours, part));
  }
  CHECK(Has(PageText(deck, 8), "Compared 5\n"));

  const auto json = nlohmann::json::parse(MustRun("qpdf --json --json-key=outlines " + deck));
  std::string outline;
  for (const auto& entry : json["outlines"]) {
    outline += fmt::format("{} {}:", entry["title"].get<std::string>(),
                           entry["destpageposfrom1"].get<int>());
    for (const auto& kid : entry["kids"])
      outline += fmt::format(" {}", kid["destpageposfrom1"].get<int>());
    outline += "\n";
  }
  CHECK(outline == "Waiting room & wall 2: 2 3 4 5\ntote 6: 6\nColours 7:\nIndex 8:\n");

  MustRun("mkdir " + (batch.folder / "found") + " && pdfimages -all " + deck + " " +
          (batch.folder / "found/p"));
  std::set<std::string> found, wanted;
  for (const auto& entry : std::filesystem::directory_iterator(batch.folder / "found")) {
    found.insert(*Sha256OfFile(entry.path().string()));
  }
  for (const JobRecord& record : batch.manifest.jobs) wanted.insert(record.sha256);
  CHECK(found == wanted);
}

TEST_CASE("Caption: sizes by surface, by artwork too where a surface has several, each once",
          "[present][closed-form]") {
  JobRecord record;
  record.placements = {{"wall", "poster", 1000, 1414, {}, {}},
                       {"wall", "art/mark.svg", 60.25, 20, {}, {}},
                       {"tote", "mark", 300, 280, {}, {}},
                       {"tote", "mark", 300, 280, {}, {}},
                       {"cup", "mark", {}, {}, {}, {}}};
  const auto parts = CaptionOf(record);
  REQUIRE(parts.size() == 2);
  CHECK(parts[0].values == std::vector<std::string>{"1000 \u00d7 1414 mm, poster on wall",
                                                    "60.3 \u00d7 20 mm, mark.svg on wall",
                                                    "300 \u00d7 280 mm, tote"});
  CHECK(parts[1].values.size() == 1);
}

TEST_CASE("Slides: the same bytes for any number of threads", "[present][invariant]") {
  const MadeBatch batch;
  REQUIRE(batch.Make("a.pdf", {297, 210}).ok());
  {
    const ThreadLimit one(1);
    REQUIRE(batch.Make("b.pdf", {297, 210}).ok());
  }
  CHECK(test::ReadText(batch.folder / "a.pdf") == test::ReadText(batch.folder / "b.pdf"));
}

TEST_CASE("Slides: a picture that is missing or changed is left out and named",
          "[present][bad-input]") {
  const MadeBatch batch;
  std::filesystem::remove(batch.folder / "wall/0.jpg");
  test::MakeJpeg(batch.folder / "wall/1.jpg", {30, 20});
  const auto made = batch.Make("deck.pdf");
  REQUIRE(made.ok());
  CHECK(made->pages == 5);  // no comparison with one variant left
  CHECK(made->missing ==
        std::vector<std::string>{
            "wall/0.jpg: cannot open: No such file or directory",
            "wall/1.jpg: has changed since the batch was made; run the batch again"});
  for (const char* const file : {"wall/2.jpg", "tote/3.jpg"}) {
    std::filesystem::remove(batch.folder / file);
  }
  std::filesystem::remove(batch.folder / "deck.pdf");
  CHECK_FALSE(batch.Make("deck.pdf").ok());
  CHECK_FALSE(std::filesystem::exists(batch.folder / "deck.pdf"));
}

TEST_CASE("Slides: pictures too large for the deck, or of other colours, are encoded anew",
          "[present][invariant]") {
  MadeBatch batch;
  const Profile p3 = Profile::DisplayP3();
  PictureFacts facts;
  facts.size = {96, 54};
  facts.profile = &p3;
  JobRecord& record = batch.manifest.jobs[0];
  REQUIRE(test::Write(batch.folder / record.file, facts, test::MakeCodes(facts.size, 8)).ok());
  record.sha256 = *Sha256OfFile(batch.folder / record.file);
  batch.Save();
  const auto made = batch.Make("deck.pdf");
  REQUIRE(made.ok());
  CHECK(made->anew == 1);
}

TEST_CASE(
    "Plan: previews, comparisons of two to six as even as can be, colours, an index with whole "
    "columns",
    "[present][closed-form]") {
  CHECK(EvenRuns(7, 6) == std::vector<size_t>{4, 3});
  CHECK(EvenRuns(6, 6) == std::vector<size_t>{6});
  CHECK(EvenRuns(13, 6) == std::vector<size_t>{5, 4, 4});
  CHECK(EvenRuns(0, 6).empty());
  std::vector<JobRecord> records(100);
  std::vector<PreviewScene> scenes(5);
  for (size_t i = 0; i < records.size(); ++i) {
    records[i].artwork = "variant " + std::to_string(i);
    scenes[i / 20].previews.push_back({&records[i], {}});
    scenes[i / 20].name = "scene " + std::to_string(i / 20);
  }
  const size_t rows = 28;
  const SlidePlan plan = PlanSlides(scenes, rows);
  size_t previews = 0, compared = 0, indexed = 0;
  for (const SlidePage& page : plan.pages) {
    previews += page.kind == SlidePage::kPreview ? 1 : 0;
    compared += page.kind == SlidePage::kComparison ? page.pictures.size() : 0;
    indexed += page.count;
  }
  CHECK(plan.pages.size() ==
        1 + 100 + 5 * 4 + 3);  // 20 compared are 4 pages; 105 + 5 rows and their gaps
  CHECK(previews == 100);
  CHECK(compared == 100);
  CHECK(indexed == plan.rows.size());
  for (size_t i = 0; i < plan.rows.size(); ++i) {
    const IndexRow& row = plan.rows[i];
    if (row.text.empty()) continue;
    const SlidePage& page = plan.pages.at(row.page - 1);
    if (page.kind == SlidePage::kPreview && !row.heads) {
      CHECK(row.text == page.preview->shown->artwork);
    }
    if (row.heads) CHECK(i % rows != rows - 1);
  }
}

TEST_CASE("Grid: the columns that make pictures largest", "[present][closed-form]") {
  // Two of 16:9 side by side are 116 mm wide, one above the other (150 - 6) / 2 - 13 mm high and 105 mm wide.
  const RectMm area{0, 0, 240, 150};
  const GridGaps gaps{8, 6, 13};
  CHECK(ColumnsFor(2, 16.0 / 9, area, gaps) == 2);
  CHECK(ColumnsFor(4, 16.0 / 9, area, gaps) == 2);
  CHECK(ColumnsFor(6, 16.0 / 9, area, gaps) == 3);
  CHECK(ColumnsFor(3, 2.0 / 3, area, gaps) == 3);
  CHECK(ColumnsFor(2, 8.0, area, gaps) == 1);
  CHECK(ColumnsFor(1, 1.0, area, gaps) == 1);
}

}  // namespace
}  // namespace wheatpaste

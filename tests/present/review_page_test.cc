#include "present/review_page.h"

#include <filesystem>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/base64.h"
#include "base/digest.h"
#include "output/write_picture.h"
#include "present/caption.h"
#include "present/review_files.h"
#include "support.h"

namespace wheatpaste {
namespace {

constexpr char kHostile[] = "\"><script>alert(1)</script><!-- {{data}} & \xff";

void WriteGray(const std::string& path, SizePx size, uint8_t code) {
  const Bytes row(static_cast<size_t>(size.width * 3), code);
  Bytes rows;
  PictureFacts facts;
  facts.size = size;
  REQUIRE(WritePicture(path, *PictureFormatOf(path), facts, [&](int64_t y0, int64_t y1) {
            rows.clear();
            for (int64_t y = y0; y < y1; ++y) rows.insert(rows.end(), row.begin(), row.end());
            return static_cast<const uint8_t*>(rows.data());
          }).ok());
}

JobRecord Record(const test::TempFolder& folder, const std::string& scene,
                 const std::string& artwork, const std::string& output, const std::string& ending,
                 uint8_t code) {
  JobRecord record;
  record.scene = scene;
  record.scene_title = "A wall";
  record.artwork = artwork;
  record.output = output;
  record.file = scene + "/" + artwork + "-" + output + "." + ending;
  record.done = true;
  record.size = {600, 300};
  record.ppi = 96;
  std::filesystem::create_directory(folder / scene);
  WriteGray(folder / record.file, record.size, code);
  record.sha256 = *Sha256OfFile(folder / record.file);
  return record;
}

// One scene of two artworks, the first also from a distance; one of a hostile title.
Manifest MakeBatch(const test::TempFolder& folder) {
  Manifest manifest{"wheatpaste 0.1.0", kHostile, "pitch.toml", {}, {}, false};
  JobRecord first = Record(folder, "wall", "mark", "slide", "jpg", 90);
  first.colourway = "clay";
  first.print_condition = "coated offset";
  first.placements = {{"poster", "mark", 180, 120.25, 3.5, {{300, 150}}}};
  JobRecord far = Record(folder, "wall", "mark", "street", "jpg", 91);
  far.colourway = "clay";
  far.from_metres = 8;
  JobRecord other = Record(folder, "wall", "lettered", "slide", "png", 120);
  JobRecord hostile = Record(folder, "box", "mark", "slide", "jpg", 150);
  hostile.scene_title = kHostile;
  hostile.warnings = {kHostile};
  hostile.notes = {"see /home/somebody/round one/mark.svg there"};
  manifest.jobs = {first, far, other, hostile};
  REQUIRE(WriteManifest(folder.path(), manifest).ok());
  return manifest;
}

// What stands between `open` and `close`, the first time.
std::string Between(const std::string& text, const std::string& open, const std::string& close) {
  const size_t from = text.find(open);
  REQUIRE(from != std::string::npos);
  const size_t begin = from + open.size();
  const size_t end = text.find(close, begin);
  REQUIRE(end != std::string::npos);
  return text.substr(begin, end - begin);
}

size_t Count(const std::string& text, const std::string& what) {
  size_t count = 0;
  for (size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++count;
  return count;
}

nlohmann::json DataOf(const std::string& page) {
  return test::ParseJson(
      Between(page, "<script type=\"application/json\" id=\"data\">", "</script>"));
}

TEST_CASE("Review page: data, grid and pictures of a batch", "[present][invariant]") {
  const test::TempFolder folder;
  const Manifest manifest = MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  ReviewOptions options;
  options.program = "wheatpaste 0.1.0";
  const auto written = WriteReviewPage(folder / "a.html", *set, options);
  REQUIRE(written.ok());
  CHECK(written->pictures == 3);
  CHECK(written->missing.empty());
  CHECK(written->notes.empty());

  const std::string page = test::ReadText(folder / "a.html");
  CHECK(static_cast<int64_t>(page.size()) == written->bytes);
  CHECK(Count(page, "<li class=\"preview\"") == 3);
  CHECK(page.find("poster 120") == std::string::npos);
  CHECK(page.find("180 × 120 mm, poster; print condition: coated offset; visualisation, not a "
                  "proof") != std::string::npos);
  const auto data = DataOf(page);
  REQUIRE(data["items"].size() == 3);
  CHECK(data["items"][0]["name"] == "mark, clay");
  CHECK(data["items"][0]["file"] == "wall/mark-slide.jpg");
  CHECK(data["items"][0]["sha256"] == manifest.jobs[0].sha256);
  CHECK(data["items"][0]["placements"][0]["px_per_mm"] == 3.5);
  REQUIRE(data["items"][0]["views"].size() == 1);
  CHECK(data["items"][0]["views"][0]["label"] == "from 8 m");
  CHECK(data["items"][0]["picture"]["width"] == 600);
  // A JPEG is in the page byte for byte; PNG becomes one.
  const auto bytes = ReadWholeFile({folder / "wall/mark-slide.jpg", {"x"}, ""}, 1 << 20);
  REQUIRE(bytes.ok());
  const std::string id = data["items"][0]["picture"]["id"];
  CHECK(Between(page, "<script type=\"text/plain\" id=\"" + id + "\">", "</script>") ==
        Base64Of(bytes->data(), bytes->size()));
  CHECK(Count(page, "<script type=\"text/plain\"") == 4);

  // The same bytes every time, and the same id; other pictures, another id.
  REQUIRE(WriteReviewPage(folder / "b.html", *set, options).ok());
  CHECK(test::ReadText(folder / "b.html") == page);
  WriteGray(folder / "box/mark-slide.jpg", {600, 300}, 151);
  const auto changed = WriteReviewPage(folder / "b.html", *set, options);
  REQUIRE(changed.ok());
  REQUIRE(changed->missing.size() == 1);
  CHECK(changed->missing[0] ==
        "box/mark-slide.jpg: has changed since the batch was made; run the batch again");
  CHECK(DataOf(test::ReadText(folder / "b.html"))["review"] != data["review"]);
}

// Source  Content Security Policy Level 3 (W3C), 2.3.1: the base64 of the SHA-256 of the element's text; here by
//         another program, openssl.
TEST_CASE("Review page: the policy names the page's own script and style", "[present][published]") {
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  REQUIRE(WriteReviewPage(folder / "a.html", *set, {}).ok());
  const std::string page = test::ReadText(folder / "a.html");
  const std::string policy =
      Between(page, "http-equiv=\"Content-Security-Policy\" content=\"", "\"");
  CHECK(policy.starts_with("default-src 'none'; img-src data: blob:; "));
  for (const std::string_view text : {kReviewStyle, kReviewScript}) {
    CHECK(page.find(text) != std::string::npos);
    test::WriteText(folder / "part", std::string(text));
    const auto said =
        test::Run("openssl dgst -sha256 -binary '" + (folder / "part") + "' | openssl base64");
    REQUIRE(said.status == 0);
    CHECK(policy.find("'sha256-" + said.out.substr(0, 44) + "'") != std::string::npos);
  }
  // Nothing in them would end their elements early.
  CHECK(kReviewScript.find("</script") == std::string_view::npos);
  CHECK(kReviewScript.find("<!--") == std::string_view::npos);
  CHECK(kReviewStyle.find("</style") == std::string_view::npos);
  CHECK(page.find("http://") == std::string::npos);
  CHECK(page.find("https://") == std::string::npos);
}

TEST_CASE("Review page: hostile names stay text", "[present][bad-input]") {
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  REQUIRE(WriteReviewPage(folder / "a.html", *set, {}).ok());
  const std::string page = test::ReadText(folder / "a.html");
  CHECK(page.find("<script>alert") == std::string::npos);
  CHECK(page.find("\"><script") == std::string::npos);
  CHECK(Count(page, "<!-- {{data}}") == 0);
  CHECK(page.find("&quot;&gt;&lt;script&gt;alert(1)") != std::string::npos);
  const auto data = DataOf(page);
  CHECK(page.find("somebody") == std::string::npos);
  CHECK(data["items"][2]["warnings"][0].get<std::string>().starts_with("\"><script>alert(1)"));
  // As many scripts as the page has itself: its own, the data, four pictures.
  CHECK(Count(page, "</script>") == 6);
}

TEST_CASE("Review page: linked pictures lie beside it, old ones go", "[present][invariant]") {
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  ReviewOptions options;
  options.linked = true;
  std::filesystem::create_directory(folder / "a #1-pictures");
  const std::string old = folder / "a #1-pictures/0123456789abcdef0123.jpg";
  const std::string foreign = folder / "a #1-pictures/notes.jpg";
  for (const std::string& path : {old, foreign}) test::WriteText(path, "x");
  REQUIRE(WriteReviewPage(folder / "a #1.html", *set, options).ok());
  const std::string page = test::ReadText(folder / "a #1.html");
  CHECK(Count(page, "<script type=\"text/plain\"") == 0);
  const auto data = DataOf(page);
  const std::string src = data["items"][0]["picture"]["src"];
  CHECK(src.starts_with("a%20%231-pictures/"));
  const std::string beside = folder / ("a #1-pictures/" + src.substr(src.find('/') + 1));
  CHECK(*Sha256OfFile(beside) == data["items"][0]["sha256"]);
  CHECK_FALSE(std::filesystem::exists(old));
  CHECK(std::filesystem::exists(foreign));
}

TEST_CASE("Review page: pictures that are gone are named, none at all is an error",
          "[present][bad-input]") {
  const test::TempFolder folder;
  const Manifest manifest = MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  std::filesystem::remove(folder / "wall/lettered-slide.png");
  const auto written = WriteReviewPage(folder / "a.html", *set, {});
  REQUIRE(written.ok());
  CHECK(written->pictures == 2);
  REQUIRE(written->missing.size() == 1);
  CHECK(written->missing[0].starts_with("wall/lettered-slide.png: cannot open"));
  for (const JobRecord& record : manifest.jobs) std::filesystem::remove(folder / record.file);
  CHECK_FALSE(WriteReviewPage(folder / "c.html", *set, {}).ok());
  CHECK_FALSE(std::filesystem::exists(folder / "c.html"));
  CHECK_FALSE(WriteReviewPage(folder / "none/c.html", *set, {}).ok());
}

TEST_CASE("Without folders: paths lose where they lie, other slashes stay",
          "[present][closed-form]") {
  CHECK(WithoutFolders("cannot read \"/home/a b/art/mark.svg\", see (x/y.png)") ==
        "cannot read \"mark.svg\", see (y.png)");
  CHECK(WithoutFolders("3.5 px/mm, black and/or white; /tmp/mark") ==
        "3.5 px/mm, black and/or white; mark");
  CHECK(WithoutFolders("").empty());
}

TEST_CASE("Preview set: the output that is asked for, else the best to pass on",
          "[present][closed-form]") {
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  REQUIRE(set->scenes.size() == 2);
  CHECK(set->scenes[0].previews.size() == 2);
  CHECK(set->scenes[0].previews[0].views.size() == 1);
  CHECK(set->scenes[0].previews[0].shown->output == "slide");
  const auto none = ReadPreviewSet(folder.path(), "board");
  REQUIRE_FALSE(none.ok());
  CHECK(FormatError(none.errors()[0]) ==
        "--output board: error: expected the name of an output that the batch made");
  const test::TempFolder empty;
  CHECK_FALSE(ReadPreviewSet(empty.path(), {}).ok());
}

}  // namespace
}  // namespace wheatpaste

// Contact sheets and sheets of answers as files, by eyes not our own: qpdf, poppler, ImageMagick, pngcheck.
#include "present/contact_sheet.h"

#include <filesystem>

#include <catch2/catch.hpp>

#include "base/digest.h"
#include "base/parallel.h"
#include "must_run.h"
#include "output/write_picture.h"
#include "present/answers_sample.h"
#include "present/answers_sheet.h"
#include "present/caption.h"
#include "present/read_answers.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::MustRun;

constexpr char kHostile[] = "\"><script>alert(1)</script> & <b>";

bool Has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

JobRecord Record(const test::TempFolder& folder, const std::string& scene,
                 const std::string& artwork, SizePx size, uint8_t code) {
  JobRecord record;
  record.scene = scene;
  record.scene_title = "The " + scene;
  record.artwork = artwork;
  record.output = "page";
  record.file = scene + "/" + artwork + "-page.jpg";
  record.done = true;
  record.size = size;
  record.ppi = 96;
  std::filesystem::create_directory(folder / scene);
  const Bytes rows(static_cast<size_t>(size.area() * 3), code);
  PictureFacts facts;
  facts.size = size;
  REQUIRE(WritePicture(folder / record.file, PictureFormat::kJpeg, facts, [&](int64_t y0, int64_t) {
            return rows.data() + y0 * size.width * 3;
          }).ok());
  record.sha256 = *Sha256OfFile(folder / record.file);
  return record;
}

// Two scenes, one upright; three artworks.
Manifest MakeBatch(const test::TempFolder& folder) {
  Manifest manifest{"wheatpaste 0.1.0", kHostile, "pitch.toml", {}, {}, false};
  for (const char* const artwork : {"lettered", "plain", "seal"}) {
    const auto code = static_cast<uint8_t>(40 * (artwork[0] % 5) + 40);
    manifest.jobs.push_back(Record(folder, "tote", artwork, {640, 360}, code));
    manifest.jobs.push_back(Record(folder, "carton", artwork, {360, 640}, code));
  }
  manifest.jobs[0].colourway = "clay";
  manifest.jobs[1].print_condition = "coated offset";
  manifest.jobs[1].placements = {{"front", "mark", 180, 120.25, 3.5, {}}};
  REQUIRE(WriteManifest(folder.path(), manifest).ok());
  return manifest;
}

ContactSheetOptions OptionsOf(SheetOrder order) {
  ContactSheetOptions options;
  options.theme = *ReadTheme(std::nullopt, test::SourcePath(""));
  options.order = order;
  options.program = "wheatpaste";
  return options;
}

TEST_CASE("Contact sheet: a whole PDF with captions, headings and outline, however sorted",
          "[present][reference]") {
  // Source  qpdf --check, pdftotext, pdfimages (poppler).
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  const std::string pdf = folder / "sheet.pdf";
  const auto text_of = [&](SheetOrder order) {
    const auto made = WriteContactSheet(*set, OptionsOf(order), pdf);
    REQUIRE(made.ok());
    CHECK(made->pages == 1);
    CHECK(made->pictures == 6);
    CHECK(made->missing.empty());
    MustRun("qpdf --check '" + pdf + "'");
    return MustRun("pdftotext -layout '" + pdf + "' -");
  };
  std::string text = text_of(SheetOrder::kScene);
  for (const char* const part :
       {kHostile, "6 pictures in 2 scenes", "The tote", "The carton", "lettered, clay", "plain",
        "seal", "180 × 120 mm", "coated offset", "colours as on screen", kNotAProof}) {
    INFO(part);
    CHECK(Has(text, part));
  }
  CHECK(Has(text_of(SheetOrder::kArtwork), "The tote, clay"));
  text = text_of(SheetOrder::kColourway);
  CHECK(Has(text, "as drawn"));
  CHECK(Has(text, "lettered: The tote"));
  // Reduced to their place and never enlarged: every picture, as a JPEG.
  const std::string images = MustRun("pdfimages -list '" + pdf + "'");
  size_t jpegs = 0;
  for (size_t at = 0; (at = images.find(" jpeg ", at)) != std::string::npos; ++at) ++jpegs;
  CHECK(jpegs == 6);
}

TEST_CASE("Contact sheet: the same bytes for any number of threads", "[present][invariant]") {
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  for (const char* const name : {"a.pdf", "a.png"}) {
    std::string bytes[2];
    for (const int threads : {1, 3}) {
      const ThreadLimit limit(threads);
      REQUIRE(WriteContactSheet(*set, OptionsOf(SheetOrder::kScene), folder / name).ok());
      bytes[threads / 2] = test::ReadText(folder / name);
    }
    CHECK(bytes[0] == bytes[1]);
  }
}

TEST_CASE("Contact sheet: one picture of the width that was asked for", "[present][reference]") {
  // Source  pngcheck; ImageMagick's identify.
  const test::TempFolder folder;
  MakeBatch(folder);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  ContactSheetOptions options = OptionsOf(SheetOrder::kScene);
  options.page = SizeMm{254, 100};
  options.ppi = Ppi{100};
  const auto made = WriteContactSheet(*set, options, folder / "a.png");
  REQUIRE(made.ok());
  MustRun("pngcheck '" + folder / "a.png" + "'");
  CHECK(Has(MustRun("/usr/bin/identify -format '%m %w %[colorspace]' '" + folder / "a.png" + "'"),
            "PNG 1000 sRGB"));
  REQUIRE(WriteContactSheet(*set, options, folder / "a.jpg").ok());
  CHECK(Has(MustRun("/usr/bin/identify -format '%m %w' '" + folder / "a.jpg" + "'"), "JPEG 1000"));
  options.columns = 40;
  const auto refused = WriteContactSheet(*set, options, folder / "b.png");
  REQUIRE_FALSE(refused.ok());
  CHECK(FormatError(refused.errors()[0]) ==
        "--columns 40: error: expected columns of at least 12 mm on this page");
}

TEST_CASE("Contact sheet: pictures that are missing, damaged or changed are named",
          "[present][bad-input]") {
  const test::TempFolder folder;
  MakeBatch(folder);
  std::filesystem::remove(folder / "tote/plain-page.jpg");
  test::WriteText(folder / "tote/seal-page.jpg", "no picture");
  std::filesystem::copy_file(folder / "carton/seal-page.jpg", folder / "carton/plain-page.jpg",
                             std::filesystem::copy_options::overwrite_existing);
  const auto set = ReadPreviewSet(folder.path(), {});
  REQUIRE(set.ok());
  const auto made = WriteContactSheet(*set, OptionsOf(SheetOrder::kScene), folder / "sheet.pdf");
  REQUIRE(made.ok());
  REQUIRE(made->missing.size() == 3);
  CHECK(made->missing[0] ==
        "carton/plain-page.jpg: has changed since the batch was made; run the batch again");
  CHECK(made->missing[1] == "tote/plain-page.jpg: cannot open, no such file");
  CHECK(Has(made->missing[2], "tote/seal-page.jpg: "));
  CHECK(Has(MustRun("pdftotext '" + folder / "sheet.pdf" + "' -"), "picture missing"));
}

TEST_CASE("Sheet of answers: the list's numbers and every word of it, as text",
          "[present][reference]") {
  // Source  qpdf --check, pdftotext (poppler).
  const test::TempFolder folder;
  const Manifest manifest = MakeBatch(folder);
  nlohmann::json json = test::AnswersJson();
  json["items"] = {test::ItemJson("tote/lettered-page.jpg", "change"),
                   test::ItemJson("carton/plain-page.jpg", "approved"),
                   test::ItemJson("gone/plain-page.jpg", "approved")};
  json["items"][0]["sha256"] = manifest.jobs[0].sha256;
  json["items"][1]["sha256"] = manifest.jobs[3].sha256;
  // A comment as long as may be: it goes on over pages, and nothing of it is cut.
  std::string words;
  for (int i = 0; words.size() + 8 < kMaxTextCharacters; ++i)
    words += "w" + std::to_string(i) + " ";
  json["items"][0]["pins"] = {test::PinJson("pin-0001", kHostile), test::PinJson("pin-0002", words),
                              test::PinJson("pin-0003", std::string(3000, 'x') + "\n\nend")};
  const auto answers = ParseAnswers(json.dump(), "a.json");
  REQUIRE(answers.ok());
  AnswerRecord record;
  AddAnswers(record, *answers);
  const AnswerList list = ListAnswers(record, manifest);
  const auto made =
      WriteAnswersSheet(folder.path(), "Round one", list, OptionsOf(SheetOrder::kScene).theme,
                        "wheatpaste", folder / "a.pdf");
  REQUIRE(made.ok());
  CHECK(made->missing.empty());
  CHECK(made->pages > 2);
  MustRun("qpdf --check '" + folder / "a.pdf" + "'");
  const std::string text = MustRun("pdftotext '" + folder / "a.pdf" + "' -");
  for (const char* const part :
       {"Round one", "Anna Berg", "Warm,", kHostile, "change wanted", "approved", "end", "The tote",
        "The carton", "Pictures that the batch does not have", "gone/plain-page.jpg",
        "1 to change, 1 approved, 1 of pictures that the batch does not have", kNotAProof}) {
    INFO(part);
    CHECK(Has(text, part));
  }
  std::string plain = " ";
  for (const char c : text) plain += c == '\n' || c == '\f' ? ' ' : c;
  const int last = std::stoi(words.substr(words.rfind('w') + 1));
  for (int i = 0; i <= last; ++i) {
    INFO(i);
    REQUIRE(Has(plain, " w" + std::to_string(i) + " "));
  }
  CHECK(static_cast<size_t>(std::count(text.begin(), text.end(), 'x')) >= 3000);
  // Each number stands on its picture and at its text.
  for (const char* const number : {" 1 ", " 2 ", " 3 "}) {
    const size_t first = plain.find(number);
    REQUIRE(first != std::string::npos);
    CHECK(plain.find(number, first + 1) != std::string::npos);
  }
}

}  // namespace
}  // namespace wheatpaste

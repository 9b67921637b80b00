#include "present/review_page.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <mutex>
#include <set>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/base64.h"
#include "base/check.h"
#include "base/digest.h"
#include "base/parallel.h"
#include "base/plain_text.h"
#include "batch/batch_folder.h"
#include "batch/json_values.h"
#include "present/caption.h"
#include "present/review_files.h"
#include "present/review_text.h"

namespace wheatpaste {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr size_t kMaxTextCharacters = 1000;
constexpr int kThumbnailQuality = 80;

std::string Text(const std::string& text) { return XmlText(text, kMaxTextCharacters); }
std::string Attribute(const std::string& text) { return AttributeText(text, kMaxTextCharacters); }

// One picture of the page.
struct PagePicture {
  std::string id;
  SizePx size;
  double scale = 1;    // px of it per px of the batch's file
  Bytes inside;        // of a page that holds it
  std::string beside;  // or its name, relative to the page
};

Json JsonOf(const PagePicture& picture) {
  Json json{{"width", picture.size.width},
            {"height", picture.size.height},
            {"scale", picture.scale},
            {"type", "image/jpeg"}};
  if (picture.beside.empty()) {
    json["id"] = picture.id;
  } else {
    json["src"] = picture.beside;
  }
  return json;
}

Json PlacementsOf(const JobRecord& record) {
  Json placements = Json::array();
  for (const PlacedRecord& placed : record.placements) {
    placements.push_back({{"surface", placed.surface},
                          {"artwork", WithoutFolders(placed.artwork)},
                          {"width_mm", ValueOrNull(placed.width_mm)},
                          {"height_mm", ValueOrNull(placed.height_mm)},
                          {"px_per_mm", ValueOrNull(placed.px_per_mm)},
                          {"centre_px", ValueOrNull(placed.centre_px)}});
  }
  return placements;
}

Json ForOthers(const std::vector<std::string>& texts) {
  Json json = Json::array();
  for (const std::string& text : texts) json.push_back(WithoutFolders(text));
  return json;
}

std::string FactsOf(const JobRecord& record) {
  const std::string sizes = SizesOf(record);
  return (sizes.empty() ? "" : sizes + "; ") + ConditionOf(record) + "; " + kNotAProof;
}

class PageWriter {
 public:
  PageWriter(const std::string& out, const PreviewSet& set, const ReviewOptions& options)
      : out_(out), set_(set), options_(options) {
    if (options.linked) {
      pictures_name_ = fs::path(out).stem().string() + "-pictures";
      pictures_folder_ = JoinPath(FolderOf(out), pictures_name_);
    }
  }

  Result<ReviewWritten> Write() {
    if (options_.linked) {
      if (auto made = MakeFolder(pictures_folder_); !made) return made.errors();
    }
    if (auto read = ReadPictures(); !read) return read.errors();
    AddScenes();
    if (items_.empty()) {
      return Error{
          {PrintableText(set_.folder)},
          "",
          "none of its pictures can be read: " +
              (written_.missing.empty() ? std::string("there is none") : written_.missing.front())};
    }
    auto bytes = WritePage();
    if (!bytes) return bytes.errors();
    written_.bytes = *bytes;
    written_.pictures = items_.size();
    if (options_.linked) RemoveOldPictures();
    if (!options_.linked && written_.bytes > kMailBytes) {
      written_.notes.push_back(fmt::format(
          "the page is {:.0f} MB, more than many mail servers take; --linked puts its pictures "
          "beside it, or let the run sheet have a smaller output and name it with --output",
          static_cast<double>(written_.bytes) / 1e6));
    }
    return std::move(written_);
  }

 private:
  struct Loaded {
    PagePicture picture;
    Bytes thumbnail;
    Errors unread, unwritten;
  };

  // A JPEG into the page or its folder.
  Status Place(JpegPicture jpeg, PagePicture& picture) {
    picture.size = jpeg.size;
    if (!options_.linked) {
      picture.inside = std::move(jpeg.bytes);
      return Done{};
    }
    const std::string name = Sha256Of(jpeg.bytes.data(), jpeg.bytes.size()).substr(0, 20) + ".jpg";
    picture.beside = UrlOfName(pictures_name_) + "/" + name;
    {
      const std::lock_guard lock(names_lock_);
      if (!names_.insert(name).second) return Done{};
    }
    return WriteWholeFile(JoinPath(pictures_folder_, name),
                          {reinterpret_cast<const char*>(jpeg.bytes.data()), jpeg.bytes.size()});
  }

  JpegLimits Limits() const {
    JpegLimits limits;
    limits.max_side_px = options_.linked ? kLinkedSidePx : kInsideSidePx;
    limits.quality = 92;
    return limits;
  }

  void Load(const JobRecord& record, Loaded& loaded) {
    const auto file = PictureFile::Read(set_.folder, record);
    if (!file) {
      loaded.unread = file.errors();
      return;
    }
    if (!IsView(record)) {
      loaded.thumbnail = file->Jpeg({.max_side_px = kThumbnailSidePx,
                                     .quality = kThumbnailQuality,
                                     .always_anew = true})
                             .bytes;
    }
    JpegPicture large = file->Jpeg(Limits());
    loaded.picture.scale =
        static_cast<double>(large.size.width) / static_cast<double>(file->size().width);
    if (auto placed = Place(std::move(large), loaded.picture); !placed) {
      loaded.unwritten = placed.errors();
    }
  }

  // All pictures, side by side.
  Status ReadPictures() {
    std::vector<const JobRecord*> wanted;
    for (const PreviewScene& scene : set_.scenes) {
      const auto records = RecordsOf(scene);
      wanted.insert(wanted.end(), records.begin(), records.end());
    }
    std::vector<Loaded> loaded(wanted.size());
    ParallelFor(static_cast<int64_t>(wanted.size()), [&](int64_t i) {
      const auto at = static_cast<size_t>(i);
      Load(*wanted[at], loaded[at]);
    });
    for (size_t i = 0; i < wanted.size(); ++i) {
      if (!loaded[i].unwritten.empty()) return loaded[i].unwritten;
      for (const Error& error : loaded[i].unread) {
        written_.missing.push_back(wanted[i]->file + ": " + error.message);
      }
      loaded_.emplace(wanted[i], std::move(loaded[i]));
    }
    return Done{};
  }

  const Loaded* Find(const JobRecord* record) const {
    const auto found = loaded_.find(record);
    return found == loaded_.end() || !found->second.unread.empty() ? nullptr : &found->second;
  }

  // Gives the picture its number among those inside the page.
  Json Number(PagePicture picture) {
    if (picture.beside.empty()) picture.id = fmt::format("p{}", inside_.size());
    Json json = JsonOf(picture);
    if (picture.beside.empty()) inside_.push_back(std::move(picture.inside));
    return json;
  }

  Json BlankOf(const PreviewScene& scene) {
    auto blank = options_.blank ? options_.blank(scene, Limits()) : std::optional<JpegPicture>();
    if (!blank) return {};
    PagePicture picture;
    if (auto placed = Place(*std::move(blank), picture); !placed) return {};
    return Number(std::move(picture));
  }

  Json ViewsOf(const Preview& preview) {
    Json views = Json::array();
    for (const JobRecord* const view : preview.views) {
      const Loaded* const loaded = Find(view);
      if (loaded == nullptr) continue;
      views.push_back({{"label", ViewOf(*view)},
                       {"from_metres", ValueOrNull(view->from_metres)},
                       {"vision", TextOrNull(view->vision)},
                       {"file", view->file},
                       {"sha256", view->sha256},
                       {"picture", Number(loaded->picture)}});
    }
    return views;
  }

  void AddScenes() {
    for (const PreviewScene& scene : set_.scenes) {
      std::string previews;
      const size_t index = scenes_.size();
      const std::string& title = TitleOf(scene);
      for (const Preview& preview : scene.previews) {
        const JobRecord& record = *preview.shown;
        const Loaded* const loaded = Find(&record);
        if (loaded == nullptr) continue;
        const std::string alt = NameOf(record) + " on " + title;
        const SizePx thumbnail = Within(record.size, kThumbnailSidePx);
        previews += fmt::format(
            "<li class=\"preview\" id=\"item-{0}\"><a href=\"#view-{0}\" class=\"open\"><img "
            "src=\"{1}\" width=\"{2}\" height=\"{3}\" alt=\"{4}\" loading=\"lazy\" "
            "decoding=\"async\"></a><p class=\"name\">{5}</p><p class=\"facts\">{6}</p></li>\n",
            items_.size(), JpegUrl(loaded->thumbnail), thumbnail.width, thumbnail.height,
            Attribute(alt), Text(NameOf(record)), Text(FactsOf(record)));
        items_.push_back({{"scene", index},
                          {"artwork", record.artwork},
                          {"colourway", ValueOrNull(record.colourway)},
                          {"name", NameOf(record)},
                          {"file", record.file},
                          {"sha256", record.sha256},
                          {"alt", alt},
                          {"picture", Number(loaded->picture)},
                          {"views", ViewsOf(preview)},
                          {"placements", PlacementsOf(record)},
                          {"condition", TextOrNull(record.print_condition)},
                          {"warnings", ForOthers(record.warnings)},
                          {"notes", ForOthers(record.notes)}});
      }
      if (previews.empty()) continue;
      grid_ += fmt::format(
          "<section class=\"scene\" aria-labelledby=\"scene-{0}\"><h2 id=\"scene-{0}\">{1}</h2><ul "
          "class=\"previews\">\n{2}</ul></section>\n",
          index, Text(title), previews);
      scenes_.push_back({{"name", scene.name}, {"title", title}, {"blank", BlankOf(scene)}});
    }
  }

  // The same pictures under the same title are the same review.
  std::string ReviewId() const {
    Sha256 digest;
    digest.AddText(set_.manifest.title);
    for (const Json& item : items_) {
      for (const char* const key : {"file", "sha256"}) digest.AddText(item[key].get<std::string>());
    }
    return digest.Hex();
  }

  Result<int64_t> WritePage() {
    const std::string title = set_.manifest.title.empty() ? "Review" : set_.manifest.title;
    const Json data{{"format", "wheatpaste review 1"},
                    {"review", ReviewId()},
                    {"title", title},
                    {"program", options_.program},
                    {"linked", options_.linked},
                    {"scenes", scenes_},
                    {"items", items_}};
    auto file = PendingFile::Create(out_);
    if (!file) return file.errors();
    Errors errors;
    const auto put = [&](std::string_view text) {
      if (!errors.empty()) return;
      if (auto written = file->Write(text.data(), text.size()); !written) errors = written.errors();
    };
    const std::map<std::string_view, std::function<void()>> places = {
        {"title", [&] { put(Text(title)); }},
        {"policy",
         [&] { put(Attribute(ReviewPolicy(kReviewStyle, kReviewScript, options_.linked))); }},
        {"style", [&] { put(kReviewStyle); }},
        {"script", [&] { put(kReviewScript); }},
        {"scenes", [&] { put(grid_); }},
        {"data",
         [&] { put(ScriptJson(data.dump(-1, ' ', false, Json::error_handler_t::replace))); }},
        {"pictures", [&] {
           for (size_t i = 0; i < inside_.size(); ++i) {
             put(fmt::format("<script type=\"text/plain\" id=\"p{}\">", i));
             put(Base64Of(inside_[i].data(), inside_[i].size()));
             put("</script>\n");
           }
         }}};
    std::string_view rest = kReviewPage;
    for (size_t open = rest.find("{{"); open != std::string_view::npos; open = rest.find("{{")) {
      const size_t close = rest.find("}}", open);
      WHEATPASTE_CHECK(close != std::string_view::npos);
      const auto place = places.find(rest.substr(open + 2, close - open - 2));
      WHEATPASTE_CHECK(place != places.end());
      put(rest.substr(0, open));
      place->second();
      rest.remove_prefix(close + 2);
    }
    put(rest);
    if (!errors.empty()) return errors;
    return file->Commit();
  }

  // Pictures of earlier pages: files of the names that Place gives, which this page has not.
  void RemoveOldPictures() {
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(pictures_folder_, ignored)) {
      const std::string name = entry.path().filename().string();
      const bool ours = name.size() == 24 && name.ends_with(".jpg") &&
                        name.find_first_not_of("0123456789abcdef") == 20;
      if (ours && !names_.contains(name)) fs::remove(entry.path(), ignored);
    }
  }

  const std::string& out_;
  const PreviewSet& set_;
  const ReviewOptions& options_;
  std::string pictures_name_, pictures_folder_;  // where linked
  std::map<const JobRecord*, Loaded> loaded_;
  std::mutex names_lock_;
  std::set<std::string> names_;  // of pictures beside the page
  std::string grid_;
  Json scenes_ = Json::array(), items_ = Json::array();
  std::vector<Bytes> inside_;
  ReviewWritten written_;
};

}  // namespace

Result<ReviewWritten> WriteReviewPage(const std::string& out, const PreviewSet& set,
                                      const ReviewOptions& options) {
  return PageWriter(out, set, options).Write();
}

}  // namespace wheatpaste

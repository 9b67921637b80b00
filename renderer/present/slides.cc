#include "present/slides.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/files.h"
#include "base/parallel.h"
#include "present/caption.h"
#include "present/jpeg_picture.h"
#include "present/pdf_pages.h"
#include "present/slides_caption.h"
#include "present/slides_look.h"
#include "present/slides_pages.h"
#include "present/slides_plan.h"

namespace wheatpaste {
namespace {

// Runs `work` on every record that the scenes show, on several threads.
template <typename Work>
void ForEachRecord(const std::vector<const JobRecord*>& records, const Work& work) {
  ParallelFor(static_cast<int64_t>(records.size()),
              [&](int64_t i) { work(static_cast<size_t>(i)); });
}

// The set's scenes without pictures that are missing or changed; these are named in `missing`.
std::vector<PreviewScene> TrustedScenes(const PreviewSet& set, std::vector<std::string>& missing) {
  std::vector<PreviewScene> scenes;
  for (const PreviewScene& scene : set.scenes) {
    const auto records = RecordsOf(scene);
    std::vector<std::string> complaints(records.size());
    ForEachRecord(records, [&](size_t i) {
      const auto digest = Sha256OfFile(JoinPath(set.folder, records[i]->file));
      if (!digest) {
        complaints[i] = digest.errors().front().message;
      } else if (*digest != records[i]->sha256) {
        complaints[i] = kPictureChanged;
      }
    });
    std::map<const JobRecord*, bool> trusted;
    for (size_t i = 0; i < records.size(); ++i) {
      trusted[records[i]] = complaints[i].empty();
      if (!complaints[i].empty()) {
        missing.push_back(PrintableText(records[i]->file) + ": " + complaints[i]);
      }
    }
    PreviewScene kept{scene.name, scene.title, {}};
    for (const Preview& preview : scene.previews) {
      if (!trusted[preview.shown]) continue;
      Preview with_views{preview.shown, {}};
      std::copy_if(preview.views.begin(), preview.views.end(), std::back_inserter(with_views.views),
                   [&](const JobRecord* view) { return trusted[view]; });
      kept.previews.push_back(std::move(with_views));
    }
    if (!kept.previews.empty()) scenes.push_back(std::move(kept));
  }
  return scenes;
}

JpegLimits LimitsFor(const std::vector<PreviewScene>& scenes, size_t pages) {
  int64_t bytes = 0;
  for (const PreviewScene& scene : scenes) {
    for (const JobRecord* const record : RecordsOf(scene)) bytes += record->bytes;
  }
  JpegLimits limits;
  limits.only_srgb = true;  // cairo's PDF passes over a JPEG's profile
  limits.max_side_px = kMostSidePx;
  if (bytes > kMostBytesAPage * static_cast<int64_t>(pages)) {
    limits.max_bytes = kMostBytesAPage;
  }
  return limits;
}

// The pictures of one scene, as the deck holds them.
class ScenePictures {
 public:
  // errors  the first picture that cannot be read.
  static Result<ScenePictures> Read(const std::string& folder, const PreviewScene& scene,
                                    const JpegLimits& limits) {
    const auto records = RecordsOf(scene);
    std::vector<std::optional<Result<JpegPicture>>> read(records.size());
    ForEachRecord(records, [&](size_t i) { read[i] = ReadOne(folder, *records[i], limits); });
    ScenePictures pictures;
    for (size_t i = 0; i < records.size(); ++i) {
      if (!*read[i]) return read[i]->errors();
      pictures.by_record_.emplace(records[i], **std::move(read[i]));
    }
    return pictures;
  }

  const JpegPicture& Of(const JobRecord& record) const { return by_record_.at(&record); }
  size_t count() const { return by_record_.size(); }
  size_t anew() const {
    return static_cast<size_t>(
        std::count_if(by_record_.begin(), by_record_.end(),
                      [](const auto& entry) { return !entry.second.as_it_is; }));
  }

 private:
  static Result<JpegPicture> ReadOne(const std::string& folder, const JobRecord& record,
                                     const JpegLimits& limits) {
    const auto file = PictureFile::Read(folder, record);
    if (!file) return file.errors();
    JpegLimits smaller = limits;
    smaller.max_side_px = kReducedSidePx;
    if (record.bytes <= limits.max_bytes) {
      JpegPicture jpeg = file->Jpeg(limits);
      if (static_cast<int64_t>(jpeg.bytes.size()) <= limits.max_bytes) return jpeg;
    }
    return file->Jpeg(smaller);
  }
  std::map<const JobRecord*, JpegPicture> by_record_;
};

// Draws the deck's pages, a scene's pictures in memory at a time.
Status DrawPages(const PreviewSet& set, Deck& deck, const JpegLimits& limits, PdfPages& pdf,
                 SlidesMade& made) {
  std::optional<ScenePictures> pictures;
  deck.picture_of = [&pictures](const JobRecord& record) -> const JpegPicture& {
    return pictures->Of(record);
  };
  const PreviewScene* scene = nullptr;
  SlidePage::Kind last = SlidePage::kTitle;
  int scene_entry = 0;
  for (const SlidePage& what : deck.plan.pages) {
    const bool new_scene = what.scene != nullptr && what.scene != scene;
    if (new_scene) {
      scene = what.scene;
      auto read = ScenePictures::Read(set.folder, *scene, limits);
      if (!read) return read.errors();
      made.pictures += read->count();
      made.anew += read->anew();
      pictures.reset();
      pictures.emplace(*std::move(read));
    }
    DrawSlide(pdf.NewPage(deck.look.page()), deck, what);
    if (new_scene) scene_entry = pdf.AddOutline(TitleOf(*scene));
    if (what.kind == SlidePage::kPreview) {
      pdf.AddOutline(NameOf(*what.preview->shown), scene_entry);
    } else if (what.kind == SlidePage::kComparison && last != what.kind) {
      pdf.AddOutline("Compared", scene_entry);
    } else if (what.kind == SlidePage::kColours && last != what.kind) {
      pdf.AddOutline("Colours");
    } else if (what.kind == SlidePage::kIndex && last != what.kind) {
      pdf.AddOutline("Index");
    }
    last = what.kind;
  }
  return Done{};
}

}  // namespace

Result<SlidesMade> WriteSlides(const PreviewSet& set, const SlideOptions& options,
                               const std::string& path) {
  SlidesMade made;
  const std::vector<PreviewScene> scenes = TrustedScenes(set, made.missing);
  if (scenes.empty()) {
    Errors errors;
    for (const std::string& what : made.missing) {
      errors.push_back({{PrintableText(set.folder)}, "", what});
    }
    return errors;
  }
  const SlideLook look(options.theme, options.page);
  const SlidePlan plan = PlanSlides(scenes, IndexRows(look));
  Deck deck{look, plan, scenes, TitleOf(set.manifest), options.logo ? &*options.logo : nullptr, {}};
  auto pdf = PdfPages::Create(path, {deck.title, kNotAProof, options.program});
  if (!pdf) return pdf.errors();
  const JpegLimits limits = LimitsFor(scenes, plan.pages.size());
  if (const Status drawn = DrawPages(set, deck, limits, *pdf, made); !drawn) return drawn.errors();
  const auto bytes = pdf->Finish();
  if (!bytes) return bytes.errors();
  made.pages = plan.pages.size();
  made.bytes = *bytes;
  return made;
}

}  // namespace wheatpaste

#include "batch/run_batch.h"

#include <algorithm>
#include <filesystem>
#include <mutex>
#include <optional>
#include <set>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/files.h"
#include "base/run_jobs.h"
#include "batch/batch_folder.h"
#include "batch/kept_scenes.h"
#include "batch/make_job.h"
#include "batch/preview_file.h"
#include "batch/recipe.h"
#include "composite/memory_for.h"

namespace wheatpaste {
namespace {

// Of a scene's photo being read and its geometry solved.
constexpr int64_t kSolvingBytes = int64_t{256} << 20;

// Jobs of one scene that share a size.
struct SizeWork {
  PictureWish wish;
  int64_t memory_bytes = 0;  // of one picture with all that it is made from
  std::vector<size_t> jobs;  // numbers in the plan
  size_t next = 0, ended = 0;
  enum { kNew, kPreparing, kPrepared } state = kNew;
  std::shared_ptr<const ReadyScene> ready;
};

struct SceneWork {
  size_t scene = 0;
  std::vector<size_t> jobs;
  enum { kNew, kSolving, kSolved } state = kNew;
  std::shared_ptr<const SolvedInput> solved;
  std::vector<SizeWork> sizes;
  size_t size = 0;  // that is at work
};

// WebP alone holds the whole picture while it is encoded: 12 bytes a px, measured at 140 million px.
int64_t EncoderBytes(const OutputSpec& output, SizePx picture) {
  if (output.format.value != "webp") return 0;
  const auto size = SheetSizeOf(output);
  return 12 * (size ? size->with_bleed : picture).area();
}

// Work of a job in any unit: its pixels, and what every picture costs.
double CostOf(const OutputSpec& output) {
  constexpr double kOwnSizePx = 12e6, kEveryPicturePx = 2e6;
  const auto size = SheetSizeOf(output);
  return kEveryPicturePx + (size ? static_cast<double>(size->with_bleed.area()) : kOwnSizePx);
}

}  // namespace

struct Batch::State {
  explicit State(BatchOptions given)
      : options(std::move(given)),
        // Half for what is kept, half for what is at work.
        kept(options.keeps_scenes ? options.memory_bytes / 2 : 0, options.stage) {}

  BatchOptions options;
  KeptScenes kept;
  std::set<std::string> inputs;  // that the last Run read
};

namespace {

// One Run, from the plan to the manifest.
class BatchRun {
 public:
  BatchRun(const BatchOptions& options, KeptScenes& kept, const RunSheet& sheet,
           BatchObserver& observer)
      : options_(options),
        kept_(kept),
        sheet_(sheet),
        observer_(observer),
        names_(sheet.file, options.scenes.data_folder),
        digests_(names_) {}

  Result<BatchResult> Run() {
    auto planned = PlanJobs(sheet_);
    if (!planned) return planned.errors();
    plan_ = *std::move(planned);
    const Errors unknown = UnknownSlots(sheet_, options_.scenes);
    if (!unknown.empty()) return unknown;
    const auto lock = FolderLock::Take(options_.folder, options_.shard);
    if (!lock) return lock.errors();
    if (auto read = ReadEarlier(); !read) return read.errors();
    ChooseJobs();
    observer_.Begins(to_do_, own_.size());
    if (to_do_ > 0) {
      auto journal = Journal::Open(options_.folder, ManifestNameOf(options_.shard));
      if (!journal) return journal.errors();
      journal_ = &*journal;
      const int64_t memory =
          options_.keeps_scenes ? options_.memory_bytes / 2 : options_.memory_bytes;
      RunJobs({options_.jobs_at_once, memory}, [this] { return Next(); });
      journal_ = nullptr;
    }
    return Close();
  }

  // Paths that were read for the jobs that have a record.
  const std::set<std::string>& inputs() const { return inputs_; }

 private:
  // What earlier runs recorded, by file.
  Status ReadEarlier() {
    std::vector<std::string> manifests{kManifestName};
    if (options_.shard.parts > 1) manifests.push_back(ManifestNameOf(options_.shard));
    for (const std::string& name : manifests) {
      auto manifest = ReadManifest(options_.folder, name);
      if (!manifest) return manifest.errors();
      if (name == manifests.back()) stands_ = OutlineOf(*manifest);
      for (auto* records : {&manifest->left_over, &manifest->jobs}) {
        for (JobRecord& record : *records) earlier_[record.file] = std::move(record);
      }
    }
    return Done{};
  }

  void ChooseJobs() {
    std::vector<double> costs;
    for (const PlannedJob& job : plan_) costs.push_back(CostOf(sheet_.outputs[job.output]));
    own_ = JobsOf(options_.shard, costs);
    Sha256 build;
    build.AddText(options_.version);
    build.AddText(options_.build);
    const std::string program = build.Hex();
    std::vector<std::string> files;
    std::vector<size_t> to_do;
    for (const size_t number : own_) {
      const PlannedJob& job = plan_[number];
      recipes_[number] = RecipeOf(sheet_, job, names_, program);
      const auto earlier = earlier_.find(job.file);
      if (earlier != earlier_.end()) {
        const JobRecord& record = records_[number] = std::move(earlier->second);
        earlier_.erase(earlier);
        if (IsUpToDate(record, recipes_[number], options_.folder, digests_)) continue;
      }
      files.push_back(job.file);
      to_do.push_back(number);
    }
    if (options_.keeps_scenes) SortNewestFirst(to_do);
    to_do_ = to_do.size();
    for (const size_t number : to_do) {
      const PlannedJob& job = plan_[number];
      if (works_.empty() || works_.back().scene != job.scene) {
        works_.emplace_back().scene = job.scene;
      }
      works_.back().jobs.push_back(number);
    }
    RemoveRests(options_.folder, files);
  }

  // By the last change of any of a job's inputs.
  void SortNewestFirst(std::vector<size_t>& numbers) const {
    std::map<std::string, int64_t> changed_by_input;
    const auto changed = [&](size_t number) {
      int64_t last = 0;
      const auto record = records_.find(number);
      if (record == records_.end()) return last;
      for (const auto& [name, digest] : record->second.inputs) {
        const auto [at, is_new] = changed_by_input.try_emplace(name);
        if (is_new) at->second = ChangedNs(names_.PathOf(name));
        last = std::max(last, at->second);
      }
      return last;
    };
    std::map<size_t, int64_t> last;
    for (const size_t number : numbers) last[number] = changed(number);
    std::stable_sort(numbers.begin(), numbers.end(),
                     [&last](size_t a, size_t b) { return last.at(a) > last.at(b); });
  }

  // The next piece of work; called by one thread at a time.
  std::variant<Job, NoJob> Next() {
    const std::lock_guard lock(mutex_);
    if (options_.stop && options_.stop()) return NoJob::kAtAll;
    for (; work_ < works_.size(); ++work_) {
      SceneWork& work = works_[work_];
      if (work.state == SceneWork::kSolving) return NoJob::kForNow;
      if (work.state == SceneWork::kNew) {
        work.state = SceneWork::kSolving;
        return Job{kSolvingBytes, [this, &work] { Solve(work); }};
      }
      for (; work.size < work.sizes.size(); ++work.size) {
        SizeWork& size = work.sizes[work.size];
        if (size.state == SizeWork::kPreparing) return NoJob::kForNow;
        if (size.state == SizeWork::kNew) {
          size.state = SizeWork::kPreparing;
          return Job{size.memory_bytes, [this, &work, &size] { Prepare(work, size); }};
        }
        if (size.next == size.jobs.size()) continue;
        const size_t number = size.jobs[size.next++];
        const int64_t encoder =
            EncoderBytes(sheet_.outputs[plan_[number].output],
                         size.wish.size.value_or(work.solved->solved.photo.size));
        return Job{size.memory_bytes + encoder, [this, &size, number] { Make(size, number); }};
      }
      work.solved.reset();
    }
    return NoJob::kAtAll;
  }

  void Solve(SceneWork& work) {
    auto solved = kept_.Solve(sheet_, sheet_.scenes[work.scene], options_.scenes, names_);
    // Jobs of a distance need their artwork's shape before their size is known.
    std::map<size_t, JobView> views;
    for (const size_t number : work.jobs) {
      const PlannedJob& job = plan_[number];
      if (!solved->errors.empty() || !sheet_.outputs[job.output].from_metres) continue;
      views[number] = ViewFor(sheet_, job, *solved, names_);
    }
    const std::lock_guard lock(mutex_);
    work.state = SceneWork::kSolved;
    work.solved = std::move(solved);
    if (!work.solved->errors.empty()) {
      for (const size_t number : work.jobs) Fail(number, work.solved->errors, work.solved->files);
      return;
    }
    for (const size_t number : work.jobs) {
      PictureWish wish = WishOf(sheet_.outputs[plan_[number].output], work.solved->solved);
      if (const auto view = views.find(number); view != views.end()) {
        if (!view->second.view) {
          Fail(number, view->second.errors, view->second.files);
          continue;
        }
        wish.size = view->second.view->size;
        views_[number] = std::move(view->second);
      }
      const auto same = std::find_if(work.sizes.begin(), work.sizes.end(),
                                     [&](const SizeWork& size) { return size.wish == wish; });
      SizeWork& size = same == work.sizes.end() ? work.sizes.emplace_back() : *same;
      if (size.jobs.empty()) size.memory_bytes = MemoryFor(work.solved->solved, wish);
      size.wish = wish;
      size.jobs.push_back(number);
    }
  }

  void Prepare(SceneWork& work, SizeWork& size) {
    auto ready = kept_.Prepare(work.solved, size.wish, names_);
    const std::lock_guard lock(mutex_);
    size.state = SizeWork::kPrepared;
    size.ready = std::move(ready);
    if (size.ready->prepared != nullptr) return;
    for (const size_t number : size.jobs) Fail(number, size.ready->errors, size.ready->files);
    size.next = size.jobs.size();
  }

  void Make(SizeWork& size, size_t number) {
    JobRecord record = MakeJob({sheet_, plan_[number], *size.ready, names_, options_.folder,
                                options_.version, options_.scenes.data_folder, ViewOf(number)});
    const std::lock_guard lock(mutex_);
    if (++size.ended == size.jobs.size()) size.ready.reset();
    Keep(number, std::move(record));
  }

  // None of a job that has another size. It stays where it is.
  const JobView* ViewOf(size_t number) {
    const std::lock_guard lock(mutex_);
    const auto view = views_.find(number);
    return view == views_.end() ? nullptr : &view->second;
  }

  void Fail(size_t number, const Errors& errors, const ReadFiles& files) {
    JobRecord record = DescribeJob(sheet_, plan_[number]);
    for (const Error& error : errors) record.errors.push_back(FormatError(error));
    record.inputs = files;
    Keep(number, std::move(record));
  }

  // Into the journal, before anybody is told.
  void Keep(size_t number, JobRecord record) {
    record.recipe = recipes_[number];
    if (auto written = journal_->Add(record); !written) {
      record.done = false;
      for (const Error& error : written.errors()) record.errors.push_back(FormatError(error));
    }
    ++(record.done ? result_.made : result_.failed);
    observer_.Ended(record);
    records_[number] = std::move(record);
    ended_.insert(number);
  }

  Result<BatchResult> Close() {
    result_.unchanged = own_.size() - to_do_;
    result_.not_begun = to_do_ - result_.made - result_.failed;
    Manifest manifest{"wheatpaste " + options_.version,
                      sheet_.title,
                      std::filesystem::path(sheet_.file).filename().string(),
                      {},
                      {}};
    manifest.run_sheet_path = RelativePath(sheet_.file, options_.folder);
    std::set<std::string> planned, names;
    for (const PlannedJob& job : plan_) planned.insert(job.file);
    for (const auto& [number, record] : records_) {
      for (const auto& input : record.inputs) names.insert(input.first);
    }
    for (const std::string& name : names) inputs_.insert(names_.PathOf(name));
    for (const size_t number : own_) {
      const auto record = records_.find(number);
      if (record == records_.end()) continue;
      if (ended_.contains(number) && !record->second.done) {
        result_.failures.push_back(record->second);
      }
      manifest.jobs.push_back(std::move(record->second));
    }
    if (options_.shard.parts == 1) {
      for (auto& [file, record] : earlier_) {
        if (planned.contains(file)) continue;
        const std::string path = JoinPath(options_.folder, file);
        std::error_code gone;
        if (!std::filesystem::exists(path, gone)) continue;
        if (options_.prune && std::filesystem::remove(path, gone)) {
          std::filesystem::remove(FolderOf(path), gone);  // where nothing else is in it
          result_.removed.push_back(file);
          continue;
        }
        result_.left_over.push_back(file);
        manifest.left_over.push_back(record);
      }
    }
    // Where nothing was made and the manifest that stands says the same, nothing is touched.
    if (to_do_ > 0 || OutlineOf(manifest) != stands_) {
      auto written = WriteManifest(options_.folder, manifest, ManifestNameOf(options_.shard));
      if (!written) return written.errors();
    }
    return std::move(result_);
  }

  const BatchOptions& options_;
  KeptScenes& kept_;
  const RunSheet& sheet_;
  BatchObserver& observer_;
  const InputNames names_;
  InputDigests digests_;
  std::vector<PlannedJob> plan_;
  std::vector<size_t> own_;  // of the plan: this shard's
  std::map<std::string, JobRecord> earlier_;
  ManifestOutline stands_;  // of the manifest that this run replaces
  std::map<size_t, std::string> recipes_;
  std::map<size_t, JobRecord> records_;
  std::map<size_t, JobView> views_;  // of jobs from a distance
  std::set<size_t> ended_;
  std::set<std::string> inputs_;
  size_t to_do_ = 0;

  std::mutex mutex_;
  std::vector<SceneWork> works_;
  size_t work_ = 0;
  Journal* journal_ = nullptr;
  BatchResult result_;
};

}  // namespace

Batch::Batch(BatchOptions options) : state_(std::make_unique<State>(std::move(options))) {}
Batch::~Batch() = default;

std::vector<std::string> Batch::InputsOf(const RunSheet& sheet) const {
  std::set<std::string> files = state_->inputs;
  files.insert(std::filesystem::absolute(sheet.file).lexically_normal().string());
  for (const RunScene& scene : sheet.scenes) files.insert(scene.file.value);
  for (const RunArtwork& artwork : sheet.artworks) {
    for (const auto& [slot, file] : artwork.slots) files.insert(file.value);
  }
  return {files.begin(), files.end()};
}

Result<BatchResult> Batch::Run(const RunSheet& sheet, BatchObserver& observer) {
  BatchRun run(state_->options, state_->kept, sheet, observer);
  auto result = run.Run();
  if (result) state_->inputs = run.inputs();
  return result;
}

}  // namespace wheatpaste

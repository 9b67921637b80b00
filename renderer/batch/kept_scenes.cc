#include "batch/kept_scenes.h"

#include <algorithm>

#include "composite/memory_for.h"

namespace wheatpaste {

Result<SolvedScene> SolveRunScene(const RunSheet& sheet, const RunScene& scene,
                                  const ReadSceneOptions& options, const StagePhotoOptions& stage) {
  auto read = ReadScene(scene.file.value, options);
  if (!read) return read.errors();
  if (sheet.print_condition) read->print_condition = sheet.print_condition;
  return SolveScene(*std::move(read), stage);
}

std::shared_ptr<const SolvedInput> KeptScenes::Solve(const RunSheet& sheet, const RunScene& scene,
                                                     const ReadSceneOptions& options,
                                                     const InputNames& names) {
  auto solved = std::make_shared<SolvedInput>();
  solved->file = scene.file.value;
  if (sheet.print_condition) {
    solved->condition = sheet.print_condition->name + '\n' + sheet.print_condition->profile.value;
  }
  {
    const std::lock_guard lock(mutex_);
    std::erase_if(kept_, [&](const Kept& kept) {
      return kept.solved->file == solved->file && !InputDigests(names).Unchanged(kept.ready->files);
    });
    for (const Kept& kept : kept_) {
      if (kept.solved->file == solved->file && kept.solved->condition == solved->condition) {
        return kept.solved;
      }
    }
  }
  const ReadLog log;
  if (auto found = SolveRunScene(sheet, scene, options, stage_)) {
    solved->solved = *std::move(found);
  } else {
    solved->errors = found.errors();
  }
  solved->files = names.NamesOf(log.files());
  return solved;
}

std::shared_ptr<const ReadyScene> KeptScenes::Prepare(
    const std::shared_ptr<const SolvedInput>& solved, const PictureWish& wish,
    const InputNames& names) {
  {
    const std::lock_guard lock(mutex_);
    for (const Kept& kept : kept_) {
      if (kept.solved == solved && kept.ready->wish == wish &&
          InputDigests(names).Unchanged(kept.ready->files)) {
        return kept.ready;
      }
    }
  }
  auto ready = std::make_shared<ReadyScene>();
  ready->wish = wish;
  const ReadLog log;
  auto prepared = PrepareScene(solved->solved, wish, WantedFaces::kPlaced);
  if (prepared) {
    ready->prepared = std::make_shared<const PreparedScene>(*std::move(prepared));
  } else {
    ready->errors = prepared.errors();
  }
  ready->files = solved->files;
  ready->files.merge(names.NamesOf(log.files()));
  const std::lock_guard lock(mutex_);
  if (most_bytes_ > 0 && ready->prepared != nullptr) {
    kept_.push_back({solved, ready, MemoryFor(solved->solved, wish)});
    int64_t bytes = 0;
    for (const Kept& kept : kept_) bytes += kept.bytes;
    for (; bytes > most_bytes_; kept_.pop_front()) bytes -= kept_.front().bytes;
  }
  return ready;
}

}  // namespace wheatpaste

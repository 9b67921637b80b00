#include <cmath>
#include <filesystem>
#include <vector>

#include <fmt/format.h>

#include "base/files.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/report.h"
#include "image/read_bitmap.h"
#include "output/write_picture.h"
#include "scene/read_scene.h"
#include "surface/grow_matte.h"

namespace wheatpaste {
namespace {

// A matte that is to be grown: of the whole scene, or of one surface.
struct Task {
  const Occlusion* occlusion;
  std::string key;    // of its strokes
  std::string whose;  // for people
};

std::vector<Task> TasksOf(const Scene& scene) {
  std::vector<Task> tasks;
  if (scene.photo.occlusion.strokes) {
    tasks.push_back({&scene.photo.occlusion, "photo.matte_strokes", "the photo"});
  }
  for (const Surface& surface : scene.surfaces) {
    if (!surface.occlusion.strokes) continue;
    tasks.push_back({&surface.occlusion, "surface.matte_strokes", surface.name.value});
  }
  return tasks;
}

Status WriteMatte(const Image<Coverage>& matte, const std::string& path) {
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = matte.size();
  facts.profile = &srgb;
  Bytes rows;
  const auto written = WritePicture(path, PictureFormat::kPng, facts, [&](int64_t y0, int64_t y1) {
    rows.clear();
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < matte.width(); ++x) {
        rows.insert(rows.end(), 3, static_cast<uint8_t>(std::lround(255 * matte.row(0, y)[x])));
      }
    }
    return rows.data();
  });
  if (!written) return written.errors();
  return Done{};
}

}  // namespace

int RunMatte(const MatteArguments& arguments) {
  const auto scene = ReadScene(arguments.scene.scene, SceneOptionsOf(arguments.scene));
  if (!scene) return Refuse(scene.errors());
  const std::vector<Task> tasks = TasksOf(*scene);
  if (tasks.empty()) {
    return Refuse(
        {Error{{scene->file}, "", "expected matte_strokes of the photo or of a surface"}});
  }
  const auto photo = ReadBitmap(scene->photo.file);
  if (!photo) return Refuse(photo.errors());
  // All of them are grown before one is written.
  std::vector<std::pair<const Task*, Image<Coverage>>> grown;
  Errors errors;
  for (const Task& task : tasks) {
    const Placed<std::string>& file = *task.occlusion->matte;
    const std::string subject = fmt::format("{} = \"{}\"", file.key, PrintableText(file.value));
    std::error_code fault;
    if (std::filesystem::exists(file.value, fault) && !arguments.replace) {
      fmt::print("{}: {} is there already; --replace grows it again\n", task.whose, file.value);
      continue;
    }
    if (EndingOf(file.value) != "png") {
      errors.push_back(
          {file.place, subject, "expected a file ending in .png to grow a matte into"});
      continue;
    }
    if (std::filesystem::equivalent(file.value, scene->photo.file.value, fault)) {
      errors.push_back({file.place, subject, "is the photo itself; expected a name of its own"});
      continue;
    }
    auto matte = GrowMatte(*photo, *task.occlusion->strokes, task.key, {});
    if (!matte) {
      errors.insert(errors.end(), matte.errors().begin(), matte.errors().end());
      continue;
    }
    grown.emplace_back(&task, std::move(*matte));
  }
  if (!errors.empty()) return Refuse(errors);
  for (const auto& [task, matte] : grown) {
    const std::string& path = task->occlusion->matte->value;
    if (auto written = WriteMatte(matte, path); !written) return Refuse(written.errors());
    fmt::print("{}: matte of {}, {} x {} px\n", path, task->whose, matte.width(), matte.height());
  }
  return kExitDone;
}

}  // namespace wheatpaste

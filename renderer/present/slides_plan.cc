#include "present/slides_plan.h"

#include <algorithm>
#include <utility>

#include "present/caption.h"

namespace wheatpaste {
namespace {

SlidePage PreviewPage(const PreviewScene& scene, const Preview& preview) {
  SlidePage page;
  page.kind = SlidePage::kPreview;
  page.scene = &scene;
  page.preview = &preview;
  page.pictures = {preview.shown};
  return page;
}

void AddScene(const PreviewScene& scene, SlidePlan& plan) {
  plan.rows.push_back({TitleOf(scene), plan.pages.size() + 1, true});
  const auto add = [&plan](SlidePage page, const std::string& text) {
    plan.pages.push_back(std::move(page));
    if (!text.empty()) plan.rows.push_back({text, plan.pages.size(), false});
  };
  for (const Preview& preview : scene.previews) {
    add(PreviewPage(scene, preview), NameOf(*preview.shown));
    SlidePage distances = PreviewPage(scene, preview), visions = distances;
    distances.kind = SlidePage::kDistances;
    distances.pictures.clear();
    visions.kind = SlidePage::kVisions;
    for (const JobRecord* const view : preview.views) {
      if (view->from_metres) {
        distances.pictures.push_back(view);
      } else if (visions.pictures.size() < kMostCompared) {
        visions.pictures.push_back(view);
      }
    }
    if (!distances.pictures.empty()) add(std::move(distances), "");
    if (visions.pictures.size() > 1) add(std::move(visions), "");
  }
  if (scene.previews.size() < 2) return;
  size_t first = 0;
  for (const size_t count : EvenRuns(scene.previews.size(), kMostCompared)) {
    SlidePage page;
    page.kind = SlidePage::kComparison;
    page.scene = &scene;
    page.first = first;
    for (size_t i = first; i < first + count; ++i) {
      page.pictures.push_back(scene.previews[i].shown);
    }
    add(std::move(page), first == 0 ? "Compared" : "");
    first += count;
  }
}

bool Same(const ColourRecord& a, const ColourRecord& b) {
  return a.name == b.name && a.srgb == b.srgb && a.cmyk_percent == b.cmyk_percent;
}

void AddColours(const std::vector<PreviewScene>& scenes, SlidePlan& plan) {
  std::vector<std::pair<std::string, std::vector<const ColourRecord*>>> groups;
  for (const PreviewScene& scene : scenes) {
    for (const Preview& preview : scene.previews) {
      const std::string& condition = preview.shown->print_condition;
      auto group = std::find_if(groups.begin(), groups.end(),
                                [&](const auto& one) { return one.first == condition; });
      if (group == groups.end()) group = groups.insert(group, {condition, {}});
      for (const ColourRecord& colour : preview.shown->colours) {
        const auto same = [&](const ColourRecord* other) { return Same(*other, colour); };
        if (std::none_of(group->second.begin(), group->second.end(), same)) {
          group->second.push_back(&colour);
        }
      }
    }
  }
  bool first = true;
  for (const auto& [condition, colours] : groups) {
    auto next = colours.begin();
    for (const size_t count : EvenRuns(colours.size(), kMostColoursAPage)) {
      SlidePage page;
      page.kind = SlidePage::kColours;
      page.condition = condition;
      page.colours.assign(next, next + static_cast<ptrdiff_t>(count));
      next += static_cast<ptrdiff_t>(count);
      plan.pages.push_back(std::move(page));
      if (std::exchange(first, false)) plan.rows.push_back({"Colours", plan.pages.size(), true});
    }
  }
}

// A gap before each heading that does not begin a column of `rows`; none is a column's last row.
std::vector<IndexRow> SpacedRows(const std::vector<IndexRow>& entries, size_t rows) {
  std::vector<IndexRow> spaced;
  for (size_t i = 0; i < entries.size(); ++i) {
    if (entries[i].heads) {
      const bool has_more = i + 1 < entries.size() && !entries[i + 1].heads;
      if (spaced.size() % rows != 0) spaced.push_back({});
      if (has_more && spaced.size() % rows == rows - 1) spaced.push_back({});
    }
    spaced.push_back(entries[i]);
  }
  return spaced;
}

}  // namespace

std::vector<size_t> EvenRuns(size_t count, size_t most) {
  const size_t runs = (count + most - 1) / most;
  std::vector<size_t> sizes;
  for (size_t i = 0; i < runs; ++i) sizes.push_back(count / runs + (i < count % runs ? 1 : 0));
  return sizes;
}

SlidePlan PlanSlides(const std::vector<PreviewScene>& scenes, size_t rows) {
  SlidePlan plan;
  plan.pages.emplace_back();
  for (const PreviewScene& scene : scenes) AddScene(scene, plan);
  AddColours(scenes, plan);
  plan.rows = SpacedRows(plan.rows, rows);
  const size_t a_page = rows * kIndexColumns;
  for (size_t first = 0; first < plan.rows.size(); first += a_page) {
    SlidePage page;
    page.kind = SlidePage::kIndex;
    page.first = first;
    page.count = std::min(a_page, plan.rows.size() - first);
    plan.pages.push_back(std::move(page));
  }
  return plan;
}

}  // namespace wheatpaste

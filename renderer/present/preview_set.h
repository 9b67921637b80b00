// preview_set.h - the pictures of a batch as people look at them: one for each scene, artwork and colourway.
//
// Model   of the outputs that make the same thing at other sizes one is shown: the one that was asked for, or the first
//         JPEG, WebP, PNG or TIFF of the manifest's order, in this order of formats. Pictures from a distance and as a
//         deficiency of colour vision sees them are views of it. PDF files are not looked at.
// Source  the manifest alone; picture files are not opened here.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "batch/manifest.h"

namespace wheatpaste {

// From a distance, or as a deficiency of colour vision sees it.
bool IsView(const JobRecord& record);

struct Preview {
  const JobRecord* shown = nullptr;     // of the set's manifest
  std::vector<const JobRecord*> views;  // by distance, then by deficiency
};

struct PreviewScene {
  std::string name, title;
  std::vector<Preview> previews;  // in the manifest's order
};

// Its title, else its name.
const std::string& TitleOf(const PreviewScene& scene);

// Of its previews, each shown before its views.
std::vector<const JobRecord*> RecordsOf(const PreviewScene& scene);

struct PreviewSet {
  PreviewSet() = default;
  PreviewSet(PreviewSet&&) = default;
  PreviewSet& operator=(PreviewSet&&) = default;

  std::string folder;
  Manifest manifest;
  std::vector<PreviewScene> scenes;  // in the manifest's order; those that have previews
  std::vector<std::string> notes;    // what is left out and why, in plain words
};

// output  the name of the one to show; none: see above.
// errors  no manifest in the folder, or a broken one; no output of that name; no picture that can be shown.
Result<PreviewSet> ReadPreviewSet(const std::string& folder,
                                  const std::optional<std::string>& output);

}  // namespace wheatpaste

// contact_sheet_pictures.h - the pictures of a sheet, read side by side and no larger than their places.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "batch/manifest.h"
#include "present/contact_sheet_look.h"
#include "present/page_picture.h"

namespace wheatpaste {

struct WantedPicture {
  const JobRecord* record = nullptr;
  double longer_side_mm = 0;  // of its place
};

class SheetPictures {
 public:
  SheetPictures(std::string folder, Ppi ppi) : folder_(std::move(folder)), ppi_(ppi) {}

  // In the order of `wanted`; none where a file is missing, damaged or not the one that the record speaks of.
  std::vector<std::optional<JpegPicture>> Read(const std::vector<WantedPicture>& wanted);

  // What was none, and why, sorted, each once.
  std::vector<std::string> TakeMissing();

 private:
  std::string folder_;
  Ppi ppi_;
  std::vector<std::string> missing_;
};

// The picture, or an empty frame in its place.
void DrawSheetPicture(const Page& page, const SheetLook& look,
                      const std::optional<JpegPicture>& picture, const std::string& id,
                      const RectMm& rect);

}  // namespace wheatpaste

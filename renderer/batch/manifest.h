// manifest.h - the record of a batch's folder: manifest.json, and the journal of a run that is not over.
//
// Form    shared/manifest.schema.json (JSON Schema 2020-12). Input files are listed once, by name and SHA-256; a job names
//         them by number. Names are relative to the run sheet's folder; those of the program's own presets and profiles
//         begin with "wheatpaste:".
// Rule    the manifest is only ever replaced whole. While a run is on, each job that ends is added to the journal, a
//         hidden file beside it, a line at a time: a run that was killed is read from manifest and journal together, and
//         a last line that was cut off is passed over. The journal goes once a new manifest stands.
// Limits  a manifest or journal of at most kMaxManifestBytes.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/read_log.h"
#include "base/rect.h"
#include "image/resample.h"

namespace wheatpaste {

inline constexpr int64_t kMaxManifestBytes = int64_t{1} << 30;
inline constexpr char kManifestName[] = "manifest.json";

// A piece of artwork in a picture.
struct PlacedRecord {
  std::string surface;                        // "carton.front"
  std::string artwork;                        // the slot's name, or the file's as the scene says
  std::optional<double> width_mm, height_mm;  // as printed; none: the surface's mm are not known
  // Px of the file per printed mm where the artwork's centre is seen, the geometric mean of all directions; none: it is
  // not seen, or mm are not known.
  std::optional<double> px_per_mm;
  std::optional<std::array<double, 2>> centre_px;  // where that is, px from the file's top left
  bool operator==(const PlacedRecord&) const = default;
};

// A flat colour of a picture's artwork, as that picture prints it.
struct ColourRecord {
  std::string name;             // of the swatch; none: empty
  std::string srgb;             // "#rrggbb"
  std::array<double, 3> lab{};  // D50, 2 degrees, of that colour
  // Under the print condition; none: no condition. CMYK in percent, Lab relative to the press's paper, CIEDE2000.
  std::optional<std::array<double, 4>> cmyk_percent;
  std::optional<std::array<double, 3>> printed_lab;
  std::optional<double> shift;
  bool operator==(const ColourRecord&) const = default;
};

// Where the photo lies in a picture, and which part of it is shown.
struct PictureFrame {
  RectPx picture;       // px of the file
  SourceWindow window;  // photo px
  bool operator==(const PictureFrame&) const = default;
};

// One picture: what it is of, what it was made from, what came of it.
struct JobRecord {
  std::string file;  // relative to the folder
  std::string scene, artwork, output;
  std::optional<std::string> colourway;
  std::string scene_title;
  std::string print_condition;  // none: empty

  bool done = false;                // else it failed, by these errors
  std::vector<std::string> errors;  // as they are printed
  std::vector<std::string> warnings, notes;
  std::string recipe;  // SHA-256 of all that decides about the picture beside the files (recipe.h)
  ReadFiles inputs;    // by name as above

  SizePx size;                        // of the file
  double ppi = 0;                     //
  std::optional<double> bleed_mm;     // of a sheet that has one
  std::string profile;                // of the file's colours
  int64_t bytes = 0;                  //
  std::string sha256;                 // of the file
  int64_t changed_ns = 0;             // the file's time, nanoseconds since 1970
  double seconds = 0;                 // that it took
  std::optional<PictureFrame> frame;  // none: of an earlier version
  std::vector<PlacedRecord> placements;
  std::vector<ColourRecord> colours;  // by falling share of the artwork
  std::optional<double> from_metres;  // the picture is as large as it is seen from there
  std::string vision;  // how a deficiency of colour vision sees it: "protan"; none: empty
};

struct Manifest {
  std::string program;               // "wheatpaste 0.1.0"
  std::string title;                 // the run sheet's
  std::string run_sheet;             // its file name
  std::vector<JobRecord> jobs;       // in the order of the plan
  std::vector<JobRecord> left_over;  // of earlier runs: files no job makes any more
  // As read: a journal had something to add to the file.
  bool has_journal = false;
  // Where the run sheet is, from the batch's folder; empty: of an earlier version.
  std::string run_sheet_path = {};
};

// What a manifest says beside the jobs' own records, and whether it is written down for good.
struct ManifestOutline {
  std::string program, title, run_sheet, run_sheet_path;
  std::vector<std::string> jobs, left_over;
  bool has_journal = false;
  bool operator==(const ManifestOutline&) const = default;
};
ManifestOutline OutlineOf(const Manifest& manifest);

// The manifest `name` of `folder` and its journal; an empty one where there is none.
// errors  too large, no such JSON.
Result<Manifest> ReadManifest(const std::string& folder, const std::string& name = kManifestName);

// Replaces the manifest, then removes its journal.
Status WriteManifest(const std::string& folder, const Manifest& manifest,
                     const std::string& name = kManifestName);

// The manifest and its journal.
void RemoveManifest(const std::string& folder, const std::string& name);

// Appends to the journal of a manifest.
class Journal {
 public:
  // errors  cannot write: the system's own words.
  static Result<Journal> Open(const std::string& folder, const std::string& name = kManifestName);
  Journal(Journal&& other) noexcept;
  Journal& operator=(Journal&&) = delete;
  ~Journal();
  Status Add(const JobRecord& record);

 private:
  Journal(std::string path, int descriptor) : path_(std::move(path)), descriptor_(descriptor) {}
  std::string path_;
  int descriptor_;
};

}  // namespace wheatpaste

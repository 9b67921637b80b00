// blank_photo.h - the photo beside a picture of a batch: what the picture would be with nothing printed.
//
// Model   the scene is read and framed as the picture's job frames it, old print removed where the scene says so, and
//         written the way the picture was, in the same profile, with nothing placed: every pixel that artwork, its
//         finishes or its shadow did not touch has the same codes. What only ink needs (light, noise) is not looked for.
// Rule    nothing is written where the two might not belong together: the run sheet, the scene, or a file that it reads
//         is not what it was when the picture was made.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "batch/manifest.h"
#include "scene/read_scene.h"

namespace wheatpaste {

struct BlankPhotoOptions {
  std::string folder;                    // of the batch
  std::optional<std::string> run_sheet;  // its path; none: FindRunSheet
  ReadSceneOptions scenes;
};

// The batch's run sheet: where the manifest says it is, else, of its name, in the batch's folder or the nearest one above.
// errors  none is there.
Result<std::string> FindRunSheet(const std::string& folder, const Manifest& manifest);

// path      what to write; its ending says the format. Within JPEG's 65 500 px a side where it is a JPEG.
// record    a job of the manifest that is done. Its picture is not opened.
// errors    the run sheet cannot be found or read, or makes no such picture any more; a file that the scene reads has
//           changed, or is new, or gone; the picture's frame has changed; cannot write.
// threads   safe to call from several at once, with different paths.
Status WriteBlankPhoto(const std::string& path, const Manifest& manifest, const JobRecord& record,
                       const BlankPhotoOptions& options);

}  // namespace wheatpaste

// preview_file.h - the one way from a prepared scene to a file, for `render` and for batches.
//
// Order   WishOf (what PrepareScene is asked for), RenderScene, WritePreview; OutputNotes says what the user should
//         know of the sheet. Wishes that are equal may share a prepared scene.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "colour/profile.h"
#include "composite/render_scene.h"
#include "output/sheet.h"
#include "output/xmp.h"
#include "scene/output_spec.h"
#include "surface/frame.h"

namespace wheatpaste {

// Size and window that the output asks of the scene; of one from a distance ViewFrom says the size instead.
PictureWish WishOf(const OutputSpec& spec, const SolvedScene& solved);

// How the picture lies on its canvas.
SheetLayout LayoutOf(const OutputSpec& spec, const PreparedScene& prepared);

// What the file says of itself.
using PreviewFacts = XmpFacts;

struct PreviewWritten {
  int64_t bytes = 0;
  SheetLayout sheet;
  int depth = 8;
};

// rendered  of WishOf(spec), or where the output has no size, of any.
// profile   of the file, as ReadOutputProfile gives it; none: the photo's own.
// about     none: nothing.
// errors    those of WritePicture, the profile's model among them.
Result<PreviewWritten> WritePreview(const std::string& path, const RenderedScene& rendered,
                                    const OutputSpec& spec, const Profile* profile,
                                    const PreviewFacts* about);

// What of the sheet is not as one might think, in plain words.
std::vector<std::string> OutputNotes(const OutputSpec& spec, const RenderedScene& rendered);

}  // namespace wheatpaste

// output_profile.h - the colours that a file is written in, by name.
//
// Names   "sRGB", "Display P3", a print condition of shared/print-conditions.toml, or an .icc file.
#pragma once

#include <string>

#include "base/error.h"
#include "colour/profile.h"

namespace wheatpaste {

// name         its place is that of the option or key. A file is looked for as its value stands.
// data_folder  holds shared/ and assets-open/.
// errors       unknown (the nearest named), a file that is no profile, or one that pictures cannot be written in.
Result<Profile> ReadOutputProfile(const Placed<std::string>& name, const std::string& data_folder);

}  // namespace wheatpaste

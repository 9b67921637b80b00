// kept_sums.h - sums of light in a file of our own, so that a long trace can be stopped and gone on with.
//
// File    "wheatpaste sums 2\n", three little-endian int64 (width, height, samples), then each sum's planes as floats, row by row. Read
//         only where it was written: from the folder of kept stages. Appears whole or not at all.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "stage/trace_world.h"

namespace wheatpaste {

// Nothing where there is none, or none of this size with as many throwers.
std::optional<TraceSums> ReadSums(const std::string& path, SizePx size, int32_t throwers);
// errors  cannot write: the system's own words.
Status WriteSums(const TraceSums& sums, const std::string& path);

}  // namespace wheatpaste

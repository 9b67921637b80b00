// spectrum_file.h - measured reflectance from a CGATS text file, as instruments of the print trade write it.
//
// Reads    the fields of BEGIN_DATA_FORMAT whose names are a wavelength (SPECTRAL_NM400, SPECTRAL_NM_400, SPECTRAL_400,
//          SPEC_400, NM400, R_400, nm in any case), the rows of BEGIN_DATA; the mean of all rows.
// Scale    SPECTRAL_NORM is what a perfect diffuser has; without it, values up to 2 count as shares, beyond as percent.
// Range    400 to 700 nm at least, no step wider than 20 nm, straight between; beyond its ends the last value. Brightened
//          papers pass 1 near 440 nm: cut to 1, up to kMostReflectance; more is refused.
// Source   ANSI CGATS.17-2009 (keywords, from memory).
#pragma once

#include <string>

#include "base/error.h"
#include "colour/spectrum.h"

namespace wheatpaste {

inline constexpr int64_t kMaxSpectrumBytes = int64_t{8} << 20;
inline constexpr double kMostReflectance = 1.3;

// errors  no such file; not CGATS; no spectra; gaps; numbers that are none or out of range: at the file's line.
Result<Spectrum> ReadSpectrumFile(const Placed<std::string>& path);

// The same from memory; `path` for messages.
Result<Spectrum> ParseSpectrumFile(std::string_view text, const Placed<std::string>& path);

}  // namespace wheatpaste

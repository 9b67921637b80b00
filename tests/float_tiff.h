// float_tiff.h - TIFF files of floats as libtiff's own tools read them.
//
// Program  tiffcp and tiffdump of libtiff-tools 4.5.0 (Debian 12): one strip, uncompressed, taken from the file as it lies.
#pragma once

#include <cstdint>
#include <cstring>
#include <string>
#include <vector>

#include "must_run.h"
#include "support.h"

namespace wheatpaste::test {

// All samples in the order of the file, bands side by side. Sample: float, or uint16_t.
template <typename Sample>
std::vector<Sample> TiffSamplesOf(const std::string& path, size_t count) {
  const std::string plain = path + ".plain";
  MustRun("tiffcp -c none -r 100000 '" + path + "' '" + plain + "'");
  const std::string tags = MustRun("tiffdump '" + plain + "'");
  const size_t at = tags.find("StripOffsets (273)");
  REQUIRE(at != std::string::npos);
  const size_t offset = std::stoul(tags.substr(tags.find('<', at) + 1));
  const std::string bytes = ReadText(plain);
  MustRun("rm '" + plain + "'");
  REQUIRE(bytes.size() >= offset + count * sizeof(Sample));
  std::vector<Sample> samples(count);
  std::memcpy(samples.data(), bytes.data() + offset, count * sizeof(Sample));
  return samples;
}

}  // namespace wheatpaste::test

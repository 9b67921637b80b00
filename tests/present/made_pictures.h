// made_pictures.h - JPEG files for tests of pages.
#pragma once

#include <string>

#include <catch2/catch.hpp>

#include "output/picture_support.h"
#include "present/jpeg_picture.h"

namespace wheatpaste::test {

// A file of smooth colours and an edge, in sRGB, and the picture of it that goes as it is.
inline JpegPicture MakeJpeg(const std::string& path, SizePx size) {
  const Profile profile = Profile::Srgb();
  PictureFacts facts;
  facts.size = size;
  facts.profile = &profile;
  REQUIRE(Write(path, facts, MakeCodes(size, 8)).ok());
  JpegLimits limits;
  limits.max_side_px = 10000;
  const auto picture = ReadJpegPicture(path, limits);
  REQUIRE(picture.ok());
  return *picture;
}

}  // namespace wheatpaste::test

#include "surface/camera.h"

#include <catch2/catch.hpp>

#include <string>

namespace wheatpaste {
namespace {

// A full-frame camera's 36 x 24 mm: a 50 mm lens on 3600 x 2400 px sees 50 mm as 5000 px.
TEST_CASE("Camera: a 35 mm equivalent compares diagonals", "[surface][closed-form]") {
  CHECK(FocalPxFrom35mm(50, {3600, 2400}) == Approx(5000));
  CHECK(FocalPxFrom35mm(50, {2400, 3600}) == Approx(5000));
  // 4 : 3: diagonal 5000 px over sqrt(36^2 + 24^2) = 43.2666 mm.
  CHECK(FocalPxFrom35mm(28, {4000, 3000}) == Approx(28 * 5000 / 43.26661530556787));
}

TEST_CASE("Camera: every source has its words", "[surface][closed-form]") {
  CHECK(std::string(NameOf(FocalSource::kScene)) == "given in the scene");
  CHECK(std::string(NameOf(FocalSource::kExif)) == "from the photo's EXIF");
  CHECK(std::string(NameOf(FocalSource::kSolved)) == "solved from the marks");
  CHECK(std::string(NameOf(FocalSource::kDefault)) == "not known, assumed");
}

}  // namespace
}  // namespace wheatpaste

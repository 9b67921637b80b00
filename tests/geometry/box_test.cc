#include "geometry/box.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace wheatpaste {
namespace {

constexpr BoxSize kSize{250, 180, 90};
enum { kFront, kRight, kBack, kLeft, kTop, kBottom };

// The worked example: object points 0, X, Y, Z, XY, XZ of a box before f = 1000 px, centre (640, 480); its Z
// points out of the picture's box, which the vanishing points do not mind.
const std::vector<PicturedCorner> kExample{{0, {490, 380}},           {1, {780.4576, 444.9413}},
                                           {2, {410.8107, 583.6416}}, {4, {555.8084, 466.9341}},
                                           {3, {695.972, 608.8086}},  {5, {866.8552, 521.4088}}};

// Source  B01 of the project's check values, computed from the printed corners; Q04 gives the other two.
// Limit   0.01 px, as stated there.
TEST_CASE("Box: vanishing points of its edges", "[geometry][published]") {
  const auto vanishing = BoxVanishingPoints(kExample);
  REQUIRE(vanishing[2]);
  CHECK(vanishing[2]->x() / vanishing[2]->z() == Approx(49.2816).margin(0.01));
  CHECK(vanishing[2]->y() / vanishing[2]->z() == Approx(-202.1970).margin(0.01));

  // From the front face alone: two edges each, as Q04 has it.
  const std::vector<PicturedCorner> front{kExample[0], kExample[1], kExample[2], kExample[4]};
  const auto two = BoxVanishingPoints(front);
  REQUIRE(two[0]);
  REQUIRE(two[1]);
  CHECK_FALSE(two[2]);
  CHECK(two[0]->x() / two[0]->z() == Approx(2046.4510).margin(0.01));
  CHECK(two[0]->y() / two[0]->z() == Approx(727.9955).margin(0.01));
  CHECK(two[1]->x() / two[1]->z() == Approx(-504.1744).margin(0.01));
  CHECK(two[1]->y() / two[1]->z() == Approx(2936.5989).margin(0.01));
}

// Source  B02: the principal point, limit 0.002 px; f = 999.9993 from the same points (method notes beside the
//         check values), limit half a unit of the last digit and what the printed vanishing points carry.
TEST_CASE("Box: principal point and focal length of three vanishing points",
          "[geometry][published]") {
  const std::array<Eigen::Vector3d, 3> vanishing{Eigen::Vector3d(2046.4510, 727.9955, 1),
                                                 Eigen::Vector3d(-504.1744, 2936.5989, 1),
                                                 Eigen::Vector3d(49.2816, -202.1970, 1)};
  const auto principal = OrthocentreOf(vanishing);
  REQUIRE(principal);
  CHECK(principal->x == Approx(640.000).margin(0.002));
  CHECK(principal->y == Approx(480.000).margin(0.002));
  const auto focal = FocalFromVanishing(vanishing[0], vanishing[1], *principal);
  REQUIRE(focal);
  CHECK(*focal == Approx(999.9993).margin(0.001));
}

TEST_CASE("Box: directions that do not meet tell nothing", "[geometry][bad-input]") {
  // Seen straight on: width and height are parallel in the picture, the points at infinity.
  const std::array<Eigen::Vector3d, 3> straight{Eigen::Vector3d(1, 0, 0), Eigen::Vector3d(0, 1, 0),
                                                Eigen::Vector3d(0.6, 0.4, 0.001)};
  CHECK_FALSE(OrthocentreOf(straight));
  CHECK_FALSE(FocalFromVanishing(straight[0], straight[2], {640, 480}));
  // Three points on one line.
  CHECK_FALSE(OrthocentreOf(
      {Eigen::Vector3d(0, 0, 1), Eigen::Vector3d(100, 100, 1), Eigen::Vector3d(300, 300, 1)}));
  // Both on one side of the principal point: no right angle has such directions.
  CHECK_FALSE(FocalFromVanishing({900, 480, 1}, {1900, 480, 1}, {640, 480}));
  CHECK_FALSE(BoxVanishingPoints(std::vector<PicturedCorner>{{0, {3, 4}}, {1, {5, 6}}})[0]);
}

TEST_CASE("Box: corners lie where their index says", "[geometry][closed-form]") {
  CHECK(BoxCornerOf(kSize, 0) == Eigen::Vector3d(0, 0, 0));
  CHECK(BoxCornerOf(kSize, 1) == Eigen::Vector3d(250, 0, 0));
  CHECK(BoxCornerOf(kSize, 2) == Eigen::Vector3d(0, 180, 0));
  CHECK(BoxCornerOf(kSize, 7) == Eigen::Vector3d(250, 180, 90));
}

TEST_CASE("Box: every face is laid flat as seen from outside", "[geometry][closed-form]") {
  const Eigen::Vector3d middle(125, 90, 45);
  for (int index = 0; index < kBoxFaces; ++index) {
    CAPTURE(index);
    const BoxFace face = BoxFaceOf(kSize, index);
    // Right-handed with the way into the box: not mirrored from outside.
    const Eigen::Vector3d inwards = face.across.cross(face.down);
    CHECK(inwards.dot(middle - face.origin) > 0);
    CHECK(face.across.norm() == 1);
    CHECK(face.down.norm() == 1);
    // Its four corners are where its frame puts them.
    const Eigen::Vector3d width = face.size.x * face.across, height = face.size.y * face.down;
    CHECK(face.origin == BoxCornerOf(kSize, face.corners[0]));
    CHECK(face.origin + width == BoxCornerOf(kSize, face.corners[1]));
    CHECK(face.origin + width + height == BoxCornerOf(kSize, face.corners[2]));
    CHECK(face.origin + height == BoxCornerOf(kSize, face.corners[3]));
    // Side faces stand upright.
    if (index <= kLeft) CHECK(face.down == Eigen::Vector3d(0, 1, 0));
  }
  // The top's lower edge is the front's upper, the bottom's upper edge the front's lower.
  const BoxFace top = BoxFaceOf(kSize, kTop), bottom = BoxFaceOf(kSize, kBottom);
  CHECK(top.corners[3] == 0);
  CHECK(top.corners[2] == 1);
  CHECK(bottom.corners[0] == 2);
  CHECK(bottom.corners[1] == 3);
}

Strip MustLayOut(const std::vector<int>& faces) {
  const auto result = LayOut(kSize, faces);
  REQUIRE(std::holds_alternative<Strip>(result));
  return std::get<Strip>(result);
}

StripFault MustFail(const std::vector<int>& faces) {
  const auto result = LayOut(kSize, faces);
  REQUIRE(std::holds_alternative<StripFault>(result));
  return std::get<StripFault>(result);
}

TEST_CASE("Box: side faces unfold into a straight row", "[geometry][closed-form]") {
  const Strip strip = MustLayOut({kFront, kRight, kBack, kLeft});
  const double starts[4] = {0, 250, 340, 590};
  for (size_t i = 0; i < 4; ++i) {
    CHECK(strip.strip_from_face[i].linear() == Eigen::Matrix2d::Identity());
    CHECK(strip.strip_from_face[i].translation() == Eigen::Vector2d(starts[i], 0));
  }
  CHECK(strip.low == SurfaceMm{0, 0});
  CHECK(strip.high == SurfaceMm{680, 180});

  // To the left of the first, too.
  const Strip leftwards = MustLayOut({kFront, kLeft});
  CHECK(leftwards.strip_from_face[1].translation() == Eigen::Vector2d(-90, 0));
  CHECK(leftwards.low == SurfaceMm{-90, 0});
}

TEST_CASE("Box: top and bottom unfold from the front", "[geometry][closed-form]") {
  const Strip strip = MustLayOut({kFront, kRight, kTop, kBottom});
  CHECK(strip.strip_from_face[2].linear() == Eigen::Matrix2d::Identity());
  CHECK(strip.strip_from_face[2].translation() == Eigen::Vector2d(0, -90));
  CHECK(strip.strip_from_face[3].translation() == Eigen::Vector2d(0, 180));
  CHECK(strip.low == SurfaceMm{0, -90});
  CHECK(strip.high == SurfaceMm{340, 270});
}

// Whatever the order, a point of a shared edge has one place in the strip, reached from either face: that is what
// keeps artwork whole across the edge. And both faces lie on different sides of it.
TEST_CASE("Box: joined faces agree along their edge", "[geometry][invariant]") {
  int joined = 0;
  for (int a = 0; a < kBoxFaces; ++a) {
    for (int b = 0; b < kBoxFaces; ++b) {
      const auto result = LayOut(kSize, std::vector<int>{a, b});
      const BoxFace first = BoxFaceOf(kSize, a), second = BoxFaceOf(kSize, b);
      const auto* strip = std::get_if<Strip>(&result);
      // Opposite faces, and a face twice, cannot be joined.
      const bool opposite = (a + 2) % 4 == b % 4 && a < 4 && b < 4;
      const bool lids = a >= 4 && b >= 4;
      CHECK((strip != nullptr) == (a != b && !opposite && !lids));
      if (!strip) continue;
      ++joined;
      CHECK(strip->strip_from_face[1].linear().determinant() == 1);
      int shared = 0;
      for (size_t i = 0; i < 4; ++i) {
        for (size_t j = 0; j < 4; ++j) {
          if (first.corners[i] != second.corners[j]) continue;
          ++shared;
          const auto on = [](const BoxFace& face, size_t k) {
            return Eigen::Vector2d(k == 1 || k == 2 ? face.size.x : 0, k >= 2 ? face.size.y : 0);
          };
          CHECK(
              (strip->strip_from_face[0] * on(first, i) - strip->strip_from_face[1] * on(second, j))
                  .norm() < 1e-12);
        }
      }
      CHECK(shared == 2);
      const Eigen::Vector2d middle =
          strip->strip_from_face[1] * Eigen::Vector2d(second.size.x / 2, second.size.y / 2);
      const bool outside = middle.x() < 0 || middle.y() < 0 || middle.x() > first.size.x ||
                           middle.y() > first.size.y;
      CHECK(outside);
    }
  }
  CHECK(joined == 24);
}

TEST_CASE("Box: faces that make no strip are told", "[geometry][bad-input]") {
  StripFault fault = MustFail({kFront, kBack});
  CHECK(fault.kind == StripFault::kApart);
  CHECK(fault.index == 1);
  fault = MustFail({kFront, kRight, kFront});
  CHECK(fault.kind == StripFault::kRepeated);
  CHECK(fault.index == 2);
  CHECK(fault.other == 0);
}

// All 1956 orders of up to six faces, for boxes flat, tall and even.
TEST_CASE("Box: no order of faces lays one on another", "[geometry][invariant]") {
  const BoxSize sizes[] = {{250, 180, 90}, {10, 100, 1}, {1, 10, 100}, {100, 1, 10}, {7, 7, 7}};
  int orders = 0;
  for (const BoxSize& size : sizes) {
    std::vector<std::vector<int>> todo{{}};
    while (!todo.empty()) {
      const std::vector<int> faces = todo.back();
      todo.pop_back();
      for (int next = 0; next < kBoxFaces; ++next) {
        if (std::find(faces.begin(), faces.end(), next) != faces.end()) continue;
        todo.push_back(faces);
        todo.back().push_back(next);
      }
      if (faces.empty()) continue;
      ++orders;
      const auto result = LayOut(size, faces);
      const auto* strip = std::get_if<Strip>(&result);
      if (!strip) continue;
      // The middle of each face, and points near its corners, lie on no other.
      for (size_t i = 0; i < faces.size(); ++i) {
        for (size_t j = 0; j < faces.size(); ++j) {
          if (i == j) continue;
          const SurfaceMm on = BoxFaceOf(size, faces[i]).size, of = BoxFaceOf(size, faces[j]).size;
          for (const double u : {0.01, 0.5, 0.99}) {
            for (const double v : {0.01, 0.5, 0.99}) {
              const Eigen::Vector2d p =
                  strip->strip_from_face[j].inverse() *
                  (strip->strip_from_face[i] * Eigen::Vector2d(u * on.x, v * on.y));
              const bool covered = p.x() > 0 && p.y() > 0 && p.x() < of.x && p.y() < of.y;
              if (covered) FAIL("faces " << faces[i] << " and " << faces[j] << " overlap");
            }
          }
        }
      }
    }
  }
  CHECK(orders == 5 * 1956);
}

}  // namespace
}  // namespace wheatpaste

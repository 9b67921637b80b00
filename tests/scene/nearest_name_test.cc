#include "scene/nearest_name.h"

#include <catch2/catch.hpp>

using namespace wheatpaste;

// Source  the distances follow from the definition by hand: kitten, sitten, sittin, sitting are
// three
//         edits; a neighbouring pair exchanged is one; in the restricted form "ca" to "abc" is
//         three.
TEST_CASE("Edit distance: cases worked out by hand", "[scene][closed-form]") {
  CHECK(EditDistance("", "") == 0);
  CHECK(EditDistance("", "abc") == 3);
  CHECK(EditDistance("abc", "") == 3);
  CHECK(EditDistance("kitten", "sitting") == 3);
  CHECK(EditDistance("raduis", "radius") == 1);
  CHECK(EditDistance("ca", "abc") == 3);
  CHECK(EditDistance("Poster", "pOSTER") == 0);
}

TEST_CASE("Edit distance: the same from either side", "[scene][invariant]") {
  for (const auto& [a, b] :
       {std::pair{"surface", "sufrace"}, {"corners", "corner"}, {"at", "tau"}}) {
    CHECK(EditDistance(a, b) == EditDistance(b, a));
  }
}

TEST_CASE("Nearest name: one that resembles, or none", "[scene][closed-form]") {
  const std::vector<std::string> known{"surface", "artwork", "width", "height", "at"};
  CHECK(NearestName("sufrace", known) == "surface");
  CHECK(NearestName("heigth", known) == "height");
  CHECK(NearestName("ar", known) == "at");
  CHECK(NearestName("colour", known).empty());
  CHECK(NearestName("", known).empty());
  CHECK(NearestName("b", {"a"}).empty());
  CHECK(NearestName(std::string(100000, 'a'), known).empty());
}

TEST_CASE("Quoted list: commas, an and, and a count of the rest", "[scene][closed-form]") {
  CHECK(QuotedList({}).empty());
  CHECK(QuotedList({"a"}) == R"("a")");
  CHECK(QuotedList({"a", "b", "c"}) == R"("a", "b" and "c")");
  CHECK(QuotedList({"a", "b", "c", "d"}, 2) == R"("a", "b" and 2 more)");
}

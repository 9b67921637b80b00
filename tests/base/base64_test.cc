// Source  RFC 4648, section 10: all seven test vectors of BASE64.
#include "base/base64.h"

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

TEST_CASE("Base64Of: the standard's test vectors", "[base][published]") {
  const auto of = [](const std::string& text) { return Base64Of(text.data(), text.size()); };
  CHECK(of("") == "");
  CHECK(of("f") == "Zg==");
  CHECK(of("fo") == "Zm8=");
  CHECK(of("foo") == "Zm9v");
  CHECK(of("foob") == "Zm9vYg==");
  CHECK(of("fooba") == "Zm9vYmE=");
  CHECK(of("foobar") == "Zm9vYmFy");
}

}  // namespace
}  // namespace wheatpaste

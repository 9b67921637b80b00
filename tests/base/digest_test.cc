// Source  FIPS 180-4 example values as NIST publishes them with the standard (SHA256.pdf): "abc" and the two-block
//         message; the empty message and one million "a" from RFC 6234, section 8.5 and NIST's test vectors.
#include "base/digest.h"

#include <string>

#include <catch2/catch.hpp>

#include "base/files.h"
#include "base/read_log.h"
#include "support.h"

namespace wheatpaste {
namespace {

std::string Of(const std::string& text) { return Sha256Of(text.data(), text.size()); }

TEST_CASE("Sha256: the standard's examples", "[base][published]") {
  CHECK(Of("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(Of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(Of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(Of(std::string(1'000'000, 'a')) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("Sha256OfFile: says of a file what sha256sum says", "[base][reference]") {
  const test::TempFolder folder;
  std::string bytes;
  for (int i = 0; i < 700'001; ++i) bytes += static_cast<char>(i * 7 % 251);
  test::WriteText(folder / "a file", bytes);
  const auto line = test::Run("sha256sum '" + folder / "a file" + "'");
  REQUIRE(line.status == 0);
  CHECK(*Sha256OfFile(folder / "a file") == line.out.substr(0, 64));
  CHECK_FALSE(Sha256OfFile(folder / "none").ok());
  CHECK_FALSE(Sha256OfFile(folder.path()).ok());
}

TEST_CASE("Sha256: texts do not run into each other", "[base][invariant]") {
  Sha256 one, other;
  one.AddText("ab");
  one.AddText("c");
  other.AddText("a");
  other.AddText("bc");
  CHECK(one.Hex() != other.Hex());
}

TEST_CASE("ReadLog: the innermost log has what was read while it lived", "[base][invariant]") {
  const test::TempFolder folder;
  test::WriteText(folder / "a", "abc");
  test::WriteText(folder / "b", "");
  const auto read = [&](const std::string& name) {
    CHECK(ReadWholeFile({folder / name, {}, ""}, 100).ok());
  };
  read("a");  // no log: noted nowhere
  const ReadLog outer;
  {
    const ReadLog inner;
    read("a");
    CHECK(inner.files() == ReadFiles{{folder / "a", Of("abc")}});
  }
  CHECK(outer.files().empty());
  read("b");
  CHECK(outer.files() == ReadFiles{{folder / "b", Of("")}});
}

}  // namespace
}  // namespace wheatpaste

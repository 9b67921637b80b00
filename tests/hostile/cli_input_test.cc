// Hostile scenes, photographs and artwork through the whole program: status 2, a clear error,
// nothing written. What each reader says in detail is tested beside it.
#include "cli/small_scene.h"

using namespace wheatpaste::test;

namespace {

// Refused, with an error that starts with `start` and holds `part`; one line, within memory and
// time that a small machine has.
void CheckRefusedSoon(const SmallScene& scene, const std::string& start, const std::string& part) {
  const auto before = scene.folder.List();
  const RunResult run =
      Run("cd '" + scene.folder.path() + "' && timeout 60 '" +
          WHEATPASTE_PROGRAM "' render scene.toml --artwork mark=mark.svg --out a.png");
  CHECK(run.status == 2);
  CHECK_THAT(run.err, Catch::Matchers::StartsWith(start));
  CHECK_THAT(run.err, Catch::Matchers::Contains(part));
  CHECK(scene.folder.List() == before);
}

void WriteSvg(const SmallScene& scene, const std::string& head, const std::string& body) {
  WriteText(scene.folder / "mark.svg",
            head +
                "<svg xmlns=\"http://www.w3.org/2000/svg\" "
                "xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"30mm\" height=\"20mm\">" +
                body + "</svg>");
}

}  // namespace

TEST_CASE("Input: numbers that are none", "[hostile][bad-input]") {
  for (const char* number : {"nan", "inf", "-inf", "1e308", "-1e308"}) {
    SmallScene scene;
    INFO(number);
    scene.Replace("[[80, 60]", std::string("[[") + number + ", 60]");
    CheckRefusedSoon(scene, "scene.toml:9:", "error: surface.corners");
  }
  for (const char* number : {"nan", "inf", "0", "-1"}) {
    SmallScene scene;
    INFO(number);
    scene.Replace("focal_px = 400", std::string("focal_px = ") + number);
    CheckRefusedSoon(scene, "scene.toml:4:", "error: photo.focal_px");
  }
  SmallScene scene;
  scene.Replace("width = 300", "width = nan\nat = [inf, 1]");
  CheckRefusedSoon(scene, "scene.toml:14:", "error: placement.at");
}

TEST_CASE("Input: an SVG whose entities multiply", "[hostile][bad-input]") {
  const SmallScene scene;
  std::string head = "<!DOCTYPE svg [<!ENTITY a0 \"ha\">";
  for (int i = 1; i < 30; ++i) {
    head += "<!ENTITY a" + std::to_string(i) + " \"";
    for (int k = 0; k < 10; ++k) head += "&a" + std::to_string(i - 1) + ";";
    head += "\">";
  }
  WriteSvg(scene, head + "]>", "<text>&a29;</text>");
  CheckRefusedSoon(scene, "mark.svg:", "error: ");
}

TEST_CASE("Input: an SVG that wants files or the network", "[hostile][bad-input]") {
  const SmallScene scene;
  // Outside the SVG's own folder; bitmaps beside it may be shown (artwork.h).
  const TempFolder outside;
  const std::string secret = outside / "secret.png";
  MustRun("/usr/bin/convert -size 4x4 xc:black '" + secret + "'");
  for (const std::string& reference :
       {"file://" + secret, secret, "../" + secret.substr(secret.rfind("/wheatpaste-test-") + 1),
        std::string("http://127.0.0.1:9/a.png")}) {
    INFO(reference);
    WriteSvg(scene, "", "<image width=\"30\" height=\"20\" xlink:href=\"" + reference + "\"/>");
    CheckRefusedSoon(scene, "mark.svg:", "error: ");
  }
  WriteSvg(scene, "<!DOCTYPE svg [<!ENTITY x SYSTEM \"file:///etc/hostname\">]>",
           "<text>&x;</text>");
  CheckRefusedSoon(scene, "mark.svg:", "error: ");
}

TEST_CASE("Input: a photograph that ends early", "[hostile][bad-input]") {
  for (const char* name : {"photo.png", "photo.jpg"}) {
    SmallScene scene(8, name);
    const std::string whole = ReadText(scene.folder / name);
    for (const size_t part : {size_t{0}, size_t{1}, size_t{20}, whole.size() / 2}) {
      INFO(name << ", " << part << " bytes of " << whole.size());
      WriteText(scene.folder / name, whole.substr(0, part));
      CheckRefusedSoon(scene, "scene.toml:3:8: error: photo.file", "");
    }
  }
}

TEST_CASE("Input: a header of 60000 x 60000 px", "[hostile][bad-input]") {
  SmallScene scene;
  // Source  PNG, third edition (W3C 2025), 11.2.1: width and height are bytes 16 to 23 of the file;
  // the
  //         chunk's CRC is that of annex D, worked out by perl here.
  MustRun(
      "cd '" + scene.folder.path() +
      "' && perl -e 'use Compress::Zlib; open F, \"+<\", \"photo.png\"; binmode F; read F, $h, 33; "
      "substr($h, 16, 8) = pack(\"NN\", 60000, 60000); "
      "substr($h, 29, 4) = pack(\"N\", crc32(substr($h, 12, 17))); seek F, 0, 0; print F $h'");
  CheckRefusedSoon(scene, "scene.toml:3:8: error: photo.file", "60000 x 60000");
}

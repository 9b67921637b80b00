// Files that lie, end early, or are no pictures: a clear error, no crash, no memory spent on a
// promise.
#include <cstdlib>
#include <random>

#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "../image/read_support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

const char* const kNames[] = {
    "rgb8.png",        "rgb16.png", "palette.png", "gray.png",  "plain.jpg",  "cmyk.jpg",
    "progressive.jpg", "lzw.tif",   "zip16.tif",   "tiled.tif", "planes.tif", "cmyk.tif",
    "bilevel.tif",     "lab.tif",   "palette.tif", "jpeg.tif",  "exact.webp", "lossy.webp"};

Bytes SmallFile(const std::string& name) {
  const std::string text = ReadText(SourcePath("tests/fuzz/corpus/bitmap/" + name));
  return {text.begin(), text.end()};
}

Result<Bitmap> Decode(const Bytes& bytes) {
  return DecodeBitmap(bytes, {"wall.jpg", {"scene.toml", 4, 8}, "photo.file"});
}

std::string MessageOf(const Bytes& bytes) {
  const auto bitmap = Decode(bytes);
  REQUIRE_FALSE(bitmap.ok());
  return FormatError(bitmap.errors().front());
}

Bytes BytesOf(const std::string& text) { return {text.begin(), text.end()}; }

void PutBigEndian(Bytes& bytes, size_t at, uint32_t value) {
  for (size_t i = 0; i < 4; ++i) bytes[at + i] = static_cast<uint8_t>(value >> (24 - 8 * i));
}

// The checksum of PNG chunks, bit by bit. Source  ISO/IEC 15948:2004, annex D.
uint32_t ChecksumOf(const Bytes& bytes, size_t from, size_t to) {
  uint32_t sum = 0xFFFFFFFFu;
  for (size_t i = from; i < to; ++i) {
    sum ^= bytes[i];
    for (int bit = 0; bit < 8; ++bit) sum = sum & 1 ? 0xEDB88320u ^ (sum >> 1) : sum >> 1;
  }
  return ~sum;
}

// A true PNG whose header says another size, with the right checksum.
Bytes PngOfSize(uint32_t width, uint32_t height) {
  Bytes bytes = SmallFile("rgb8.png");
  PutBigEndian(bytes, 16, width);
  PutBigEndian(bytes, 20, height);
  PutBigEndian(bytes, 29, ChecksumOf(bytes, 12, 29));
  return bytes;
}

// Most memory this process ever held, in KiB.
int64_t PeakKib() {
  struct rusage usage {};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

struct TiffEntry {
  uint16_t tag, type;
  uint32_t count, value;
};

// A little-endian TIFF of one directory and nothing else.
Bytes TiffOf(const std::vector<TiffEntry>& entries, uint32_t next) {
  Bytes bytes = BytesOf(std::string("II*\0\x08\0\0\0", 8));
  const auto put = [&](uint32_t value, int count) {
    for (int i = 0; i < count; ++i) bytes.push_back(static_cast<uint8_t>(value >> (8 * i)));
  };
  put(static_cast<uint32_t>(entries.size()), 2);
  for (const TiffEntry& entry : entries) {
    put(entry.tag, 2);
    put(entry.type, 2);
    put(entry.count, 4);
    put(entry.value, 4);
  }
  put(next, 4);
  return bytes;
}

}  // namespace

TEST_CASE("Bitmaps: the small files of every format read as they are", "[hostile]") {
  for (const char* name : kNames) {
    INFO(name);
    const auto bitmap = Decode(SmallFile(name));
    INFO((bitmap ? "" : FormatErrors(bitmap.errors())));
    CHECK(bitmap.ok());
  }
}

TEST_CASE("Bitmaps: cut anywhere, every file is an error at the key that named it",
          "[hostile][bad-input]") {
  for (const char* name : kNames) {
    const Bytes whole = SmallFile(name);
    const std::string ending = EndingOf(name);
    for (size_t length = 0; length < whole.size(); ++length) {
      INFO(name << " cut to " << length << " of " << whole.size());
      const auto bitmap = Decode({whole.begin(), whole.begin() + static_cast<int64_t>(length)});
      // A TIFF may keep what it does not need behind its pixels, WebP a byte of padding: see below.
      if (bitmap.ok() && (ending == "tif" || length + 1 == whole.size())) {
        REQUIRE(ending != "png");
        REQUIRE(ending != "jpg");
        REQUIRE(bitmap->codes == Decode(whole)->codes);
        continue;
      }
      REQUIRE_FALSE(bitmap.ok());
      const std::string error = FormatError(bitmap.errors().front());
      REQUIRE_THAT(error, Catch::StartsWith("scene.toml:4:8: error: photo.file = \"wall.jpg\": "));
    }
  }
}

TEST_CASE("Bitmaps: flipped bits give a picture or an error, never a crash", "[hostile]") {
  std::mt19937 random(20240711);
  int errors = 0, pictures = 0;
  for (const char* name : kNames) {
    const Bytes whole = SmallFile(name);
    for (int round = 0; round < 400; ++round) {
      Bytes bytes = whole;
      const int flips = 1 + static_cast<int>(random() % 4);
      for (int i = 0; i < flips; ++i) {
        // The second half of the rounds hits headers, where lies are dearest.
        const size_t reach = round < 200 ? bytes.size() : std::min<size_t>(bytes.size(), 128);
        bytes[random() % reach] ^= static_cast<uint8_t>(1u << (random() % 8));
      }
      const auto bitmap = Decode(bytes);
      bitmap.ok() ? ++pictures : ++errors;
      if (bitmap.ok()) {
        REQUIRE(bitmap->codes.size() ==
                static_cast<size_t>(bitmap->row_bytes() * bitmap->size.height));
      }
    }
  }
  CHECK(errors > 1000);
  CHECK(pictures > 100);
}

TEST_CASE("Bitmaps: a header of 60000 x 60000 px is refused before memory is asked for",
          "[hostile][bad-input]") {
  const int64_t before = PeakKib();
  CHECK(
      MessageOf(PngOfSize(60000, 60000)) ==
      "scene.toml:4:8: error: photo.file = \"wall.jpg\": is 60000 x 60000 px, expected 1 to 60000 "
      "px a side and at most 400000000 pixels");
  CHECK_THAT(MessageOf(PngOfSize(70000, 10)), Catch::Contains("is 70000 x 10 px"));
  // Within the limits, and still more than so small a file can unfold to.
  CHECK_THAT(MessageOf(PngOfSize(20000, 20000)),
             Catch::Contains("cannot unfold to the 1200000000 bytes its header promises"));
  Bytes jpeg = SmallFile("plain.jpg");
  for (size_t i = 0; i + 9 < jpeg.size(); ++i) {
    if (jpeg[i] != 0xFF || jpeg[i + 1] != 0xC0) continue;
    jpeg[i + 5] = jpeg[i + 7] = 0x40;
    break;
  }
  CHECK_THAT(MessageOf(jpeg), Catch::Contains("cannot unfold to the"));
  CHECK(PeakKib() - before < 64 * 1024);
}

TEST_CASE("TIFF: absurd tables, offsets beyond the file and directory loops end in an error",
          "[hostile][bad-input]") {
  const int64_t before = PeakKib();
  const auto tiff = [](uint32_t width, uint32_t height, uint32_t rows, uint32_t offset,
                       uint32_t bytes, uint32_t next) {
    return TiffOf({{256, 4, 1, width},
                   {257, 4, 1, height},
                   {258, 3, 1, 8},
                   {259, 3, 1, 1},
                   {262, 3, 1, 1},
                   {273, 4, 1, offset},
                   {277, 3, 1, 1},
                   {278, 4, 1, rows},
                   {279, 4, 1, bytes}},
                  next);
  };
  // Two rows of four pixels, taken from the header itself; the next directory is this one again.
  const auto looped = Decode(tiff(4, 2, 2, 0, 8, 8));
  REQUIRE(looped.ok());
  CHECK(looped->size == SizePx{4, 2});
  CHECK_THAT(MessageOf(tiff(4, 2, 2, 5000, 8, 0)), Catch::Contains("strip 1 of 1 lies outside"));
  CHECK_THAT(MessageOf(tiff(4, 2, 2, 0, 0x7FFFFFFF, 0)), Catch::Contains("error: photo.file"));
  CHECK_THAT(MessageOf(tiff(20000, 20000, 1, 0, 100, 0)), Catch::Contains("error: photo.file"));
  CHECK_THAT(MessageOf(tiff(20000, 20000, 20000, 0, 100, 0)),
             Catch::Contains("of 20000 lies outside the file"));
  // One strip a row, and only one strip's place is told.
  CHECK_THAT(MessageOf(tiff(1, 60000, 1, 0, 1, 0)), Catch::Contains("error: photo.file"));
  CHECK_THAT(MessageOf(tiff(4, 0x7FFFFFFF, 1, 0, 1, 0)), Catch::Contains("error: photo.file"));
  CHECK(PeakKib() - before < 128 * 1024);
}

TEST_CASE("TIFF: samples that are no codes are refused by name", "[hostile][bad-input]") {
  const auto tiff = [](uint32_t bits, uint32_t format) {
    return TiffOf({{256, 4, 1, 2},
                   {257, 4, 1, 2},
                   {258, 3, 1, bits},
                   {259, 3, 1, 1},
                   {262, 3, 1, 1},
                   {273, 4, 1, 0},
                   {277, 3, 1, 1},
                   {278, 4, 1, 2},
                   {279, 4, 1, 16},
                   {339, 3, 1, format}},
                  0);
  };
  CHECK_THAT(
      MessageOf(tiff(32, 3)),
      Catch::Contains("is a TIFF of floating-point samples, expected unsigned whole numbers"));
  CHECK_THAT(MessageOf(tiff(16, 2)), Catch::Contains("is a TIFF of signed samples"));
  CHECK_THAT(MessageOf(tiff(32, 1)),
             Catch::Contains("is a TIFF of 32 bits a sample, expected 1, 2, 4, 8 or 16"));
  CHECK(Decode(tiff(16, 1)).ok());
}

TEST_CASE("PNG: a profile that unfolds to gigabytes is an error", "[hostile][bad-input]") {
  const TempFolder folder;
  // 300 MB of zeros, packed by Perl's zlib to 300 KB, put behind the header as an iCCP chunk.
  WriteText(folder / "bomb.pl",
            "use Compress::Zlib; my $d = compress(\"\\0\" x 300_000_000, 9);\n"
            "my $b = \"iCCP\" . \"p\\0\\0\" . $d;\n"
            "print pack('N', length($b) - 4), $b, pack('N', crc32($b));\n");
  const std::string chunk = MustRun("perl " + folder / "bomb.pl");
  Bytes bytes = SmallFile("rgb8.png");
  bytes.insert(bytes.begin() + 33, chunk.begin(), chunk.end());
  const int64_t before = PeakKib();
  CHECK_THAT(MessageOf(bytes),
             Catch::Contains("its ICC profile and texts unfold to more than 67108864 bytes"));
  CHECK(PeakKib() - before < 256 * 1024);
}

TEST_CASE("Bitmaps: names do not matter, contents do", "[hostile][bad-input]") {
  const TempFolder folder;
  const Bytes jpeg = SmallFile("plain.jpg");
  WriteText(folder / "renamed.png", {jpeg.begin(), jpeg.end()});
  CHECK(MustRead(folder / "renamed.png").exif.orientation == 6);

  struct Known {
    std::string bytes;
    const char* message;
  };
  const Known known[] = {
      {"Dear printer,\nplease", "is a text, expected a JPEG, PNG, TIFF or WebP picture"},
      {"<svg xmlns=''/>", "is an SVG drawing, expected a JPEG"},
      {"%PDF-1.7", "is a PDF document, expected a JPEG"},
      {"GIF89a", "is a GIF picture, expected a JPEG"},
      {std::string("\0\0\0\x18"
                   "ftypheic",
                   12),
       "is an ISO media file, such as HEIF or AVIF, expected"},
      {std::string("\0\1\2\3", 4), "is of no known kind, expected a JPEG"},
      {"", "is empty, expected a JPEG, PNG, TIFF or WebP picture"},
  };
  for (const Known& file : known) {
    WriteText(folder / "picture.png", file.bytes);
    CHECK_THAT(ErrorOf(folder / "picture.png"), Catch::Contains(file.message));
  }
}

TEST_CASE("Bitmaps: folders, pipes and missing files are errors at once", "[hostile][bad-input]") {
  const TempFolder folder;
  CHECK_THAT(ErrorOf(folder.path()), Catch::Contains("expected a regular file"));
  REQUIRE(mkfifo((folder / "pipe.png").c_str(), 0600) == 0);
  CHECK_THAT(ErrorOf(folder / "pipe.png"), Catch::Contains("expected a regular file"));
  CHECK_THAT(ErrorOf(folder / "none.png"), Catch::Contains("cannot open, no such file"));
}

TEST_CASE("Bitmaps: the libraries print nothing", "[hostile]") {
  const TempFolder folder;
  const std::string log = folder / "stderr";
  std::fflush(stderr);
  const int kept = dup(2);
  REQUIRE(std::freopen(log.c_str(), "w", stderr) != nullptr);
  for (const char* name : kNames) {
    const Bytes whole = SmallFile(name);
    for (size_t length = 1; length < whole.size(); length += 7) {
      Bytes bytes(whole.begin(), whole.begin() + static_cast<int64_t>(length));
      (void)Decode(bytes);
      bytes = whole;
      bytes[length] ^= 0x55;
      (void)Decode(bytes);
    }
  }
  std::fflush(stderr);
  dup2(kept, 2);
  close(kept);
  CHECK(ReadText(log).empty());
}

// PDF: one page at true size, its picture row by row.
//
// Model   the page is the raster at its density; TrimBox and BleedBox are the facts' rectangles. Sides beyond 14400
//         units, the most that readers must take, are told with UserUnit. The picture is an image of 8 bits a channel
//         in the profile's colour space, deflated, or as JPEG; its length is an object of its own, written after it,
//         so that nothing is held but a band (libqpdf 11, which could write the rest, collects each stream in memory).
// CMYK    the profile is also the page's output intent. That says for which condition the colours were separated; the
//         file does not claim to conform to PDF/X, whose dates would change its bytes from run to run.
// Source  ISO 32000-1:2008 (PDF 1.7): 7.4.4.4 (predictor 2), 7.5, 8.6.5.5 (ICCBased), 8.9.5, 14.3, 14.4, 14.11.2, 14.11.5,
//         annex C.2 (14400 units).
#include <cmath>

#include <zlib.h>

#include <fmt/format.h>

#include "base/parallel.h"
#include "base/plain_text.h"
#include "output/deflate.h"
#include "output/write_formats.h"

namespace wheatpaste {
namespace {

constexpr double kMaxUnits = 14400;
constexpr size_t kMaxTitleCharacters = 1000;
constexpr int64_t kMaxOffset = 9'999'999'999;  // ten digits of the cross-reference table

// Numbers of the objects, in the order in which they stand in the file.
enum Object {
  kCatalog = 1,
  kPages,
  kPage,
  kContent,
  kInfo,
  kMetadata,
  kProfile,
  kPicture,
  kLength,
  kObjectCount
};

// Objects one after another, and where each begins.
class PdfFile {
 public:
  explicit PdfFile(PictureSink& sink) : sink_(sink) {
    // Bytes above 127 tell those who look that the file is not text (7.5.2).
    Put("%PDF-1.7\n%\xE2\xE3\xCF\xD3\n");
  }

  void Put(std::string_view text) { sink_.Write(text.data(), text.size()); }
  void Put(const Bytes& bytes) { sink_.Write(bytes.data(), bytes.size()); }

  // entries  of a dictionary.
  void PutObject(Object number, const std::string& entries) {
    Begin(number);
    Put("<<" + entries + ">>");
    End();
  }

  void PutNumber(Object number, int64_t value) {
    Begin(number);
    Put(fmt::format("{}", value));
    End();
  }

  // entries  of its dictionary, with the length.
  void BeginStream(Object number, const std::string& entries) {
    Begin(number);
    Put("<<" + entries + ">>\nstream\n");
  }
  void EndStream() {
    Put("\nendstream");
    End();
  }

  // entries  of its dictionary, without the length.
  template <typename Data>
  void PutStream(Object number, const std::string& entries, const Data& data) {
    BeginStream(number, fmt::format("{} /Length {}", entries, data.size()));
    Put(data);
    EndStream();
  }

  // Cross-reference table and trailer; objects that were not written are free (7.5.4).
  void Finish(std::string_view trailer) {
    const int64_t table = sink_.written();
    std::string text =
        fmt::format("xref\n0 {}\n0000000000 65535 f \n", static_cast<int>(kObjectCount));
    for (int i = 1; i < kObjectCount; ++i) {
      text +=
          starts_[i] > 0 ? fmt::format("{:010} 00000 n \n", starts_[i]) : "0000000000 65535 f \n";
    }
    Put(text);
    Put(fmt::format("trailer\n<</Size {} {}>>\nstartxref\n{}\n%%EOF\n",
                    static_cast<int>(kObjectCount), trailer, table));
  }

 private:
  void Begin(Object number) {
    starts_[number] = sink_.written();
    Put(fmt::format("{} 0 obj\n", static_cast<int>(number)));
  }
  void End() { Put("\nendobj\n"); }

  PictureSink& sink_;
  int64_t starts_[kObjectCount] = {};
};

// UTF-16 with its mark, as hexadecimal digits (7.9.2.2): no character of it can end the string.
std::string TextString(const std::string& text) {
  std::string digits = "<FEFF";
  for (const char32_t c : PlainCharacters(text, kMaxTitleCharacters)) {
    const auto value = static_cast<uint32_t>(c);
    if (value < 0x10000) {
      digits += fmt::format("{:04X}", value);
    } else {
      digits += fmt::format("{:04X}{:04X}", 0xD800 + ((value - 0x10000) >> 10),
                            0xDC00 + ((value - 0x10000) & 0x3FF));
    }
  }
  return digits + ">";
}

// px of the raster, y down, to units of the page, y up.
class PageScale {
 public:
  explicit PageScale(const PictureFacts& facts)
      : size_(facts.size), points_per_px_(kPointsPerInch / facts.density.value) {
    WHEATPASTE_CHECK_OP(facts.density.value, >, 0);
    const double side = static_cast<double>(std::max(size_.width, size_.height)) * points_per_px_;
    user_unit_ = std::max(1.0, std::ceil(side / kMaxUnits));
  }
  double user_unit() const { return user_unit_; }
  double Units(int64_t px) const { return static_cast<double>(px) * points_per_px_ / user_unit_; }
  std::string Box(const RectPx& px) const {
    return fmt::format("[{:.4f} {:.4f} {:.4f} {:.4f}]", Units(px.x0), Units(size_.height - px.y1),
                       Units(px.x1), Units(size_.height - px.y0));
  }

 private:
  SizePx size_;
  double points_per_px_;
  double user_unit_ = 1;
};

// Rows deflated in pieces, several at once.
void PutDeflated(PdfFile& file, PictureSink& sink, const PictureFacts& facts,
                 const RowSource& rows) {
  const int64_t row_bytes = RowBytes(facts), piece_rows = RowsPerPiece(row_bytes);
  JoinedStream stream;
  file.Put(JoinedStream::Head());
  ForEachBand(
      facts, rows, piece_rows * kPiecesAtOnce, [&](const uint8_t* band, int64_t y0, int64_t y1) {
        std::vector<JoinedStream::Piece> pieces(
            static_cast<size_t>((y1 - y0 + piece_rows - 1) / piece_rows));
        ParallelRows(y1 - y0, piece_rows, [&](int64_t from, int64_t to) {
          Bytes codes(band + from * row_bytes, band + to * row_bytes);
          TakeDifferences(facts, facts.size.width, to - from, codes.data());
          pieces[static_cast<size_t>(from / piece_rows)] =
              JoinedStream::Deflate(codes.data(), codes.size(), y0 + to == facts.size.height);
        });
        for (const JoinedStream::Piece& piece : pieces) {
          file.Put(piece.deflated);
          stream.Count(piece);
        }
        return !sink.failed();
      });
  file.Put(stream.Tail());
}

std::string Reference(Object number) { return fmt::format("{} 0 R", static_cast<int>(number)); }

std::string CatalogEntries(const PictureFacts& facts) {
  std::string entries = "/Type /Catalog /Pages " + Reference(kPages);
  if (!facts.xmp.empty()) entries += " /Metadata " + Reference(kMetadata);
  if (ChannelsOf(facts) == 4) {
    entries += fmt::format(
        " /OutputIntents [<</Type /OutputIntent /S /GTS_PDFX /OutputConditionIdentifier (Custom)"
        " /Info {} /DestOutputProfile {}>>]",
        TextString(facts.profile->description()), Reference(kProfile));
  }
  return entries;
}

std::string PageEntries(const PictureFacts& facts, const PageScale& scale) {
  const RectPx whole = WholeOf(facts.size);
  const RectPx bleed = facts.bleed.empty() ? whole : facts.bleed;
  const RectPx trim = facts.trim.empty() ? bleed : facts.trim;
  WHEATPASTE_CHECK(Intersect(bleed, whole) == bleed && Intersect(trim, bleed) == trim);
  std::string entries =
      fmt::format("/Type /Page /Parent {} /MediaBox {} /TrimBox {} /BleedBox {}", Reference(kPages),
                  scale.Box(whole), scale.Box(trim), scale.Box(bleed));
  if (scale.user_unit() > 1) entries += fmt::format(" /UserUnit {:.0f}", scale.user_unit());
  return entries + fmt::format(" /Contents {} /Resources <</XObject <</Picture {}>>>>",
                               Reference(kContent), Reference(kPicture));
}

std::string PictureEntries(const PictureFacts& facts) {
  std::string entries =
      fmt::format("/Type /XObject /Subtype /Image /Width {} /Height {} /BitsPerComponent 8",
                  facts.size.width, facts.size.height);
  entries += facts.profile == nullptr
                 ? " /ColorSpace /DeviceRGB"
                 : fmt::format(" /ColorSpace [/ICCBased {}]", Reference(kProfile));
  if (facts.jpeg_in_pdf) return entries + " /Filter /DCTDecode";
  return entries +
         fmt::format(" /Filter /FlateDecode /DecodeParms <</Predictor 2 /Colors {} /Columns {}>>",
                     ChannelsOf(facts), facts.size.width);
}

// All but the picture. Returns text that tells one page from another.
std::string PutPage(PdfFile& file, const PictureFacts& facts) {
  const PageScale scale(facts);
  const std::string page = PageEntries(facts, scale);
  file.PutObject(kCatalog, CatalogEntries(facts));
  file.PutObject(kPages, fmt::format("/Type /Pages /Count 1 /Kids [{}]", Reference(kPage)));
  file.PutObject(kPage, page);
  file.PutStream(kContent, "",
                 fmt::format("q {:.4f} 0 0 {:.4f} 0 0 cm /Picture Do Q",
                             scale.Units(facts.size.width), scale.Units(facts.size.height)));
  if (!facts.title.empty()) file.PutObject(kInfo, "/Title " + TextString(facts.title));
  // Left as it is, so that programs that know nothing of PDF find it (14.3.2).
  if (!facts.xmp.empty()) file.PutStream(kMetadata, "/Type /Metadata /Subtype /XML", facts.xmp);
  if (facts.profile != nullptr) {
    const Bytes& bytes = facts.profile->bytes();
    file.PutStream(kProfile, fmt::format("/N {} /Filter /FlateDecode", ChannelsOf(facts)),
                   ZlibStream(bytes.data(), bytes.size()));
  }
  return page + facts.title + facts.xmp;
}

}  // namespace

Status EncodePdf(PictureSink& sink, const PictureFacts& facts, const RowSource& rows) {
  PdfFile file(sink);
  const std::string words = PutPage(file, facts);
  uLong code_check = 0;
  const RowSource checked_rows = [&](int64_t y0, int64_t y1) {
    const uint8_t* band = rows(y0, y1);
    code_check = crc32_z(code_check, band, static_cast<size_t>((y1 - y0) * RowBytes(facts)));
    return band;
  };
  file.BeginStream(kPicture, PictureEntries(facts) + " /Length " + Reference(kLength));
  const int64_t start = sink.written();
  if (facts.jpeg_in_pdf) {
    if (auto written = EncodeJpegInPdf(sink, facts, checked_rows); !written) return written;
  } else {
    PutDeflated(file, sink, facts, checked_rows);
  }
  const int64_t length = sink.written() - start;
  file.EndStream();
  if (sink.written() > kMaxOffset) return sink.Failure("PDF", "its bytes would be more than 10 GB");
  file.PutNumber(kLength, length);
  // An identifier that is the contents' own, so that the same picture gives the same file (14.4).
  const uLong word_check = crc32_z(0, reinterpret_cast<const Bytef*>(words.data()), words.size());
  const std::string id = fmt::format("<{:08X}{:08X}{:016X}>", code_check, word_check, length);
  file.Finish(fmt::format("/Root {} /ID [{} {}]{}", Reference(kCatalog), id, id,
                          facts.title.empty() ? "" : " /Info " + Reference(kInfo)));
  if (sink.failed()) return sink.Failure("PDF", "");
  return Done{};
}

}  // namespace wheatpaste

#include "present/pdf_pages.h"

#include <utility>

#include <cairo-pdf.h>
#include <fmt/format.h>

#include "base/files.h"
#include "base/plain_text.h"
#include "base/units.h"

namespace wheatpaste {
namespace {

constexpr double kPointsPerMm = kPointsPerInch / kMmPerInch;
constexpr size_t kMostCharacters = 300;  // of a title or an entry of the outline

// Grouping elements of ISO 32000-1, 14.8.4.2. Around everything else, for without them cairo 1.16 leaves out the
// structure and numbers objects that it never writes.
constexpr char kWholeTag[] = "Document";
constexpr char kPageTag[] = "Sect";

std::string PlainText(const std::string& text) {
  std::string plain;
  for (const char32_t character : PlainCharacters(text, kMostCharacters)) {
    AppendUtf8(plain, character);
  }
  return plain;
}

}  // namespace

struct PdfPages::Document {
  PendingFile file;
  Errors errors;  // the first that writing met
  cairo_surface_t* surface = nullptr;
  cairo_t* cairo = nullptr;
  std::optional<Page> page;

  explicit Document(PendingFile pending) : file(std::move(pending)) {}
  Document(const Document&) = delete;
  Document& operator=(const Document&) = delete;
  ~Document() { Close(); }

  static cairo_status_t Write(void* closure, const unsigned char* data, unsigned int size) {
    auto& self = *static_cast<Document*>(closure);
    if (!self.errors.empty()) return CAIRO_STATUS_WRITE_ERROR;
    const Status written = self.file.Write(data, size);
    if (!written) self.errors = written.errors();
    return written ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
  }

  void EndPage() {
    if (!page) return;
    cairo_tag_end(cairo, kPageTag);
    page.reset();
  }

  // What cairo has to say at the end.
  cairo_status_t Close() {
    if (cairo == nullptr) return CAIRO_STATUS_SUCCESS;
    if (page) {
      EndPage();
      cairo_tag_end(cairo, kWholeTag);
      cairo_show_page(cairo);
    }
    cairo_status_t status = cairo_status(cairo);
    cairo_destroy(std::exchange(cairo, nullptr));
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface);
    cairo_surface_destroy(std::exchange(surface, nullptr));
    return status;
  }
};

PdfPages::PdfPages(std::unique_ptr<Document> document) : document_(std::move(document)) {}
PdfPages::PdfPages(PdfPages&&) noexcept = default;
PdfPages::~PdfPages() = default;

Result<PdfPages> PdfPages::Create(const std::string& path, const PdfFacts& facts) {
  auto file = PendingFile::Create(path);
  if (!file) return file.errors();
  auto document = std::make_unique<Document>(*std::move(file));
  // Each page says its own size.
  document->surface = cairo_pdf_surface_create_for_stream(Document::Write, document.get(), 1, 1);
  const auto tell = [&](cairo_pdf_metadata_t what, const std::string& text) {
    cairo_pdf_surface_set_metadata(document->surface, what, text.c_str());
  };
  tell(CAIRO_PDF_METADATA_TITLE, PlainText(facts.title));
  tell(CAIRO_PDF_METADATA_SUBJECT, PlainText(facts.subject));
  tell(CAIRO_PDF_METADATA_CREATOR, PlainText(facts.program));
  // cairo would take the clock's; what is no date it leaves out.
  tell(CAIRO_PDF_METADATA_CREATE_DATE, "none");
  document->cairo = cairo_create(document->surface);
  return PdfPages(std::move(document));
}

const Page& PdfPages::NewPage(SizeMm size) {
  size_t number = 1;
  if (document_->page) {
    number = document_->page->number() + 1;
    document_->EndPage();
    cairo_show_page(document_->cairo);
  }
  cairo_pdf_surface_set_size(document_->surface, size.width * kPointsPerMm,
                             size.height * kPointsPerMm);
  cairo_identity_matrix(document_->cairo);
  cairo_scale(document_->cairo, kPointsPerMm, kPointsPerMm);
  // Only now: a new size drops what was begun before it.
  if (number == 1) cairo_tag_begin(document_->cairo, kWholeTag, nullptr);
  cairo_tag_begin(document_->cairo, kPageTag, nullptr);
  return document_->page.emplace(document_->cairo, size, number);
}

int PdfPages::AddOutline(const std::string& text, std::optional<int> parent) {
  WHEATPASTE_CHECK(document_->page.has_value());
  return cairo_pdf_surface_add_outline(
      document_->surface, parent.value_or(CAIRO_PDF_OUTLINE_ROOT), PlainText(text).c_str(),
      fmt::format("page={}", document_->page->number()).c_str(), cairo_pdf_outline_flags_t{});
}

Result<int64_t> PdfPages::Finish() {
  const cairo_status_t status = document_->Close();
  if (!document_->errors.empty()) return document_->errors;
  if (status != CAIRO_STATUS_SUCCESS) {
    return Error{{PrintableText(document_->file.path())},
                 "",
                 fmt::format("cannot write the PDF: {}", cairo_status_to_string(status))};
  }
  return document_->file.Commit();
}

}  // namespace wheatpaste

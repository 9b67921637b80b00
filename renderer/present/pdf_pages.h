// pdf_pages.h - a PDF of pages, written page by page; it appears under its name whole or not at all.
//
// Model   cairo's PDF surface: text as text with its fonts embedded, JPEG as it is, a structure that can be read aloud
//         (page.h), an outline. No date is written, so the same pages are the same bytes at any time.
// Source  ISO 32000-1:2008.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "base/error.h"
#include "present/page.h"

namespace wheatpaste {

struct PdfFacts {
  std::string title;
  std::string subject;  // what it is, in a sentence
  std::string program;  // that made it
};

class PdfPages {
 public:
  // errors  as PendingFile::Create.
  static Result<PdfPages> Create(const std::string& path, const PdfFacts& facts);
  PdfPages(PdfPages&&) noexcept;
  PdfPages& operator=(PdfPages&&) = delete;
  ~PdfPages();

  // Ends the page before. What it returns lives until the next call; numbers count from 1.
  const Page& NewPage(SizeMm size);

  // An entry of the outline that leads to the current page. parent  what an earlier call returned; none: at the top.
  int AddOutline(const std::string& text, std::optional<int> parent = {});

  // errors  disk full and every other refusal of the system, in its own words; nothing is left behind.
  // returns the file's size in bytes.
  Result<int64_t> Finish();

 private:
  struct Document;
  explicit PdfPages(std::unique_ptr<Document> document);
  std::unique_ptr<Document> document_;
};

}  // namespace wheatpaste

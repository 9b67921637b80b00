// read_pdf.h - the first page of a PDF as SVG, by the program pdftocairo (package poppler-utils).
//
// Model   `pdftocairo -svg -f 1 -l 1`: shapes and outlines of lettering stay vectors, embedded
//         pictures come along as PNG, the page's crop box is the SVG's size (pdftocairo's own rule
//         for SVG; tests/artwork/read_pdf_test.cc). Colours of ICC and CMYK spaces are turned to
//         sRGB by poppler. Nothing is painted behind the page: unprinted paper stays clear.
// Safety  no shell; the file goes through a private temporary folder, which is removed in every
//         case; a process of its own with limits on memory, CPU time, output size and wall time;
//         its messages are caught and shortened to one line.
#pragma once

#include "base/error.h"
#include "base/files.h"

namespace wheatpaste {

inline constexpr int64_t kPdfMemoryBytes = int64_t{4} << 30;
inline constexpr int kPdfSeconds = 60;
inline constexpr int64_t kPdfSvgBytes = int64_t{512} << 20;

// errors  pdftocairo is not installed, refuses the file (encrypted, damaged, no page), or passes a
//         limit; at `path`.
// program the name that is looked up in PATH.
Result<Bytes> SvgFromPdf(const Bytes& pdf, const Placed<std::string>& path,
                         const std::string& program = "pdftocairo");

}  // namespace wheatpaste

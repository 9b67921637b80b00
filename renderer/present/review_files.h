// review_files.h - the files of present/review/, as they were when the program was built.
#pragma once

#include <string_view>

namespace wheatpaste {

extern const std::string_view kReviewPage;    // page.html
extern const std::string_view kReviewStyle;   // page.css
extern const std::string_view kReviewScript;  // the scripts, joined

}  // namespace wheatpaste

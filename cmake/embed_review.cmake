# Writes the C++ file that holds the review page's files (renderer/present/review_files.h), byte by byte.
#
#   cmake -DFOLDER=renderer/present/review -DOUT=review_files.cc "-DSCRIPTS=a.js b.js" -P embed_review.cmake
separate_arguments(SCRIPTS)
set(text "#include \"present/review_files.h\"\n\nnamespace wheatpaste {\nnamespace {\n\n")

function(add_array name)
  set(all "")
  foreach(file IN LISTS ARGN)
    file(READ ${FOLDER}/${file} hex HEX)
    string(APPEND all "${hex}")
  endforeach()
  string(REGEX REPLACE "(..)" "0x\\1," bytes "${all}")
  string(REGEX REPLACE "((0x..,)(0x..,)?(0x..,)?(0x..,)?(0x..,)?(0x..,)?(0x..,)?(0x..,)?)" "\\1\n" bytes "${bytes}")
  set(text "${text}constexpr unsigned char ${name}[] = {\n${bytes}};\n" PARENT_SCOPE)
endfunction()

add_array(kPageBytes page.html)
add_array(kStyleBytes page.css)
add_array(kScriptBytes ${SCRIPTS})
string(APPEND text "
template <unsigned long kSize>
std::string_view TextOf(const unsigned char (&bytes)[kSize]) {
  return {reinterpret_cast<const char*>(bytes), kSize};
}

}  // namespace

const std::string_view kReviewPage = TextOf(kPageBytes);
const std::string_view kReviewStyle = TextOf(kStyleBytes);
const std::string_view kReviewScript = TextOf(kScriptBytes);

}  // namespace wheatpaste
")
file(WRITE ${OUT} "${text}")

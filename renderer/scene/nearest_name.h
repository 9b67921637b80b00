// nearest_name.h - "did you mean": the known name that lies closest to a misspelt one.
//
// Model   edit distance with insertion, removal, replacement and exchange of neighbours, each at
//         cost 1, no part edited twice (restricted Damerau-Levenshtein); upper and lower case are
//         equal.
// Source  R. A. Wagner, R. Lowrance 1975, J. ACM 22(2), 177-183, doi:10.1145/321879.321880.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace wheatpaste {

// Number of edits between two byte strings, as above.
size_t EditDistance(std::string_view first, std::string_view second);

// The nearest of `known`, or "" where none is near: at most a third of the longer name's bytes may
// differ, and at least one always may. Names above 64 bytes are near to nothing.
std::string NearestName(std::string_view name, const std::vector<std::string>& known);

// A quoted list for messages: "a", "b" and "c"; past `most` names the rest is counted.
std::string QuotedList(const std::vector<std::string>& names, size_t most = 12);

}  // namespace wheatpaste

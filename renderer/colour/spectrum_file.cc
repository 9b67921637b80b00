#include "colour/spectrum_file.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <optional>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

constexpr double kLeastNm = 300, kMostNm = 1100;
constexpr double kNeededFromNm = 400, kNeededToNm = 700, kWidestStepNm = 20;
constexpr double kLargestShare = 2;

struct Word {
  std::string_view text;
  uint32_t line;
};

// Words between white space; "quoted ones" whole; # starts a comment.
std::vector<Word> WordsOf(std::string_view text) {
  std::vector<Word> words;
  uint32_t line = 1;
  for (size_t i = 0; i < text.size();) {
    const char c = text[i];
    if (c == '\n') ++line;
    if (c == ' ' || c == '\t' || c == '\r' || c == '\n') {
      ++i;
    } else if (c == '#') {
      while (i < text.size() && text[i] != '\n') ++i;
    } else if (c == '"') {
      const size_t end = std::min(text.find('"', i + 1), text.size());
      words.push_back({text.substr(i + 1, end - i - 1), line});
      line += static_cast<uint32_t>(std::count(text.begin() + static_cast<ptrdiff_t>(i),
                                               text.begin() + static_cast<ptrdiff_t>(end), '\n'));
      i = end + 1;
    } else {
      const size_t end = std::min(text.find_first_of(" \t\r\n", i), text.size());
      words.push_back({text.substr(i, end - i), line});
      i = end;
    }
  }
  return words;
}

std::optional<double> NumberOf(std::string_view text) {
  double number = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (fault != std::errc() || end != text.data() + text.size() || !std::isfinite(number)) {
    return std::nullopt;
  }
  return number;
}

// Of a field's name, where it is one.
std::optional<double> WavelengthOf(std::string_view name) {
  std::string upper(name);
  for (char& c : upper) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  std::string_view rest = upper;
  for (const std::string_view prefix :
       {"SPECTRAL_NM_", "SPECTRAL_NM", "SPECTRAL_", "SPEC_", "NM_", "NM", "R_"}) {
    if (!rest.starts_with(prefix)) continue;
    rest.remove_prefix(prefix.size());
    if (rest.ends_with("NM")) rest.remove_suffix(2);
    const auto nm = NumberOf(rest);
    return nm && *nm >= kLeastNm && *nm <= kMostNm ? nm : std::nullopt;
  }
  return std::nullopt;
}

class Reader {
 public:
  Reader(std::string_view text, const Placed<std::string>& path)
      : words_(WordsOf(text)), path_(path) {}

  Result<Spectrum> Read() {
    const size_t format = Find("BEGIN_DATA_FORMAT", 0), data = Find("BEGIN_DATA", 0);
    if (format == words_.size() || data == words_.size()) {
      return Wrong(0, "expected a CGATS text file with BEGIN_DATA_FORMAT and BEGIN_DATA");
    }
    const size_t format_end = Find("END_DATA_FORMAT", format), data_end = Find("END_DATA", data);
    if (format_end == words_.size()) return Wrong(LineOf(format), "END_DATA_FORMAT is missing");
    if (data_end == words_.size()) return Wrong(LineOf(data), "END_DATA is missing");
    const size_t fields = format_end - format - 1, values = data_end - data - 1;
    std::map<double, size_t> columns;  // by wavelength
    for (size_t i = 0; i < fields; ++i) {
      const auto nm = WavelengthOf(words_[format + 1 + i].text);
      if (nm && !columns.emplace(*nm, i).second) {
        return Wrong(LineOf(format + 1 + i), fmt::format("{:g} nm stands twice", *nm));
      }
    }
    if (auto gap = GapIn(columns, LineOf(format))) return *gap;
    if (values == 0 || values % fields != 0) {
      return Wrong(LineOf(data),
                   fmt::format("{} values, expected rows of {} fields each", values, fields));
    }
    std::map<double, double> mean;
    const size_t rows = values / fields;
    for (size_t row = 0; row < rows; ++row) {
      for (const auto& [nm, column] : columns) {
        const size_t at = data + 1 + row * fields + column;
        const auto value = NumberOf(words_[at].text);
        if (!value) {
          return Wrong(LineOf(at),
                       fmt::format("{} at {:g} nm, expected a number",
                                   PrintableText(std::string(words_[at].text), 40), nm));
        }
        mean[nm] += *value / static_cast<double>(rows);
      }
    }
    return Resample(mean, LineOf(data));
  }

 private:
  size_t Find(std::string_view keyword, size_t from) const {
    for (size_t i = from; i < words_.size(); ++i) {
      if (words_[i].text == keyword) return i;
    }
    return words_.size();
  }
  uint32_t LineOf(size_t word) const { return words_[word].line; }
  Error Wrong(uint32_t line, const std::string& message) const {
    Place place{PrintableText(path_.value), line, line > 0 ? 1u : 0u};
    return {place, "", message};
  }

  std::optional<Error> GapIn(const std::map<double, size_t>& columns, uint32_t line) const {
    if (columns.empty()) {
      return Wrong(line, "has no spectra: expected fields such as SPECTRAL_NM400");
    }
    double before = columns.begin()->first;
    if (before > kNeededFromNm || columns.rbegin()->first < kNeededToNm) {
      return Wrong(line,
                   fmt::format("the spectrum runs from {:g} to {:g} nm, expected {:g} to {:g} "
                               "nm at least",
                               before, columns.rbegin()->first, kNeededFromNm, kNeededToNm));
    }
    for (const auto& [nm, column] : columns) {
      if (nm - before > kWidestStepNm) {
        return Wrong(line,
                     fmt::format("the spectrum has a gap from {:g} to {:g} nm, expected steps "
                                 "of {:g} nm at most",
                                 before, nm, kWidestStepNm));
      }
      before = nm;
    }
    return std::nullopt;
  }

  Result<Spectrum> Resample(const std::map<double, double>& values, uint32_t line) const {
    double largest = 0;
    for (const auto& [nm, value] : values) largest = std::max(largest, value);
    double scale = largest > kLargestShare ? 100 : 1;
    if (const size_t norm = Find("SPECTRAL_NORM", 0); norm + 1 < words_.size()) {
      const auto number = NumberOf(words_[norm + 1].text);
      if (number && *number > 0) scale = *number;
    }
    for (const auto& [nm, value] : values) {
      if (value < 0 || value / scale > kMostReflectance) {
        return Wrong(line, fmt::format("the reflectance at {:g} nm is {:g}, expected 0 to {:g}", nm,
                                       value / scale, kMostReflectance));
      }
    }
    Spectrum spectrum;
    for (size_t i = 0; i < kSpectrumBands; ++i) {
      const double nm = kFirstNm + kStepNm * static_cast<double>(i);
      const auto high = values.lower_bound(nm);
      double value = 0;
      if (high == values.begin()) {
        value = high->second;
      } else if (high == values.end()) {
        value = values.rbegin()->second;
      } else {
        const auto low = std::prev(high);
        const double t = (nm - low->first) / (high->first - low->first);
        value = low->second + t * (high->second - low->second);
      }
      spectrum.at[i] = std::min(1.0, value / scale);
    }
    return spectrum;
  }

  std::vector<Word> words_;
  const Placed<std::string>& path_;
};

}  // namespace

Result<Spectrum> ParseSpectrumFile(std::string_view text, const Placed<std::string>& path) {
  return Reader(text, path).Read();
}

Result<Spectrum> ReadSpectrumFile(const Placed<std::string>& path) {
  const auto bytes = ReadWholeFile(path, kMaxSpectrumBytes);
  if (!bytes) return bytes.errors();
  return ParseSpectrumFile({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path);
}

}  // namespace wheatpaste

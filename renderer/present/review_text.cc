#include "present/review_text.h"

#include <fmt/format.h>

#include "base/base64.h"
#include "base/digest.h"

namespace wheatpaste {
namespace {

// 2.3.1 of the policy's standard.
std::string HashSource(std::string_view text) {
  Sha256 digest;
  digest.Add(text.data(), text.size());
  const auto bytes = digest.Digest();
  return "'sha256-" + Base64Of(bytes.data(), bytes.size()) + "'";
}

}  // namespace

std::string JpegUrl(const Bytes& jpeg) {
  return "data:image/jpeg;base64," + Base64Of(jpeg.data(), jpeg.size());
}

std::string UrlOfName(const std::string& name) {
  std::string url;
  for (const char c : name) {
    const bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                       c == '-' || c == '.' || c == '_' || c == '~';
    url += plain ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
  }
  return url;
}

std::string ScriptJson(const std::string& json) {
  std::string text;
  for (const char c : json) {
    if (c == '<') {
      text += "\\u003c";
    } else {
      text += c;
    }
  }
  return text;
}

std::string ReviewPolicy(std::string_view style, std::string_view script, bool linked) {
  return fmt::format(
      "default-src 'none'; img-src data: blob:{}; style-src {}; script-src {}; base-uri 'none'; "
      "form-action 'none'",
      linked ? " 'self' file:" : "", HashSource(style), HashSource(script));
}

}  // namespace wheatpaste

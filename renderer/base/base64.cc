#include "base/base64.h"

#include <cstdint>

#include <nettle/base64.h>

namespace wheatpaste {

std::string Base64Of(const void* data, size_t size) {
  std::string text(BASE64_ENCODE_RAW_LENGTH(size), '\0');
  base64_encode_raw(text.data(), size, static_cast<const uint8_t*>(data));
  return text;
}

}  // namespace wheatpaste

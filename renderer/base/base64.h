// base64.h - bytes as text.
//
// Source  RFC 4648, section 4 (with padding); done by Nettle.
#pragma once

#include <cstddef>
#include <string>

namespace wheatpaste {

std::string Base64Of(const void* data, size_t size);

}  // namespace wheatpaste

// smoothstep.h - a soft switch.
//
// Model   t^2 (3 - 2 t) with t = (x - from) / (to - from) held within 0 and 1: 0 up to `from`, 1 beyond `to`, level at both.
#pragma once

#include <algorithm>

namespace wheatpaste {

template <typename Number>
Number Smoothstep(Number from, Number to, Number x) {
  const Number t = std::clamp((x - from) / (to - from), Number{0}, Number{1});
  return t * t * (3 - 2 * t);
}

}  // namespace wheatpaste

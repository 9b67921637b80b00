// floor_of.h - the whole number at or below a number, without a call.
#pragma once

namespace wheatpaste {

// x  of less than 2^31.
inline int FloorOf(float x) {
  const int whole = static_cast<int>(x);
  return whole - (static_cast<float>(whole) > x);
}

}  // namespace wheatpaste

// matrix.h - 3 x 3 matrices between colour spaces; inside colour/ only.
#pragma once

#include "colour/colour.h"

namespace wheatpaste {

Matrix3 Multiply(const Matrix3& a, const Matrix3& b);

// False where `m` has no inverse worth having.
bool Invert(const Matrix3& m, Matrix3* inverse);

}  // namespace wheatpaste

// adapt.h - between the working space (D65) and the print trade's Lab (D50, 2 degrees).
//
// Model   xyz_d50 = B xyz_d65, B the linear Bradford transform; Lab by CIE 15:2018, 8.2.1.
// Source  ICC.1:2022, annex E (Bradford); the matrix for the whites of colour.h: tests/colour/adapt_test.cc.
#pragma once

#include "colour/colour.h"

namespace wheatpaste {

Xyz D50FromD65(const Xyz& xyz);
Xyz D65FromD50(const Xyz& xyz);

// Of tristimulus values relative to the D50 white.
SceneLinear LinearFromXyzD50(const Xyz& xyz);

// Not clamped: a Lab that no display shows has negative parts.
SceneLinear LinearFromLabD50(const Lab& lab);
Lab LabD50FromLinear(const SceneLinear& linear);

Xyz XyzFromLab(const Lab& lab, const Xyz& white);

}  // namespace wheatpaste

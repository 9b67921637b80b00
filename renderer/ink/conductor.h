// conductor.h - how much light metals return, from their measured optical constants.
//
// Model   complex refractive index n + i k; straight on  F0 = ((n - 1)^2 + k^2) / ((n + 1)^2 + k^2);
//         at the angle whose cosine is c  F = F0 + (1 - F0) (1 - c)^5  (Schlick).
// Bands   the working primaries' red, green, blue are taken at kBandsNm; n and k straight between measured wavelengths.
// Source  Johnson, Christy 1972, Phys. Rev. B 6, 4370-4379 (gold, silver, copper); Rakic 1995, Appl. Opt. 34(22), 4755-4767
//         (aluminium); both as the refractiveindex.info database tabulates them (public domain, CC0).
//         Schlick 1994, Computer Graphics Forum 13(3), 233-246. Metals' dip before glancing angles is left out with it.
#pragma once

#include "scene/finish.h"

namespace wheatpaste {

inline constexpr double kBandsNm[3] = {650, 550, 450};

struct RefractiveIndex {
  double n = 1, k = 0;
};

// wavelength_nm  450 to 650.
RefractiveIndex IndexOf(Metal metal, double wavelength_nm);

double ReflectanceStraightOn(const RefractiveIndex& index);

// F0 in the three bands.
Reflectance MetalReflectance(Metal metal);

}  // namespace wheatpaste

// lmse_test.cc - the measure itself, against exact values.
//
// Source  the definition of Grosse et al. 2009 (lmse.h), evaluated apart from this code: the ramp's scores to 9 digits.
#include "light/lmse.h"

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

constexpr int64_t kSide = 40;

std::vector<double> Ramp() {
  std::vector<double> ramp;
  for (int64_t i = 0; i < kSide * kSide; ++i) {
    ramp.push_back(1 + static_cast<double>(i % kSide) / 40);
  }
  return ramp;
}

const std::vector<char> kAll(static_cast<size_t>(kSide* kSide), 1);

TEST_CASE("LMSE: an estimate of nothing scores 1, a multiple of the truth 0",
          "[light][closed-form]") {
  const std::vector<double> truth = Ramp();
  CHECK(test::Lmse(truth, std::vector<double>(truth.size(), 0.0), kAll, kSide) ==
        Approx(1).margin(1e-12));
  for (const double c : {1e-2, 1.0, 37.5}) {
    std::vector<double> scaled = truth;
    for (double& value : scaled) value *= c;
    CHECK(test::Lmse(truth, scaled, kAll, kSide) < 1e-12);
  }
}

TEST_CASE("LMSE: a ramp against a constant, whole and with columns left out",
          "[light][published]") {
  const std::vector<double> ones(static_cast<size_t>(kSide * kSide), 1.0);
  CHECK(test::Lmse(Ramp(), ones, kAll, kSide) == Approx(0.009134197).margin(1e-9));
  std::vector<char> mask = kAll;
  for (size_t i = 0; i < mask.size(); ++i) mask[i] = i % kSide >= 5;
  CHECK(test::Lmse(Ramp(), ones, mask, kSide) == Approx(0.007682031).margin(1e-9));
}

}  // namespace
}  // namespace wheatpaste

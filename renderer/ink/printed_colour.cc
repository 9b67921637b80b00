#include "ink/printed_colour.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>
#include <utility>

#include "ink/halftone.h"

namespace wheatpaste {
namespace {

constexpr double kMostHiding = 0.995;
// No band of a substrate counts as darker: F divides by it.
constexpr double kLeastBlank = 1e-3;

// The films of a system are solved for once; a program uses a few systems.
std::shared_ptr<const InkSystem> SystemOf(double hiding, double white) {
  static std::mutex mutex;
  static std::map<std::pair<double, double>, std::shared_ptr<const InkSystem>> systems;
  const std::lock_guard lock(mutex);
  auto& system = systems[{hiding, white}];
  if (!system) system = std::make_shared<const InkSystem>(hiding, white);
  return system;
}

double HidingOf(const Ink& ink) { return std::min(kMostHiding, ink.hiding.value_or(ink.opacity)); }

Spectrum SpectrumOf(const Substrate& substrate) {
  const Reflectance& r = substrate.reflectance;
  if (substrate.spectrum) return *substrate.spectrum;
  return SmoothSpectrum(
      {static_cast<float>(r.r), static_cast<float>(r.g), static_cast<float>(r.b)});
}

std::array<double, 3> Bands(const Spectrum& spectrum) {
  const SceneLinear c = LinearFromSpectrum(spectrum);
  return {double{c.r}, double{c.g}, double{c.b}};
}

constexpr SceneLinear kPerfectWhite{1, 1, 1};

}  // namespace

InkOnSubstrate::InkOnSubstrate(const Ink& ink, const Substrate& substrate) : ink_(ink) {
  const Reflectance& r = substrate.reflectance;
  blank_ = {std::max(kLeastBlank, r.r), std::max(kLeastBlank, r.g), std::max(kLeastBlank, r.b)};
  covers_ = ink.hides();
  unprinted_.filter = {1, 1, 1};
  if (ink.is_plain()) return;
  hiding_ = HidingOf(ink);
  system_ = SystemOf(hiding_, ink.white);
  bare_ = SpectrumOf(substrate);
  if (ink.stock) {
    const Spectrum stock = SpectrumOf(*ink.stock);
    for (size_t i = 0; i < kSpectrumBands; ++i) {
      bare_black_.at[i] = ink.stock->hiding * stock.at[i];
      bare_.at[i] = bare_black_.at[i] + (1 - ink.stock->hiding) * bare_.at[i];
    }
    unprinted_ = LightOf(bare_, bare_black_);
  }
  const Ink* base = ink.underbase.get();
  const auto base_system = base ? SystemOf(HidingOf(*base), base->white) : nullptr;
  const Spectrum base_look =
      base ? SmoothSpectrum(base->colour.value_or(kPerfectWhite)) : Spectrum();
  for (size_t i = 0; i < kSpectrumBands; ++i) {
    ground_[i] = {InsideFromMeasured(bare_.at[i]), InsideFromMeasured(bare_black_.at[i])};
    if (!base) continue;
    const Film film = base_system->FilmFor(base_look.at[i]);
    ground_[i] = {film.Over(ground_[i].substrate), film.Over(ground_[i].black)};
  }
  if (ink.colour) colour_ = SmoothSpectrum(*ink.colour);
}

PrintedLight InkOnSubstrate::LightOf(const Spectrum& whole, const Spectrum& over_black) const {
  PrintedLight light;
  light.cover = Bands(over_black);
  const auto all = Bands(whole);
  for (size_t band = 0; band < 3; ++band) {
    light.filter[band] = (all[band] - light.cover[band]) / blank_[band];
  }
  return light;
}

PrintedLight InkOnSubstrate::FilmAt(const Spectrum& look) const {
  Spectrum whole, over_black;
  for (size_t i = 0; i < kSpectrumBands; ++i) {
    const Film film = system_->FilmFor(look.at[i]);
    whole.at[i] = MeasuredFromInside(film.Over(ground_[i].substrate));
    over_black.at[i] = covers_ ? MeasuredFromInside(film.Over(ground_[i].black)) : 0;
  }
  return LightOf(whole, over_black);
}

PrintedLight InkOnSubstrate::Tint(double dots) const {
  Spectrum whole, over_black;
  const std::array<double, 2> shares{1 - dots, dots};
  for (size_t i = 0; i < kSpectrumBands; ++i) {
    const Film film = system_->FilmFor(colour_.at[i]);
    const auto mix = [&](double ground) {
      const std::array<double, 2> reflectances{MeasuredFromInside(ground),
                                               MeasuredFromInside(film.Over(ground))};
      return NeugebauerReflectance(shares, reflectances, kYuleNielsen);
    };
    whole.at[i] = mix(ground_[i].substrate);
    over_black.at[i] = covers_ ? mix(ground_[i].black) : 0;
  }
  return LightOf(whole, over_black);
}

double InkOnSubstrate::DotsFor(double luminance) const {
  // On the reference paper, whose own reflectance divides out.
  const auto relative = [&](double dots) {
    Spectrum tint;
    const std::array<double, 2> shares{1 - dots, dots};
    for (size_t i = 0; i < kSpectrumBands; ++i) {
      tint.at[i] =
          NeugebauerReflectance(shares, std::array<double, 2>{1, colour_.at[i]}, kYuleNielsen);
    }
    return XyzFromSpectrum(tint).y;
  };
  const double solid = relative(1), wanted = solid + luminance * (1 - solid);
  double low = 0, high = 1;
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2;
    (relative(middle) > wanted ? low : high) = middle;
  }
  return (low + high) / 2;
}

InkOnSubstrate::Split InkOnSubstrate::SplitOf(const SceneLinear& artwork) const {
  if (ink_.is_plain() || ink_.colour || hiding_ <= 0 || ink_.white_meaning() == White::kInk) {
    return {artwork, 1};
  }
  const float clear = std::clamp(std::min({artwork.r, artwork.g, artwork.b}), 0.0f, 1.0f);
  if (clear >= 1) return {artwork, 0};
  const auto left = [clear](float value) { return (value - clear) / (1 - clear); };
  return {{left(artwork.r), left(artwork.g), left(artwork.b)}, 1 - double{clear}};
}

PrintedLight InkOnSubstrate::Solid(const SceneLinear& ink) const {
  const std::array<float, 3> colour{ink.r, ink.g, ink.b};
  std::array<float, 3> inside{};
  for (size_t band = 0; band < 3; ++band) inside[band] = std::clamp(colour[band], 0.0f, 1.0f);
  if (ink_.is_plain()) {
    PrintedLight light;
    for (size_t band = 0; band < 3; ++band) {
      light.filter[band] = (1 - ink_.opacity) * double{colour[band]};
      light.cover[band] = ink_.opacity * ink_.white * double{colour[band]};
    }
    return light;
  }
  if (ink_.colour) {
    const double tone = Luminance(double{inside[0]}, double{inside[1]}, double{inside[2]});
    return Tint(ink_.solid ? 1 : DotsFor(tone));
  }
  PrintedLight light = FilmAt(SmoothSpectrum({inside[0], inside[1], inside[2]}));
  for (size_t band = 0; band < 3; ++band) {
    const double beyond = double{colour[band]} - double{inside[band]};
    light.filter[band] += (1 - hiding_) * beyond;
    light.cover[band] += hiding_ * ink_.white * beyond;
  }
  return light;
}

PrintedLight InkOnSubstrate::At(const SceneLinear& artwork) const {
  const Split split = SplitOf(artwork);
  PrintedLight light = Solid(split.ink);
  light.share = split.share;
  return light;
}

namespace {

// Reflectance where the share of the place that holds ink is that of `light`.
SceneLinear ReflectanceOf(const PrintedLight& light, const PrintedLight& bare,
                          const Substrate& substrate) {
  const Reflectance& r = substrate.reflectance;
  const std::array<double, 3> blank{r.r, r.g, r.b};
  const auto band = [&](size_t i) {
    const double printed = light.filter[i] * blank[i] + light.cover[i];
    const double unprinted = bare.filter[i] * blank[i] + bare.cover[i];
    return static_cast<float>(light.share * printed + (1 - light.share) * unprinted);
  };
  return {band(0), band(1), band(2)};
}

}  // namespace

SceneLinear PrintedColour(const Ink& ink, const Substrate& substrate, const SceneLinear& artwork) {
  const InkOnSubstrate print(ink, substrate);
  return ReflectanceOf(print.At(artwork), print.unprinted(), substrate);
}

SceneLinear UnprintedColour(const Ink& ink, const Substrate& substrate) {
  const InkOnSubstrate print(ink, substrate);
  return ReflectanceOf(print.unprinted(), print.unprinted(), substrate);
}

}  // namespace wheatpaste

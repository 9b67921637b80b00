// intrinsic.cc - how well light and reflectance are told apart on photographs whose light and reflectance were measured.
//
// Use     intrinsic FOLDER: each subfolder is an object with diffuse.png, mask.png, reflectance.png, shading.png, as in the
//         MIT intrinsic images set (Grosse et al. 2009), 16-bit linear PNG. The data is not part of this project.
// Taken   codes / 255 (0 to 257), no transfer curve; diffuse clipped below at 3, as the set's authors do; mask: any code
//         above 0. For the program the picture is divided by 257, which changes no score.
// Prints  known: LMSE of the shading where the reflectance is known pixel by pixel (DivideByReflectance; mean of the bands
//         against the set's gray shading). cleaned: the same after SeparateShading, which takes fine relief for texture and
//         smooths it; the set counts it as shading. shading, reflectance: LMSE of SeparateReflectance, reflectance as the
//         mean over the bands; both: half of each. Times: of `cleaned`, and of SeparateReflectance.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "image/read_bitmap.h"
#include "light/divide_reflectance.h"
#include "light/lmse.h"
#include "light/separate_reflectance.h"
#include "light/shading.h"

namespace wheatpaste {
namespace {

constexpr double kScale = 255;
constexpr double kDarkest = 3;
// The window that a render takes for surfaces of this size (composite/prepare_scene.cc).
constexpr double kRadiusShare = 0.012;

struct Planes {
  SizePx size;
  std::vector<double> bands[3];
};

Planes Read(const std::string& path) {
  const auto bitmap = ReadBitmap({path, {path}, ""});
  if (!bitmap) {
    fmt::print(stderr, "{}", FormatErrors(bitmap.errors()));
    std::exit(2);
  }
  Planes planes;
  planes.size = bitmap->size;
  const int channels = bitmap->channels();
  for (int c = 0; c < 3; ++c) {
    const int channel = bitmap->model == ColourModel::kGray ? 0 : c;
    for (int64_t i = 0; i < bitmap->size.area(); ++i) {
      const int64_t at = i * channels + channel;
      uint16_t code = 0;
      if (bitmap->depth == 16) {
        std::memcpy(&code, bitmap->codes.data() + 2 * at, 2);
      } else {
        code = static_cast<uint16_t>(257 * bitmap->codes[static_cast<size_t>(at)]);
      }
      planes.bands[c].push_back(code / kScale);
    }
  }
  return planes;
}

struct Scores {
  double known = 0, cleaned = 0, shading = 0, reflectance = 0, cleaned_ms = 0, separate_ms = 0;
  double both() const { return (shading + reflectance) / 2; }
};

template <typename Work>
double Milliseconds(const Work& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start)
      .count();
}

template <typename Colour>
std::vector<double> BandOf(const Image<Colour>& image, int plane) {
  std::vector<double> band;
  for (int64_t y = 0; y < image.height(); ++y) {
    const float* row = image.row(plane, y);
    band.insert(band.end(), row, row + image.width());
  }
  return band;
}

Scores Score(const std::string& folder) {
  const Planes diffuse = Read(folder + "/diffuse.png"), shading = Read(folder + "/shading.png"),
               reflectance = Read(folder + "/reflectance.png"), inside = Read(folder + "/mask.png");
  const int64_t width = diffuse.size.width;
  Image<SceneLinear> light(diffuse.size);
  Image<Reflectance> known(diffuse.size);
  Image<Coverage> seen(diffuse.size);
  std::vector<char> mask;
  for (int64_t i = 0; i < diffuse.size.area(); ++i) {
    const auto at = static_cast<size_t>(i);
    const int64_t x = i % width, y = i / width;
    mask.push_back(inside.bands[0][at] > 0);
    seen.row(0, y)[x] = mask.back();
    for (int c = 0; c < 3; ++c) {
      const double clipped = std::max(kDarkest, diffuse.bands[c][at]);
      light.row(c, y)[x] = static_cast<float>(clipped / 257);
      known.row(c, y)[x] = static_cast<float>(reflectance.bands[c][at] / 257);
    }
  }
  Scores scores;
  const auto area = static_cast<double>(std::count(mask.begin(), mask.end(), 1));
  const int radius = std::max(2, static_cast<int>(std::lround(kRadiusShare * std::sqrt(area))));
  Image<SceneLinear> divided;
  Shading clean;
  scores.cleaned_ms = Milliseconds([&] {
    divided = DivideByReflectance(light.view(), known.view());
    clean = SeparateShading(divided.view(), seen.view(), {1, 1, 1}, radius);
  });
  const auto score_light = [&](const Image<SceneLinear>& irradiance) {
    std::vector<double> estimate = BandOf(irradiance, 0);
    for (int c = 1; c < 3; ++c) {
      const auto band = BandOf(irradiance, c);
      for (size_t i = 0; i < estimate.size(); ++i) estimate[i] += band[i];
    }
    return test::Lmse(shading.bands[0], estimate, mask, width);
  };
  scores.known = score_light(divided);
  scores.cleaned = score_light(clean.irradiance);

  Separation found;
  scores.separate_ms =
      Milliseconds([&] { found = SeparateReflectance(light.view(), seen.view()); });
  scores.shading = test::Lmse(shading.bands[0], BandOf(found.shading, 0), mask, width);
  for (int c = 0; c < 3; ++c) {
    scores.reflectance +=
        test::Lmse(reflectance.bands[c], BandOf(found.reflectance, c), mask, width) / 3;
  }
  return scores;
}

void Print(const std::string& name, const Scores& s) {
  fmt::print("{:12} {:9.5f} {:9.5f} {:9.5f} {:11.5f} {:9.5f} {:8.0f} {:8.0f}\n", name, s.known,
             s.cleaned, s.shading, s.reflectance, s.both(), s.cleaned_ms, s.separate_ms);
}

}  // namespace
}  // namespace wheatpaste

int main(int count, char** arguments) {
  if (count != 2 || !std::filesystem::is_directory(arguments[1])) {
    fmt::print(stderr,
               "expected one argument: a folder of objects, each a folder with diffuse.png, "
               "mask.png, reflectance.png and shading.png\n");
    return 2;
  }
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(arguments[1])) {
    if (entry.is_directory()) names.push_back(entry.path().filename());
  }
  std::sort(names.begin(), names.end());
  fmt::print("{:12} {:>9} {:>9} {:>9} {:>11} {:>9} {:>8} {:>8}\n", "object", "known", "cleaned",
             "shading", "reflectance", "both", "ms", "ms");
  wheatpaste::Scores mean;
  for (const std::string& name : names) {
    const auto scores = wheatpaste::Score(std::string(arguments[1]) + "/" + name);
    wheatpaste::Print(name, scores);
    const auto share = 1.0 / static_cast<double>(names.size());
    mean.known += share * scores.known;
    mean.cleaned += share * scores.cleaned;
    mean.shading += share * scores.shading;
    mean.reflectance += share * scores.reflectance;
    mean.cleaned_ms += share * scores.cleaned_ms;
    mean.separate_ms += share * scores.separate_ms;
  }
  wheatpaste::Print("mean", mean);
}

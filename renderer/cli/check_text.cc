#include "cli/check_text.h"

#include <array>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "base/error.h"
#include "base/units.h"

namespace wheatpaste {
namespace {

// "12.3 (sd 0.4)", or without what is not known.
std::string WithSd(double value, std::optional<double> sd) {
  return sd ? fmt::format("{:.1f} (sd {:.2g})", value, *sd) : fmt::format("{:.1f}", value);
}

void PrintSurface(const Surface& surface, const FittedSurface& fitted) {
  fmt::print("surface     {}: {}, ", PrintableText(surface.name.value), NameOf(surface.shape));
  if (surface.shape == Shape::kBox && fitted.size_known) {
    fmt::print("{:g} x {:g} x {:g} mm", fitted.box_size[0], fitted.box_size[1], fitted.box_size[2]);
  } else if (fitted.size_known) {
    fmt::print("{:g} x {:g} mm laid flat", fitted.size.x, fitted.size.y);
  } else {
    fmt::print("aspect ratio {:.4f} (sd {:.4f})", fitted.aspect.value, fitted.aspect.sd);
  }
  fmt::print(", residual {:.3f} px\n", fitted.residual_px);
  for (const SolvedLength& length : fitted.solved_lengths) {
    fmt::print("            {} {} mm, solved\n", length.name,
               WithSd(length.mm.value, length.mm.sd));
  }
  if (!fitted.pose || !fitted.size_known) return;
  const Eigen::Vector3d& origin = fitted.pose->translation;
  const auto& sd = fitted.pose_sd;
  const auto numbers = fitted.pose->Numbers();
  const auto place = [&](int axis) {
    return WithSd(origin[axis], sd ? std::optional(sd->translation_mm[axis]) : std::nullopt);
  };
  const auto turn = [&](int axis) {
    return WithSd(numbers[static_cast<size_t>(axis)] * kDegreesPerRad,
                  sd ? std::optional(sd->rotation_rad[axis] * kDegreesPerRad) : std::nullopt);
  };
  fmt::print("            {} mm right, {} mm down, {} mm away; turned {}, {}, {} degrees\n",
             place(0), place(1), place(2), turn(0), turn(1), turn(2));
}

// What a press holds of the artwork's main colours, a line each.
void PrintInks(const Json& print) {
  for (const Json& colour : print["colours"]) {
    const Json& ink = colour["ink_percent"];
    fmt::print(
        "            {} prints as {}, shift {:.1f}{}; C {:.0f} M {:.0f} Y {:.0f} K {:.0f}, {:.0f} "
        "% ink\n",
        colour["colour"].get<std::string>(), colour["colour_held"].get<std::string>(),
        colour["shift"].get<double>(), colour["out_of_gamut"].get<bool>() ? " (out of gamut)" : "",
        ink[0].get<double>(), ink[1].get<double>(), ink[2].get<double>(), ink[3].get<double>(),
        colour["total_ink"].get<double>());
  }
}

}  // namespace

void PrintForPeople(const SolvedScene& solved, const Json& report) {
  fmt::print("{}: {}\n", solved.scene.file,
             solved.scene.title.empty() ? "no title" : PrintableText(solved.scene.title));
  fmt::print("photo       {} x {} px, {}{}{}\n", solved.photo.size.width, solved.photo.size.height,
             report["photo"]["profile"].get<std::string>(),
             solved.photo.profile ? "" : " (assumed)",
             solved.stage ? fmt::format(", to be taken of the stage, {} samples a pixel",
                                        solved.stage->stage().samples)
                          : "");
  const Camera& camera = solved.camera;
  fmt::print(
      "camera      focal length {:.1f} px{}, {}{}\n", camera.focal_px,
      camera.source == FocalSource::kSolved ? fmt::format(" (sd {:.1f})", camera.focal_sd_px) : "",
      NameOf(camera.source),
      camera.lens.is_straight()
          ? ""
          : fmt::format(", distortion {:g}, {:g}", camera.lens.k1, camera.lens.k2));
  for (size_t i = 0; i < solved.surfaces.size(); ++i) {
    PrintSurface(solved.scene.surfaces[i], solved.surfaces[i]);
  }
  for (const Json& placement : report["placements"]) {
    const Json& surface = placement["surface"];
    fmt::print("placement   {} on {}", placement["artwork"].get<std::string>(),
               surface.is_string() ? surface.get<std::string>() : surface.dump());
    if (!placement["filled"].get<bool>()) {
      fmt::print(": slot not filled\n");
      continue;
    }
    if (placement["width_mm"].is_number()) {
      fmt::print(": {:.1f} x {:.1f} mm", placement["width_mm"].get<double>(),
                 placement["height_mm"].get<double>());
    }
    if (placement["ppi"].is_number()) fmt::print(", {:.0f} ppi", placement["ppi"].get<double>());
    fmt::print("{}\n", placement["vector"].get<bool>() ? ", vector" : "");
    if (placement.contains("print")) PrintInks(placement["print"]);
  }
  for (const Json& note : report["notes"]) {
    fmt::print("note        {}\n", PrintableText(note.get<std::string>(), 1000));
  }
  for (const Json& warning : report["warnings"]) {
    fmt::print("warning     {}\n", PrintableText(warning.get<std::string>(), 1000));
  }
}

}  // namespace wheatpaste

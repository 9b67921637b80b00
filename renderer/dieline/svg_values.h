// svg_values.h - lengths, transforms and looks of SVG elements, as far as a dieline needs them.
//
// Source  SVG 1.1 (second edition), 7.6 transform, 7.7 viewBox, 7.8 preserveAspectRatio (its default: all shown, in the middle);
//         CSS Values and Units 4, 6.2 absolute lengths (96 px to the inch).
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <Eigen/Geometry>

namespace wheatpaste {

// mm of "12mm", "3in", "40"; nothing where it is no length, or a percentage.
std::optional<double> SvgLengthMm(std::string_view text);

// A length in user units: "12", "12px", "3mm".
std::optional<double> SvgUserUnits(std::string_view text);

// Nothing where the list is no list of transforms.
std::optional<Eigen::Affine2d> SvgTransform(std::string_view text);

// mm from user units of the outermost svg, and the page in mm.
struct SvgPage {
  Eigen::Vector2d size{0, 0};
  Eigen::Affine2d mm_from_user = Eigen::Affine2d::Identity();
};
// Each as the attribute is written; nothing where it is missing.
// returns  nothing where there is no size, or one that is no page.
std::optional<SvgPage> SvgPageOf(const std::optional<std::string>& width,
                                 const std::optional<std::string>& height,
                                 const std::optional<std::string>& view_box);

// "#rrggbb" in lower case of "#f00", "#FF0000", "rgb(255, 0, 0)", "red" and few others; "" where it is none of them.
std::string SvgColour(std::string_view text);

// Value of a property in "stroke: #f00; fill: none"; "" where it is not there.
std::string StyleValue(std::string_view style, std::string_view property);

// Strokes and whether shown, by class, of a style sheet's rules ".name { ... }".
struct ClassLook {
  std::string stroke;
  bool hidden = false;
};
std::map<std::string, ClassLook> ReadStyleSheet(std::string_view text);

// The words of a list between white space.
std::vector<std::string> Words(std::string_view text);
std::string_view Trimmed(std::string_view text);

}  // namespace wheatpaste

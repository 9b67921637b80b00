#include "dieline/write_dieline.h"

#include <cmath>
#include <iterator>

#include <fmt/format.h>

#include "base/plain_text.h"
#include "base/units.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxTextCharacters = 1000;

// A hundredth of a micrometre; no zeros at the end.
std::string Number(double mm) {
  const double rounded = std::round(mm * 1e5) / 1e5;
  return fmt::format("{}", rounded == 0 ? 0.0 : rounded);
}

std::string PathOf(const FlatOutline& points, bool closed) {
  std::string path;
  for (size_t i = 0; i < points.size(); ++i) {
    path +=
        fmt::format("{}{} {}", i == 0 ? "M" : " L", Number(points[i].x()), Number(points[i].y()));
  }
  return closed ? path + " Z" : path;
}

void AddAreas(std::string& svg, const char* name, const char* look,
              const std::vector<FlatOutline>& areas) {
  fmt::format_to(std::back_inserter(svg), "<g id=\"{0}\" class=\"{0}\" {1}>\n", name, look);
  for (const FlatOutline& area : areas) svg += "<path d=\"" + PathOf(area, true) + "\"/>\n";
  svg += "</g>\n";
}

void AddLines(std::string& svg, const char* name, const char* look,
              const std::vector<DielineLine>& lines, bool cut) {
  fmt::format_to(std::back_inserter(svg),
                 "<g id=\"{0}\" class=\"{0}\" fill=\"none\" stroke-width=\"0.25\" {1}>\n", name,
                 look);
  for (const DielineLine& line : lines) {
    if (line.cut != cut) continue;
    svg += "<path d=\"" + PathOf(line.points, false) + "\"";
    if (line.angle) svg += fmt::format(" data-angle=\"{}\"", *line.angle);
    if (line.order) svg += fmt::format(" data-order=\"{}\"", *line.order);
    svg += "/>\n";
  }
  svg += "</g>\n";
}

}  // namespace

std::string DielineSvg(const DielineDrawing& drawing, const std::string& title,
                       const std::string& description) {
  std::string svg = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" "
      "viewBox=\"0 0 {0} {1}\">\n<title>{2}</title>\n<desc>{3}</desc>\n",
      Number(drawing.page.x()), Number(drawing.page.y()), XmlText(title, kMaxTextCharacters),
      XmlText(description, kMaxTextCharacters));
  AddAreas(svg, "bleed", "fill=\"#f3efe6\"", drawing.bleed);
  svg += "<g id=\"artwork\"/>\n";
  AddAreas(svg, "glue", "fill=\"#d9d2c3\"", drawing.glue);
  AddLines(svg, "crease", "stroke=\"#3a6ea5\" stroke-dasharray=\"3 1.5\"", drawing.lines, false);
  AddLines(svg, "cut", "stroke=\"#1d1d1b\"", drawing.lines, true);
  svg +=
      "<g id=\"panel\" class=\"panel\" fill=\"#8a8578\" font-family=\"sans-serif\" font-size=\"4\" "
      "text-anchor=\"middle\">\n";
  for (const PanelName& name : drawing.names) {
    const double turn = std::atan2(name.up.x(), -name.up.y()) * kDegreesPerRad;
    fmt::format_to(std::back_inserter(svg),
                   "<text transform=\"translate({} {}) rotate({})\">{}</text>\n",
                   Number(name.at.x()), Number(name.at.y()), Number(turn),
                   XmlText(name.name, kMaxTextCharacters));
  }
  return svg + "</g>\n</svg>\n";
}

}  // namespace wheatpaste

// svg_survey.h - what has to be known of a whole SVG before one of its colours is changed.
//
// Coverage a mask's colours mean how much shows, not what is seen; so do those of all that a mask refers
//         to by id (shapes it uses, gradients and patterns it is filled with), at any number of steps.
//         A clip path has no colours at all. All of these are `covering`.
// Default a shape that states no fill is black (SVG 2, 13.3), which is a colour like any other. The sheet's
//         selectors tell which shapes are given a fill elsewhere: by element, class or id, each on its
//         own.
// Time    linear in the text.
#pragma once

#include <cstddef>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "artwork/xml_tokens.h"

namespace wheatpaste {

struct SvgSurvey {
  std::set<std::string, std::less<>> covering_ids;  // elements that only masks and clip paths show
  bool shared_by_mask = false;  // a mask refers to something that is shown for itself too
  bool has_masks = false;
  bool holds_markup_entities = false;  // entities that expand to elements
  uint32_t entity_line = 0;
  std::set<std::string, std::less<>> filled_elements, filled_classes, filled_ids;  // by a sheet
};

SvgSurvey SurveySvg(std::string_view text);

// Whether what the element holds is coverage, by its own name.
bool IsCoveringElement(std::string_view local_name);

// The value of an attribute without prefix, or null.
const XmlAttribute* FindAttribute(const XmlToken& token, std::string_view name);

}  // namespace wheatpaste

#include "colour/press.h"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <vector>

#include <fmt/format.h>

#include "base/parallel.h"
#include "colour/adapt.h"
#include "colour/profile_handle.h"

namespace wheatpaste {
namespace {

// Nodes every 1/32 of the cube root, from -12/32 to 36/32, so that 0 and 1 are nodes.
constexpr int kNodesPerUnit = 32, kNodesBelowZero = 12;
static_assert(kPressNodes == kNodesBelowZero + 36 + 1);
constexpr size_t kNodes = kPressNodes;

double LinearOfNode(size_t node) {
  const double root = (static_cast<double>(node) - kNodesBelowZero) / kNodesPerUnit;
  return root * root * root;
}

struct Table {
  std::vector<std::array<float, 3>> roots;  // signed cube roots, blue runs fastest
  const std::array<float, 3>& at(size_t r, size_t g, size_t b) const {
    return roots[(r * kNodes + g) * kNodes + b];
  }
};

struct Position {
  size_t node = 0;
  float rest = 0;
};

Position PositionOf(float linear) {
  const float at = std::cbrt(linear) * kNodesPerUnit + kNodesBelowZero;
  // Written so that NaN ends at the first node.
  const float inside = at > 0 ? std::min(at, static_cast<float>(kPressNodes - 1)) : 0.0f;
  const auto node = std::min(static_cast<size_t>(inside), kNodes - 2);
  return {node, inside - static_cast<float>(node)};
}

// The tetrahedron between the cell's first and last corner that the position lies in: from one to the other along the
// axes by falling rest.
SceneLinear LookUp(const Table& table, float r, float g, float b) {
  const Position at[3] = {PositionOf(r), PositionOf(g), PositionOf(b)};
  std::array<int, 3> order{0, 1, 2};
  const auto first = [&at](int i, int j) { return at[i].rest > at[j].rest; };
  if (first(order[1], order[0])) std::swap(order[0], order[1]);
  if (first(order[2], order[1])) std::swap(order[1], order[2]);
  if (first(order[1], order[0])) std::swap(order[0], order[1]);
  std::array<size_t, 3> corner{at[0].node, at[1].node, at[2].node};
  const auto* value = &table.at(corner[0], corner[1], corner[2]);
  float root[3] = {(*value)[0], (*value)[1], (*value)[2]};
  for (const int axis : order) {
    ++corner[static_cast<size_t>(axis)];
    const auto* next = &table.at(corner[0], corner[1], corner[2]);
    for (size_t k = 0; k < 3; ++k) root[k] += at[axis].rest * ((*next)[k] - (*value)[k]);
    value = next;
  }
  return {root[0] * root[0] * root[0], root[1] * root[1] * root[1], root[2] * root[2] * root[2]};
}

}  // namespace

struct Press::Impl {
  LcmsContext lcms;
  OwnedProfile device, working, lab;
  OwnedTransform ink_from_working, nearest_ink_from_working, relative_from_ink, absolute_from_ink;
  mutable std::once_flag made[2];
  mutable Table table[2];  // by ProofIntent

  static std::array<double, 4> InkOf(const OwnedTransform& separate, const SceneLinear& colour) {
    const float in[3] = {colour.r, colour.g, colour.b};
    std::array<double, 4> ink{};
    cmsDoTransform(separate.get(), in, ink.data(), 1);
    return ink;
  }

  Lab Seen(ProofIntent intent, const std::array<double, 4>& ink) const {
    cmsCIELab out{};
    const auto& transform =
        intent == ProofIntent::kRelative ? relative_from_ink : absolute_from_ink;
    cmsDoTransform(transform.get(), ink.data(), &out, 1);
    return {out.L, out.a, out.b};
  }

  const Table& TableOf(ProofIntent intent) const {
    const auto which = static_cast<size_t>(intent);
    std::call_once(made[which], [&] {
      std::vector<std::array<float, 3>>& roots = table[which].roots;
      roots.resize(kNodes * kNodes * kNodes);
      ParallelFor(kPressNodes, [&](int64_t r) {
        auto* out = roots.data() + static_cast<size_t>(r) * kNodes * kNodes;
        for (size_t g = 0; g < kNodes; ++g) {
          for (size_t b = 0; b < kNodes; ++b) {
            const auto linear = [](size_t node) { return static_cast<float>(LinearOfNode(node)); };
            const SceneLinear node{linear(static_cast<size_t>(r)), linear(g), linear(b)};
            const SceneLinear held = LinearFromLabD50(Seen(intent, InkOf(ink_from_working, node)));
            *out++ = {std::cbrt(held.r), std::cbrt(held.g), std::cbrt(held.b)};
          }
        }
      });
    });
    return table[which];
  }
};

Result<Press> Press::Make(const Profile& profile, const Place& place, const std::string& subject) {
  if (profile.model() != ColourModel::kCmyk || !profile.can_encode()) {
    return Error{
        place, subject,
        fmt::format("expected a press's profile, CMYK and able to choose ink; \"{}\" is for {}{}",
                    profile.description(), NameOf(profile.model()),
                    profile.model() == ColourModel::kCmyk ? ", only to read" : "")};
  }
  auto impl = std::make_shared<Impl>();
  const cmsContext context = impl->lcms.context;
  impl->device.reset(cmsOpenProfileFromMemTHR(
      context, profile.bytes().data(), static_cast<cmsUInt32Number>(profile.bytes().size())));
  impl->working = MakeWorkingProfile(context);
  impl->lab.reset(cmsCreateLab4ProfileTHR(context, nullptr));
  const auto transform = [&](const OwnedProfile& from, cmsUInt32Number from_format,
                             const OwnedProfile& to, cmsUInt32Number to_format, int intent,
                             cmsUInt32Number flags) {
    OwnedTransform made(cmsCreateTransformTHR(context, from.get(), from_format, to.get(), to_format,
                                              static_cast<cmsUInt32Number>(intent),
                                              flags | cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE));
    WHEATPASTE_CHECK(made != nullptr);
    return made;
  };
  impl->ink_from_working = transform(impl->working, TYPE_RGB_FLT, impl->device, TYPE_CMYK_DBL,
                                     INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_BLACKPOINTCOMPENSATION);
  impl->nearest_ink_from_working = transform(impl->working, TYPE_RGB_FLT, impl->device,
                                             TYPE_CMYK_DBL, INTENT_RELATIVE_COLORIMETRIC, 0);
  impl->relative_from_ink = transform(impl->device, TYPE_CMYK_DBL, impl->lab, TYPE_Lab_DBL,
                                      INTENT_RELATIVE_COLORIMETRIC, 0);
  impl->absolute_from_ink = transform(impl->device, TYPE_CMYK_DBL, impl->lab, TYPE_Lab_DBL,
                                      INTENT_ABSOLUTE_COLORIMETRIC, 0);
  Press press;
  press.impl_ = std::move(impl);
  return press;
}

Lab Press::LabOfInk(ProofIntent intent, const std::array<double, 4>& ink_percent) const {
  return impl_->Seen(intent, ink_percent);
}

HeldColour Press::Hold(const SceneLinear& colour) const {
  HeldColour held;
  held.ink_percent = Impl::InkOf(impl_->ink_from_working, colour);
  held.wanted = LabD50FromLinear(colour);
  held.nearest =
      impl_->Seen(ProofIntent::kRelative, Impl::InkOf(impl_->nearest_ink_from_working, colour));
  held.relative = impl_->Seen(ProofIntent::kRelative, held.ink_percent);
  held.absolute = impl_->Seen(ProofIntent::kAbsolute, held.ink_percent);
  return held;
}

void Press::HoldRow(ProofIntent intent, int64_t count, float* r, float* g, float* b) const {
  const Table& table = impl_->TableOf(intent);
  // Flat artwork repeats itself.
  SceneLinear last{}, held = LookUp(table, 0, 0, 0);
  for (int64_t i = 0; i < count; ++i) {
    if (r[i] != last.r || g[i] != last.g || b[i] != last.b) {
      last = {r[i], g[i], b[i]};
      held = LookUp(table, r[i], g[i], b[i]);
    }
    r[i] = held.r;
    g[i] = held.g;
    b[i] = held.b;
  }
}

}  // namespace wheatpaste

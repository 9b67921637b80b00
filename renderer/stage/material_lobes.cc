#include "stage/material_lobes.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr float kPi = std::numbers::pi_v<float>;

// As ink/ggx.h, in single precision; 1 - h_z^2 from x and y, which keep their digits where h_z loses them.
float Density(const Eigen::Vector3f& h, float alpha) {
  const float aa = alpha * alpha;
  const float t = h.x() * h.x() + h.y() * h.y() + aa * h.z() * h.z();
  return aa / (kPi * t * t);
}

float Lambda(float z, float alpha) {
  const float tan2 = std::max(0.0f, 1 - z * z) / (z * z);
  return (std::sqrt(1 + alpha * alpha * tan2) - 1) / 2;
}

float Fifth(float x) { return x * x * x * x * x; }

float CoatFresnel(float cosine) {
  return kCoatF0 + (1 - kCoatF0) * Fifth(std::max(0.0f, 1 - cosine));
}

Eigen::Array3f MetalFresnel(const Eigen::Array3f& f0, float cosine) {
  return f0 + (1 - f0) * Fifth(std::max(0.0f, 1 - cosine));
}

// ratio  index beyond over index here.  through: cosine beyond; 0 where nothing goes through.
float GlassFresnel(float cosine, float ratio, float& through) {
  const float sin2 = (1 - cosine * cosine) / (ratio * ratio);
  through = std::sqrt(std::max(0.0f, 1 - sin2));
  if (sin2 >= 1) return 1;
  const float across = (cosine - ratio * through) / (cosine + ratio * through);
  const float along = (ratio * cosine - through) / (ratio * cosine + through);
  return (across * across + along * along) / 2;
}

}  // namespace

Lobes::Lobes(const MaterialPoint& point, const Eigen::Vector3f& out) : point_(point), out_(out) {
  point_.alpha = std::max(point.alpha, kLeastAlpha);
  const float alpha = point_.alpha;
  switch (point.kind) {
    case WorldMaterialKind::kPaper:
      if (point.coat > 0) {
        const float coat = point.coat * point.tables->Coat(out.z(), alpha);
        kept_ = (1 - coat) / (1 - point.coat * point.tables->MeanCoat(alpha));
        facets_ = std::clamp(coat / (coat + 0.6f * (1 - coat)), 0.1f, 0.9f);
      }
      break;
    case WorldMaterialKind::kMetal: {
      const float lost = 1 - point.tables->One(out.z(), alpha);
      const float mean = point.tables->MeanOne(alpha);
      const Eigen::Array3f f_mean = point.albedo + (1 - point.albedo) / 21;
      again_ =
          f_mean * f_mean * mean / (1 - f_mean * (1 - mean)) * (lost / std::max(1 - mean, 1e-6f));
      facets_ = 1 - std::clamp(lost, 0.0f, 0.8f);
      break;
    }
    case WorldMaterialKind::kGlass:
      facets_ = 1;
      ratio_ = point.inside ? 1 / kGlassIndex : kGlassIndex;
      break;
  }
}

Eigen::Vector3f Lobes::DrawFacet(Pair numbers) const {
  const float alpha = point_.alpha;
  const Eigen::Vector3f seen =
      Eigen::Vector3f(alpha * out_.x(), alpha * out_.y(), out_.z()).normalized();
  const float z = (1 - numbers.y) * (1 + seen.z()) - seen.z();
  const float sine = std::sqrt(std::max(0.0f, 1 - z * z)), turn = 2 * kPi * numbers.x;
  const Eigen::Vector3f half(sine * std::cos(turn) + seen.x(), sine * std::sin(turn) + seen.y(),
                             z + seen.z());
  return Eigen::Vector3f(alpha * half.x(), alpha * half.y(), std::max(half.z(), 1e-7f))
      .normalized();
}

Scatter Lobes::PaperAt(const Eigen::Vector3f& in) const {
  Scatter scatter;
  if (in.z() <= 0) return scatter;
  const float even = in.z() / kPi;
  if (point_.coat <= 0) {
    scatter.diffuse = scatter.density = even;
    return scatter;
  }
  const float alpha = point_.alpha;
  const float coat_in = point_.coat * point_.tables->Coat(in.z(), alpha);
  scatter.diffuse = kept_ * (1 - coat_in) * even;
  const Eigen::Vector3f h = (in + out_).normalized();
  const float d = Density(h, alpha) / (4 * out_.z());
  const float lambda = Lambda(out_.z(), alpha);
  const float mirrored =
      point_.coat * CoatFresnel(out_.dot(h)) * d / (1 + lambda + Lambda(in.z(), alpha));
  scatter.mirrored = Eigen::Array3f::Constant(mirrored);
  scatter.density = facets_ * d / (1 + lambda) + (1 - facets_) * even;
  return scatter;
}

Scatter Lobes::MetalAt(const Eigen::Vector3f& in) const {
  Scatter scatter;
  if (in.z() <= 0) return scatter;
  const float alpha = point_.alpha, even = in.z() / kPi;
  const Eigen::Vector3f h = (in + out_).normalized();
  const float d = Density(h, alpha) / (4 * out_.z());
  const float lambda = Lambda(out_.z(), alpha);
  scatter.mirrored =
      MetalFresnel(point_.albedo, out_.dot(h)) * (d / (1 + lambda + Lambda(in.z(), alpha))) +
      again_ * ((1 - point_.tables->One(in.z(), alpha)) * even);
  scatter.density = facets_ * d / (1 + lambda) + (1 - facets_) * even;
  return scatter;
}

Scatter Lobes::GlassAt(const Eigen::Vector3f& in) const {
  Scatter scatter;
  const float alpha = point_.alpha, o_z = out_.z(), i_z = std::abs(in.z());
  if (!rough() || i_z <= 0) return scatter;
  const float lambda_out = Lambda(o_z, alpha), lambda_in = Lambda(i_z, alpha);
  float through;
  if (in.z() > 0) {
    const Eigen::Vector3f h = (in + out_).normalized();
    const float f = GlassFresnel(out_.dot(h), ratio_, through);
    const float d = f * Density(h, alpha) / (4 * o_z);
    scatter.mirrored = Eigen::Array3f::Constant(d / (1 + lambda_out + lambda_in));
    scatter.density = d / (1 + lambda_out);
    return scatter;
  }
  Eigen::Vector3f h = (out_ + ratio_ * in).normalized();
  if (h.z() < 0) h = -h;
  const float o_h = out_.dot(h), i_h = in.dot(h);
  if (o_h <= 0 || i_h >= 0) return scatter;
  const float f = GlassFresnel(o_h, ratio_, through), sum = o_h + ratio_ * i_h;
  const float d = ratio_ * ratio_ * o_h * -i_h * (1 - f) * Density(h, alpha) /
                  (o_z * sum * sum * (1 + lambda_out));
  scatter.mirrored = Eigen::Array3f::Constant(d / (1 + lambda_in));
  scatter.density = d;
  return scatter;
}

Scatter Lobes::At(const Eigen::Vector3f& in) const {
  switch (point_.kind) {
    case WorldMaterialKind::kPaper:
      return PaperAt(in);
    case WorldMaterialKind::kMetal:
      return MetalAt(in);
    case WorldMaterialKind::kGlass:
      return GlassAt(in);
  }
  return {};
}

ScatterDraw Lobes::DrawGlass(float choice, Pair numbers) const {
  ScatterDraw draw;
  const Eigen::Vector3f h = rough() ? DrawFacet(numbers) : Eigen::Vector3f::UnitZ();
  const float o_h = out_.dot(h);
  float through;
  const bool mirrored = choice < GlassFresnel(o_h, ratio_, through);
  draw.in = mirrored ? Eigen::Vector3f(2 * o_h * h - out_)
                     : Eigen::Vector3f((o_h / ratio_ - through) * h - out_ / ratio_);
  draw.in.normalize();
  if (mirrored != (draw.in.z() > 0)) return draw;
  if (rough()) {
    draw.scatter = GlassAt(draw.in);
  } else {
    draw.scatter = {0, Eigen::Array3f::Ones(), 1};
    draw.certain = true;
  }
  return draw;
}

ScatterDraw Lobes::Draw(float choice, Pair numbers) const {
  if (point_.kind == WorldMaterialKind::kGlass) return DrawGlass(choice, numbers);
  ScatterDraw draw;
  if (choice < facets_) {
    const Eigen::Vector3f h = DrawFacet(numbers);
    draw.in = (2 * out_.dot(h) * h - out_).normalized();
  } else {
    const float r = std::sqrt(numbers.x), turn = 2 * kPi * numbers.y;
    draw.in = {r * std::cos(turn), r * std::sin(turn), std::sqrt(1 - numbers.x)};
  }
  draw.scatter = At(draw.in);
  return draw;
}

}  // namespace wheatpaste

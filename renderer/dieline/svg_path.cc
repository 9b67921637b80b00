#include "dieline/svg_path.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

constexpr double kPi = std::numbers::pi;
constexpr int kMostPieces = 2000;  // of one curve

bool IsSpace(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f'; }
bool IsUpper(char c) { return c >= 'A' && c <= 'Z'; }

class PathReader {
 public:
  PathReader(std::string_view text, const Eigen::Affine2d& mm_from_user, std::string& mistake)
      : text_(text), whole_(text.size()), map_(mm_from_user), mistake_(mistake) {}

  std::vector<SvgSubpath> Read() {
    while (true) {
      while (!text_.empty() && IsSpace(text_.front())) text_.remove_prefix(1);
      if (text_.empty()) break;
      const char command = text_.front();
      if (std::string_view("MmLlHhVvCcSsQqTtAaZz").find(command) == std::string_view::npos) {
        Mistake(fmt::format("a command such as M or L, not \"{}\"", PrintableText({&command, 1})));
        break;
      }
      if (paths_.empty() && command != 'M' && command != 'm') {
        Mistake("M first");
        break;
      }
      text_.remove_prefix(1);
      if (!Take(command)) break;
      if (count_ > kMostPathPoints) {
        mistake_ = fmt::format("has more than {} points", kMostPathPoints);
        break;
      }
    }
    return std::move(paths_);
  }

 private:
  void Mistake(const std::string& expected) {
    mistake_ =
        fmt::format("expected {} at character {} of the path", expected, whole_ - text_.size() + 1);
  }

  // A command with all its repetitions.
  bool Take(char command) {
    if (command == 'Z' || command == 'z') {
      Close();
      last_ = 'Z';
      return true;
    }
    bool first = true;
    while (true) {
      std::string_view rest = text_;
      if (first) {
        while (!rest.empty() && IsSpace(rest.front())) rest.remove_prefix(1);
      } else {
        SkipSvgSeparator(rest);
      }
      double number = 0;
      std::string_view probe = rest;
      if (!TakeSvgNumber(probe, number)) {
        if (!first) return true;
        text_ = rest;
        Mistake("a number");
        return false;
      }
      text_ = rest;
      if (!TakeOne(command)) return false;
      if (count_ > kMostPathPoints) return true;
      // Further pairs after a move are lines.
      if (command == 'M') command = 'L';
      if (command == 'm') command = 'l';
      first = false;
    }
  }

  bool Numbers(double* numbers, int count) {
    for (int i = 0; i < count; ++i) {
      if (i > 0) SkipSvgSeparator(text_);
      if (!TakeSvgNumber(text_, numbers[i])) {
        Mistake("a number");
        return false;
      }
    }
    return true;
  }

  bool Points(char command, Vector2d* points, int count) {
    double numbers[6] = {};
    if (!Numbers(numbers, 2 * count)) return false;
    const Vector2d base = IsUpper(command) ? Vector2d(0, 0) : at_;
    for (int i = 0; i < count; ++i) {
      points[i] = base + Vector2d(numbers[2 * i], numbers[2 * i + 1]);
    }
    return true;
  }

  bool TakeOne(char command) {
    Vector2d p[3];
    double number = 0;
    const char kind = static_cast<char>(std::toupper(command));
    switch (kind) {
      case 'M':
        if (!Points(command, p, 1)) return false;
        Begin(p[0]);
        break;
      case 'L':
        if (!Points(command, p, 1)) return false;
        LineTo(p[0]);
        break;
      case 'H':
        if (!Numbers(&number, 1)) return false;
        LineTo({IsUpper(command) ? number : at_.x() + number, at_.y()});
        break;
      case 'V':
        if (!Numbers(&number, 1)) return false;
        LineTo({at_.x(), IsUpper(command) ? number : at_.y() + number});
        break;
      case 'C':
        if (!Points(command, p, 3)) return false;
        Cubic(p[0], p[1], p[2]);
        break;
      case 'S':
        if (!Points(command, p, 2)) return false;
        Cubic(last_ == 'C' || last_ == 'S' ? Vector2d(2 * at_ - control_) : at_, p[0], p[1]);
        break;
      case 'Q':
        if (!Points(command, p, 2)) return false;
        Quadratic(p[0], p[1]);
        break;
      case 'T':
        if (!Points(command, p, 1)) return false;
        Quadratic(last_ == 'Q' || last_ == 'T' ? Vector2d(2 * at_ - control_) : at_, p[0]);
        break;
      default:
        if (!TakeArc(command)) return false;
        break;
    }
    last_ = kind;
    return true;
  }

  bool Flag(bool& flag) {
    SkipSvgSeparator(text_);
    if (text_.empty() || (text_.front() != '0' && text_.front() != '1')) {
      Mistake("0 or 1");
      return false;
    }
    flag = text_.front() == '1';
    text_.remove_prefix(1);
    return true;
  }

  bool TakeArc(char command) {
    double shape[3] = {};
    bool large = false, sweep = false;
    if (!Numbers(shape, 3) || !Flag(large) || !Flag(sweep)) return false;
    SkipSvgSeparator(text_);
    Vector2d to;
    if (!Points(command, &to, 1)) return false;
    Arc(std::abs(shape[0]), std::abs(shape[1]), shape[2] * kPi / 180, large, sweep, to);
    return true;
  }

  void Begin(const Vector2d& p) {
    at_ = start_ = p;
    paths_.push_back({{map_ * p}, false});
    ++count_;
    open_ = true;
  }

  void Add(const Vector2d& p) {
    if (!open_) Begin(start_);  // after Z a path goes on from where it began
    const Vector2d mm = map_ * p;
    if ((mm - paths_.back().points.back()).norm() > 1e-9) {
      paths_.back().points.push_back(mm);
      ++count_;
    }
  }

  void LineTo(const Vector2d& p) {
    Add(p);
    at_ = p;
  }

  void Close() {
    if (!open_) return;
    SvgSubpath& path = paths_.back();
    if (path.points.size() > 1 && (path.points.front() - path.points.back()).norm() < 1e-9) {
      path.points.pop_back();
    }
    path.closed = true;
    open_ = false;
    at_ = start_;
  }

  // second  the largest |f''| / 8 of the curve in mm, its parameter running from 0 to 1.
  static int Pieces(double second) {
    return static_cast<int>(
        std::clamp(std::ceil(std::sqrt(second / kCurveToleranceMm)), 1.0, 1.0 * kMostPieces));
  }

  void Cubic(const Vector2d& b, const Vector2d& c, const Vector2d& d) {
    const Vector2d a = at_;
    const auto linear = map_.linear();
    const double bend =
        std::max((linear * (a - 2 * b + c)).norm(), (linear * (b - 2 * c + d)).norm());
    const int pieces = Pieces(6 * bend / 8);
    for (int i = 1; i <= pieces; ++i) {
      const double t = 1.0 * i / pieces, s = 1 - t;
      Add(i == pieces
              ? d
              : Vector2d(s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d));
    }
    control_ = c;
    at_ = d;
  }

  void Quadratic(const Vector2d& b, const Vector2d& c) {
    const Vector2d a = at_;
    const int pieces = Pieces(2 * (map_.linear() * (a - 2 * b + c)).norm() / 8);
    for (int i = 1; i <= pieces; ++i) {
      const double t = 1.0 * i / pieces, s = 1 - t;
      Add(i == pieces ? c : Vector2d(s * s * a + 2 * s * t * b + t * t * c));
    }
    control_ = b;
    at_ = c;
  }

  // SVG 1.1, F.6.5 and F.6.6: from ends to centre.
  void Arc(double rx, double ry, double turn, bool large, bool sweep, const Vector2d& to) {
    if (rx == 0 || ry == 0 || to == at_) return LineTo(to);
    const Eigen::Rotation2Dd rotation(turn);
    const Vector2d half = rotation.inverse() * ((at_ - to) / 2);
    const double x = half.x() / rx, y = half.y() / ry, size = x * x + y * y;
    if (size > 1) {
      rx *= std::sqrt(size);
      ry *= std::sqrt(size);
    }
    const double u = half.x() / rx, v = half.y() / ry, span = u * u + v * v;
    double away = span > 0 ? std::sqrt(std::max(0.0, (1 - span) / span)) : 0;
    if (large == sweep) away = -away;
    const Vector2d middle(away * rx * v, -away * ry * u);
    const Vector2d centre = rotation * middle + (at_ + to) / 2;
    const double from = std::atan2((half.y() - middle.y()) / ry, (half.x() - middle.x()) / rx);
    double sweep_by =
        std::atan2((-half.y() - middle.y()) / ry, (-half.x() - middle.x()) / rx) - from;
    if (sweep && sweep_by < 0) sweep_by += 2 * kPi;
    if (!sweep && sweep_by > 0) sweep_by -= 2 * kPi;
    const double scale = map_.linear().norm();
    const int pieces = Pieces(sweep_by * sweep_by * std::max(rx, ry) * scale / 8);
    for (int i = 1; i <= pieces; ++i) {
      const double angle = from + sweep_by * i / pieces;
      Add(i == pieces
              ? to
              : Vector2d(centre + rotation * Vector2d(rx * std::cos(angle), ry * std::sin(angle))));
    }
    at_ = to;
  }

  std::string_view text_;
  size_t whole_;
  const Eigen::Affine2d& map_;
  std::string& mistake_;
  std::vector<SvgSubpath> paths_;
  Vector2d at_{0, 0}, start_{0, 0}, control_{0, 0};
  char last_ = 'Z';
  bool open_ = false;
  size_t count_ = 0;
};

}  // namespace

bool TakeSvgNumber(std::string_view& text, double& number) {
  std::string_view rest = text;
  const bool plus = !rest.empty() && rest.front() == '+';
  if (plus) rest.remove_prefix(1);
  if (rest.empty() || (plus && rest.front() == '-')) return false;
  // from_chars also reads words such as "inf".
  const char first = rest.front() == '-' && rest.size() > 1 ? rest[1] : rest.front();
  if (first != '.' && (first < '0' || first > '9')) return false;
  const auto [end, fault] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (fault != std::errc() || !std::isfinite(number) || std::abs(number) > 1e9) return false;
  rest.remove_prefix(static_cast<size_t>(end - rest.data()));
  text = rest;
  return true;
}

void SkipSvgSeparator(std::string_view& text) {
  bool comma = false;
  while (!text.empty() && (IsSpace(text.front()) || (text.front() == ',' && !comma))) {
    comma = comma || text.front() == ',';
    text.remove_prefix(1);
  }
}

std::vector<SvgSubpath> ReadSvgPath(std::string_view text, const Eigen::Affine2d& mm_from_user,
                                    std::string& mistake) {
  return PathReader(text, mm_from_user, mistake).Read();
}

SvgSubpath SvgEllipse(const Vector2d& centre, double rx, double ry,
                      const Eigen::Affine2d& mm_from_user) {
  const std::string text = fmt::format("M{0} {1}A{2} {3} 0 0 1 {4} {1}A{2} {3} 0 0 1 {0} {1}Z",
                                       centre.x() + rx, centre.y(), rx, ry, centre.x() - rx);
  std::string mistake;
  return ReadSvgPath(text, mm_from_user, mistake).front();
}

}  // namespace wheatpaste

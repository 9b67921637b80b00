#include "surface/grow_matte.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "surface/matte_edge.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;
constexpr int kRounds = 5;
constexpr uint64_t kSeed = 20040801;
// The matte is grown this much beyond the outlines' bounds, share of their longer side.
constexpr double kMargin = 0.06;
// The band along the cut, to each side: at least this many photo px, or reduced px.
constexpr double kBandPx = 6, kBandReducedPx = 2.5;
// Strokes are compared with pixels by colour (codes of 255) and by place (the longer side as this many codes).
constexpr float kPlaceCodes = 40;
constexpr int kStrokeSamples = 100;
// A pixel this close to a stroke's (root of the sum of squares, codes), and so much farther from the other
// kind's, is taken to be the same thing.
constexpr float kSameCodes = 20, kSameRatio = 2.5f;
// Specks and holes of fewer reduced px that no stroke touches are filled.
constexpr int kSpeckPx = 40;
// A mixture of colours has five parts.
constexpr int kFewestPx = 10;

enum Side : uint8_t { kNeither = 0, kFront = 1, kBehind = 2, kBoth = 3 };

cv::Mat NewMat(SizePx size, int type) {
  return cv::Mat::zeros(static_cast<int>(size.height), static_cast<int>(size.width), type);
}

Error StrokeError(const MatteStrokes& strokes, const std::string& key, const std::string& message) {
  return {strokes.place, key, message};
}

std::optional<Error> CheckStrokes(const MatteStrokes& strokes, const std::string& key,
                                  SizePx photo) {
  const std::array<std::pair<const char*, const std::vector<std::vector<PhotoPx>>*>, 2> kinds{
      {{"in_front", &strokes.in_front}, {"surface", &strokes.surface}}};
  for (const auto& [name, lines] : kinds) {
    size_t points = 0;
    for (size_t i = 0; i < lines->size(); ++i) {
      for (size_t k = 0; k < (*lines)[i].size(); ++k, ++points) {
        const PhotoPx& p = (*lines)[i][k];
        if (p.x >= 0 && p.y >= 0 && p.x <= static_cast<double>(photo.width) &&
            p.y <= static_cast<double>(photo.height)) {
          continue;
        }
        return StrokeError(
            strokes, fmt::format("{}.{}", key, name),
            fmt::format("stroke {}, point {}: [{:.6g}, {:.6g}] lies off the photo, which is {} x "
                        "{} px",
                        i + 1, k + 1, p.x, p.y, photo.width, photo.height));
      }
    }
    if (points > 0) continue;
    return StrokeError(strokes, fmt::format("{}.{}", key, name),
                       "expected at least one stroke; a matte is grown from strokes over what "
                       "stands in front and over what is behind it");
  }
  return std::nullopt;
}

// The photo's pixels that the outlines and strokes lie in, with a margin.
RectPx AreaOf(const MatteStrokes& strokes, std::span<const Polygon> outlines, SizePx photo) {
  if (outlines.empty()) return WholeOf(photo);
  double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
  const auto hold = [&](const PhotoPx& p, double by) {
    x0 = std::min(x0, p.x - by);
    y0 = std::min(y0, p.y - by);
    x1 = std::max(x1, p.x + by);
    y1 = std::max(y1, p.y + by);
  };
  for (const Polygon& outline : outlines) {
    for (const PhotoPx& p : outline) hold(p, 0);
  }
  const double margin = kMargin * std::max({x1 - x0, y1 - y0, 0.0}) + 2 * kBandPx;
  hold({x0, y0}, margin);
  hold({x1, y1}, margin);
  for (const auto* lines : {&strokes.in_front, &strokes.surface}) {
    for (const auto& line : *lines) {
      for (const PhotoPx& p : line) hold(p, strokes.width_px + 1);
    }
  }
  const auto whole = [](double v) { return static_cast<int64_t>(std::clamp(v, -1e6, 1e6)); };
  return Intersect(
      {whole(std::floor(x0)), whole(std::floor(y0)), whole(std::ceil(x1)), whole(std::ceil(y1))},
      WholeOf(photo));
}

// Which pixels of the area each kind of stroke covers.
cv::Mat DrawStrokes(const MatteStrokes& strokes, const RectPx& area) {
  cv::Mat sides = NewMat({area.width(), area.height()}, CV_8U);
  for (const Side side : {kFront, kBehind}) {
    cv::Mat drawn = NewMat({area.width(), area.height()}, CV_8U);
    const int width = std::max(1, static_cast<int>(std::lround(strokes.width_px)));
    for (const auto& line : side == kFront ? strokes.in_front : strokes.surface) {
      // Pixel (i, j) holds [i, i + 1).
      const auto at = [&](const PhotoPx& p) {
        return cv::Point(static_cast<int>(std::floor(p.x)) - static_cast<int>(area.x0),
                         static_cast<int>(std::floor(p.y)) - static_cast<int>(area.y0));
      };
      for (size_t i = 0; i < line.size(); ++i) {
        cv::line(drawn, at(line[i]), at(line[std::min(i + 1, line.size() - 1)]), cv::Scalar(side),
                 width);
      }
    }
    sides |= drawn;
  }
  return sides;
}

// Rows of the photo in linear light.
class LinearRows {
 public:
  static Result<LinearRows> Of(const Bitmap& photo, const Error& no_profile) {
    if (photo.model == ColourModel::kCmyk && !photo.profile) return no_profile;
    return LinearRows(photo);
  }
  // Columns [x0, x0 + count) of row y: r, g, b after each other.
  void Row(int64_t y, int64_t x0, int64_t count, std::vector<float>& linear) const {
    const auto n = static_cast<size_t>(count);
    linear.resize(3 * n);
    const size_t code_bytes = static_cast<size_t>(photo_.depth / 8);
    const size_t pixel_bytes = static_cast<size_t>(photo_.channels()) * code_bytes;
    const uint8_t* codes = photo_.row(y) + static_cast<size_t>(x0) * pixel_bytes;
    int stride = photo_.channels();
    std::vector<uint8_t> widened;
    if (gray_as_rgb_) {
      widened.resize(3 * n * code_bytes);
      for (size_t i = 0; i < 3 * n; ++i) {
        std::copy_n(codes + i / 3 * pixel_bytes, code_bytes, &widened[i * code_bytes]);
      }
      codes = widened.data();
      stride = 3;
    }
    to_working_.Convert(codes, count, stride, &linear[0], &linear[n], &linear[2 * n]);
  }

 private:
  explicit LinearRows(const Bitmap& photo)
      : photo_(photo),
        gray_as_rgb_(photo.model == ColourModel::kGray && !photo.profile),
        to_working_(photo.profile                      ? *photo.profile
                    : photo.model == ColourModel::kLab ? Profile::LabD50()
                                                       : Profile::Srgb(),
                    photo.depth) {}
  const Bitmap& photo_;
  bool gray_as_rgb_;  // no profile: sRGB's own grays
  WorkingFromCodes to_working_;
};

// The area in linear light, `factor` x `factor` px to one; pixels at the far edges hold what there is.
cv::Mat Reduce(const LinearRows& rows, const RectPx& area, int factor) {
  const SizePx size{(area.width() + factor - 1) / factor, (area.height() + factor - 1) / factor};
  cv::Mat reduced = NewMat(size, CV_32FC3);
  ParallelRows(size.height, kBandRows, [&](int64_t from, int64_t to) {
    std::vector<float> linear;
    const auto width = static_cast<size_t>(area.width());
    for (int64_t row = from; row < to; ++row) {
      auto* out = reduced.ptr<cv::Vec3f>(static_cast<int>(row));
      const int64_t y0 = area.y0 + row * factor, y1 = std::min(y0 + factor, area.y1);
      for (int64_t y = y0; y < y1; ++y) {
        rows.Row(y, area.x0, area.width(), linear);
        for (size_t x = 0; x < width; ++x) {
          for (int c = 0; c < 3; ++c) {
            out[x / static_cast<size_t>(factor)][c] += linear[static_cast<size_t>(c) * width + x];
          }
        }
      }
      for (int64_t x = 0; x < size.width; ++x) {
        const int64_t held = std::min<int64_t>(factor, area.width() - x * factor) * (y1 - y0);
        out[x] /= static_cast<float>(held);
      }
    }
  });
  return reduced;
}

cv::Mat EncodeBgr(const cv::Mat& linear) {
  const CodesFromWorking to_codes(Profile::Srgb(), 8);
  cv::Mat rgb(linear.size(), CV_8UC3), bgr;
  std::vector<float> r(static_cast<size_t>(linear.cols)), g = r, b = r;
  for (int y = 0; y < linear.rows; ++y) {
    const auto* row = linear.ptr<cv::Vec3f>(y);
    for (int x = 0; x < linear.cols; ++x) {
      const auto i = static_cast<size_t>(x);
      r[i] = row[x][0];
      g[i] = row[x][1];
      b[i] = row[x][2];
    }
    to_codes.Convert(r.data(), g.data(), b.data(), linear.cols, rgb.ptr(y));
  }
  cv::cvtColor(rgb, bgr, cv::COLOR_RGB2BGR);
  return bgr;
}

// Sides of reduced pixels; neither where both kinds meet within one.
cv::Mat ReduceSides(const cv::Mat& sides, int factor, cv::Size size) {
  cv::Mat reduced = cv::Mat::zeros(size, CV_8U);
  for (int y = 0; y < sides.rows; ++y) {
    for (int x = 0; x < sides.cols; ++x) {
      reduced.at<uint8_t>(y / factor, x / factor) |= sides.at<uint8_t>(y, x);
    }
  }
  reduced.setTo(cv::Scalar(kNeither), reduced == kBoth);
  return reduced;
}

// Colour and place.
using Sample = std::array<float, 5>;
Sample SampleAt(const cv::Mat& bgr, int x, int y) {
  const auto& c = bgr.at<cv::Vec3b>(y, x);
  const float per = kPlaceCodes / static_cast<float>(std::max(bgr.cols, bgr.rows));
  return {float(c[0]), float(c[1]), float(c[2]), per * float(x), per * float(y)};
}

// Up to kStrokeSamples of the pixels of one side.
std::vector<Sample> SamplesOf(const cv::Mat& bgr, const cv::Mat& sides, Side side) {
  std::vector<cv::Point> points;
  for (int y = 0; y < sides.rows; ++y) {
    for (int x = 0; x < sides.cols; ++x) {
      if (sides.at<uint8_t>(y, x) == side) points.emplace_back(x, y);
    }
  }
  std::vector<Sample> samples;
  const size_t count = std::min<size_t>(points.size(), kStrokeSamples);
  for (size_t i = 0; i < count; ++i) {
    const cv::Point& p = points[i * points.size() / count];
    samples.push_back(SampleAt(bgr, p.x, p.y));
  }
  return samples;
}

float NearestOf(const std::vector<Sample>& samples, const Sample& at) {
  float nearest = 1e9f;
  for (const Sample& sample : samples) {
    float sum = 0;
    for (size_t i = 0; i < at.size(); ++i) sum += (sample[i] - at[i]) * (sample[i] - at[i]);
    nearest = std::min(nearest, sum);
  }
  return nearest;
}

// Fills what is small and untouched by its side's strokes.
void FillSpecks(const cv::Mat& sides, cv::Mat& cut) {
  for (const uint8_t value : {uint8_t{255}, uint8_t{0}}) {
    cv::Mat parts, facts, centres;
    const int count = cv::connectedComponentsWithStats(cut == value, parts, facts, centres, 8);
    std::vector<uint8_t> keep(static_cast<size_t>(count));
    for (int i = 0; i < count; ++i) {
      keep[static_cast<size_t>(i)] = i == 0 || facts.at<int>(i, cv::CC_STAT_AREA) >= kSpeckPx;
    }
    for (int y = 0; y < cut.rows; ++y) {
      for (int x = 0; x < cut.cols; ++x) {
        if (sides.at<uint8_t>(y, x) != kNeither) keep[static_cast<size_t>(parts.at<int>(y, x))] = 1;
      }
    }
    for (int y = 0; y < cut.rows; ++y) {
      for (int x = 0; x < cut.cols; ++x) {
        if (!keep[static_cast<size_t>(parts.at<int>(y, x))]) {
          cut.at<uint8_t>(y, x) = static_cast<uint8_t>(255 - value);
        }
      }
    }
  }
}

// 255 where something stands in front.
std::optional<cv::Mat> Cut(const cv::Mat& bgr, const cv::Mat& sides) {
  const std::vector<Sample> front = SamplesOf(bgr, sides, kFront);
  const std::vector<Sample> behind = SamplesOf(bgr, sides, kBehind);
  if (front.empty() || behind.empty()) return std::nullopt;
  // Each pixel starts with the stroke it is most like.
  cv::Mat mask(bgr.size(), CV_8U);
  ParallelRows(bgr.rows, kBandRows, [&](int64_t from, int64_t to) {
    for (int y = static_cast<int>(from); y < static_cast<int>(to); ++y) {
      for (int x = 0; x < bgr.cols; ++x) {
        const uint8_t side = sides.at<uint8_t>(y, x);
        const Sample at = SampleAt(bgr, x, y);
        uint8_t label = cv::GC_BGD;
        if (side == kFront) {
          label = cv::GC_FGD;
        } else if (side == kNeither) {
          const float to_front = NearestOf(front, at), to_behind = NearestOf(behind, at);
          const bool nearer_front = to_front < to_behind;
          const float near = nearer_front ? to_front : to_behind;
          const float other = nearer_front ? to_behind : to_front;
          const bool sure =
              near < kSameCodes * kSameCodes && other > kSameRatio * kSameRatio * near;
          label = static_cast<uint8_t>(sure ? (nearer_front ? cv::GC_FGD : cv::GC_BGD)
                                            : (nearer_front ? cv::GC_PR_FGD : cv::GC_PR_BGD));
        }
        mask.at<uint8_t>(y, x) = label;
      }
    }
  });
  const int marked = cv::countNonZero(mask & 1);
  if (marked < kFewestPx || bgr.rows * bgr.cols - marked < kFewestPx) return std::nullopt;
  const int threads = cv::getNumThreads();
  const cv::RNG random = cv::theRNG();
  cv::setNumThreads(1);
  cv::setRNGSeed(static_cast<int>(kSeed));
  cv::Mat behind_model, front_model;
  bool done = true;
  try {
    cv::grabCut(bgr, mask, {}, behind_model, front_model, kRounds, cv::GC_INIT_WITH_MASK);
  } catch (const cv::Exception&) {  // a side that lost all its pixels
    done = false;
  }
  cv::theRNG() = random;
  cv::setNumThreads(threads);
  if (!done) return std::nullopt;
  cv::Mat cut = (mask & 1) * 255;
  FillSpecks(sides, cut);
  return cut;
}

}  // namespace

Result<Image<Coverage>> GrowMatte(const Bitmap& photo, const MatteStrokes& strokes,
                                  const std::string& key, std::span<const Polygon> outlines) {
  if (auto error = CheckStrokes(strokes, key, photo.size)) return *error;
  const auto rows = LinearRows::Of(
      photo,
      StrokeError(strokes, key, "the photo is CMYK without a profile; expected RGB or gray"));
  if (!rows) return rows.errors();
  const RectPx area = AreaOf(strokes, outlines, photo.size);
  const cv::Mat drawn = DrawStrokes(strokes, area);
  std::vector<cv::Point> both;
  cv::findNonZero(drawn == kBoth, both);
  if (!both.empty()) {
    return StrokeError(strokes, key,
                       fmt::format("strokes of in_front and surface both cover [{}, {}]; expected "
                                   "them apart, or a smaller width than {:g} px",
                                   both[0].x + area.x0, both[0].y + area.y0, strokes.width_px));
  }

  const int factor = std::max(
      1, static_cast<int>(
             std::ceil(std::sqrt(static_cast<double>(area.width() * area.height()) / kGrowPx))));
  const cv::Mat linear = Reduce(*rows, area, factor);
  const auto cut = Cut(EncodeBgr(linear), ReduceSides(drawn, factor, linear.size()));
  if (!cut) {
    return StrokeError(strokes, key,
                       "the strokes hold too few pixels to tell two sides by their colours; "
                       "expected longer ones over each");
  }
  const double band = std::max(kBandPx / factor, kBandReducedPx);
  const Sides sides = DescribeSides(linear, *cut, band);

  Image<Coverage> matte(photo.size);
  ParallelRows(photo.size.height, kBandRows, [&](int64_t from, int64_t to) {
    std::vector<float> row;
    for (int64_t y = from; y < to; ++y) {
      float* out = matte.row(0, y);
      std::fill_n(out, photo.size.width, 1.0f);
      if (y < area.y0 || y >= area.y1) continue;
      const Between down(y - area.y0, factor, linear.rows);
      bool converted = false;
      for (int64_t i = 0; i < area.width(); ++i) {
        float& seen = out[area.x0 + i];
        const uint8_t side = drawn.ptr(static_cast<int>(y - area.y0))[i];
        if (side != kNeither) {
          seen = side == kFront ? 0.0f : 1.0f;
          continue;
        }
        const Between across(i, factor, linear.cols);
        const float depth = Value<float>(sides.depth, across, down);
        if (std::abs(depth) >= static_cast<float>(band)) {
          seen = depth > 0 ? 0.0f : 1.0f;
          continue;
        }
        if (!converted) rows->Row(y, area.x0, area.width(), row);
        converted = true;
        const auto at = static_cast<size_t>(i), n = static_cast<size_t>(area.width());
        const auto per = static_cast<float>(factor);
        seen = 1 - AlphaOf({row[at], row[n + at], row[2 * n + at]},
                           Value<cv::Vec3f>(sides.front, across, down),
                           Value<cv::Vec3f>(sides.behind, across, down),
                           Value<float>(sides.spread, across, down), depth * per,
                           static_cast<float>(band) * per, per);
      }
    }
  });
  return matte;
}

}  // namespace wheatpaste

#include "artwork/colour_count.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "colour/profile.h"

namespace wheatpaste {
namespace {

constexpr float kOpaque = 1 - 0.5f / 255;
constexpr int kNearCodes = 2;
// A step of a gradient that is narrower than ten pixels has more than this beside the next step.
constexpr double kMostSloping = 0.25;
constexpr uint32_t kNotOpaque = 0xffffffff;  // no code: those have 24 bits
constexpr double kAreaParts = 256;

// Another code, but one that the eye takes for the same: the next step of a gradient.
bool IsNear(uint32_t a, uint32_t b) {
  if (a == b || a == kNotOpaque || b == kNotOpaque) return false;
  for (const int shift : {16, 8, 0}) {
    const auto byte = [shift](uint32_t code) { return static_cast<int>(code >> shift & 0xff); };
    if (std::abs(byte(a) - byte(b)) > kNearCodes) return false;
  }
  return true;
}

// Codes of a piece with a rim of one pixel around it, which repeats what it touches.
class CodedPiece {
 public:
  explicit CodedPiece(ImageView<LinearPremul> piece)
      : size_(piece.size()), codes_(static_cast<size_t>((size_.width + 2) * (size_.height + 2))) {
    static const CodesFromWorking encode(Profile::Srgb(), 8);
    const int64_t width = size_.width;
    std::vector<int64_t> begins;  // of runs of one colour, which are the rule
    std::vector<float> plain(static_cast<size_t>(3 * width));
    std::vector<uint8_t> bytes(static_cast<size_t>(3 * width));
    for (int64_t y = 0; y < size_.height; ++y) {
      const float *r = piece.row(0, y), *g = piece.row(1, y), *b = piece.row(2, y);
      const float* const alpha = piece.row(3, y);
      begins.assign(1, 0);
      for (int64_t x = 1; x < width; ++x) {
        const bool same = (r[x] == r[x - 1]) & (g[x] == g[x - 1]) & (b[x] == b[x - 1]) &
                          (alpha[x] == alpha[x - 1]);
        if (!same) begins.push_back(x);
      }
      const auto runs = static_cast<int64_t>(begins.size());
      for (int64_t k = 0; k < runs; ++k) {
        const int64_t x = begins[static_cast<size_t>(k)];
        const float covered = std::max(alpha[x], kOpaque);
        plain[static_cast<size_t>(k)] = r[x] / covered;
        plain[static_cast<size_t>(width + k)] = g[x] / covered;
        plain[static_cast<size_t>(2 * width + k)] = b[x] / covered;
      }
      encode.Convert(plain.data(), plain.data() + width, plain.data() + 2 * width, runs,
                     bytes.data());
      begins.push_back(width);
      uint32_t* const row = mutable_row(y);
      double sum = 0;
      for (size_t k = 0; k + 1 < begins.size(); ++k) {
        const int64_t from = begins[k], to = begins[k + 1];
        const uint8_t* const code = bytes.data() + 3 * k;
        std::fill(row + from, row + to,
                  alpha[from] < kOpaque
                      ? kNotOpaque
                      : uint32_t{code[0]} << 16 | uint32_t{code[1]} << 8 | code[2]);
        sum += static_cast<double>(to - from) * double{alpha[from]};
      }
      area_ += std::llround(sum * kAreaParts);
      row[-1] = row[0];
      row[width] = row[width - 1];
    }
    std::copy_n(row(0), width, mutable_row(-1));
    std::copy_n(row(size_.height - 1), width, mutable_row(size_.height));
  }

  const SizePx& size() const { return size_; }
  int64_t area() const { return area_; }
  // From x = -1 on, y too.
  const uint32_t* row(int64_t y) const { return codes_.data() + (y + 1) * (size_.width + 2) + 1; }

 private:
  uint32_t* mutable_row(int64_t y) { return codes_.data() + (y + 1) * (size_.width + 2) + 1; }
  SizePx size_;
  std::vector<uint32_t> codes_;
  int64_t area_ = 0;
};

class CountedArtwork final : public Artwork {
 public:
  CountedArtwork(std::shared_ptr<const Artwork> artwork, std::shared_ptr<ColourCount> count)
      : artwork_(std::move(artwork)), count_(std::move(count)) {}
  double aspect() const override { return artwork_->aspect(); }
  bool is_vector() const override { return artwork_->is_vector(); }
  SizePx pixels() const override { return artwork_->pixels(); }
  const std::string& colour_description() const override { return artwork_->colour_description(); }
  Mm width_mm() const override { return artwork_->width_mm(); }
  Mm height_mm() const override { return artwork_->height_mm(); }
  std::vector<std::string> notes() const override { return artwork_->notes(); }
  std::set<Srgb8> colours() const override { return artwork_->colours(); }
  Status RasteriseRows(SizePx size, const RectPx& part, const TakeRows& take) const override {
    return artwork_->RasteriseRows(size, part, [&](int64_t y0, Image<LinearPremul> rows) {
      count_->Add(rows.view());
      take(y0, std::move(rows));
    });
  }

 private:
  std::shared_ptr<const Artwork> artwork_;
  std::shared_ptr<ColourCount> count_;
};

}  // namespace

void ColourCount::Add(ImageView<LinearPremul> piece) {
  if (piece.size().area() == 0) return;
  const CodedPiece coded(piece);
  const auto [width, height] = coded.size();
  std::unordered_map<uint32_t, Pixels> here;
  std::vector<uint32_t> sloping;
  uint32_t last = kNotOpaque;
  int64_t run = 0;
  const auto end_run = [&] {
    if (run > 0) here[last].flat += run;
    run = 0;
  };
  for (int64_t y = 0; y < height; ++y) {
    const uint32_t *row = coded.row(y), *above = coded.row(y - 1), *below = coded.row(y + 1);
    for (int64_t x = 0; x < width; ++x) {
      const uint32_t code = row[x];
      if (code == kNotOpaque) continue;
      if (((row[x - 1] ^ code) | (row[x + 1] ^ code) | (above[x] ^ code) | (below[x] ^ code)) !=
          0) {
        if (IsNear(code, row[x - 1]) || IsNear(code, row[x + 1]) || IsNear(code, above[x]) ||
            IsNear(code, below[x])) {
          sloping.push_back(code);
        }
        continue;
      }
      if (code != last) {
        end_run();
        last = code;
      }
      ++run;
    }
  }
  end_run();
  for (const uint32_t code : sloping) {
    if (const auto found = here.find(code); found != here.end()) ++found->second.sloping;
  }
  const std::lock_guard lock(mutex_);
  area_ += coded.area();
  for (const auto& [code, pixels] : here) {
    Pixels& all = by_code_[code];
    all.flat += pixels.flat;
    all.sloping += pixels.sloping;
  }
}

std::vector<MainColour> ColourCount::Colours(double least_share) const {
  const std::lock_guard lock(mutex_);
  const double area = static_cast<double>(area_) / kAreaParts;
  std::vector<MainColour> colours;
  for (const auto& [code, pixels] : by_code_) {
    const auto flat = static_cast<double>(pixels.flat);
    if (flat < least_share * area || static_cast<double>(pixels.sloping) > kMostSloping * flat) {
      continue;
    }
    const auto byte = [code = code](int shift) {
      return static_cast<uint8_t>(code >> shift & 0xff);
    };
    colours.push_back({{byte(16), byte(8), byte(0)}, flat / area});
  }
  std::sort(colours.begin(), colours.end(), [](const MainColour& a, const MainColour& b) {
    return a.share != b.share ? a.share > b.share : a.colour < b.colour;
  });
  if (colours.size() > kMostMainColours) colours.resize(kMostMainColours);
  return colours;
}

std::shared_ptr<const Artwork> CountWhenDrawn(std::shared_ptr<const Artwork> artwork,
                                              std::shared_ptr<ColourCount> count) {
  return std::make_shared<const CountedArtwork>(std::move(artwork), std::move(count));
}

}  // namespace wheatpaste

#include "light/grid_potential.h"

#include <algorithm>
#include <functional>

#include "base/check.h"
#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;
constexpr int64_t kCoarsestSide = 4;
constexpr int kCoarsestSweeps = 8;

size_t At(int64_t width, int64_t x, int64_t y) { return static_cast<size_t>(y * width + x); }

// Sum over bands of rows, always added in the same order.
double SumOverRows(int64_t rows, const std::function<double(int64_t)>& of_row) {
  std::vector<double> sums(static_cast<size_t>((rows + kBandRows - 1) / kBandRows));
  ParallelRows(rows, kBandRows, [&](int64_t y0, int64_t y1) {
    double sum = 0;
    for (int64_t y = y0; y < y1; ++y) sum += of_row(y);
    sums[static_cast<size_t>(y0 / kBandRows)] = sum;
  });
  double all = 0;
  for (const double sum : sums) all += sum;
  return all;
}

}  // namespace

// Rows have a column of zeros before and after, the grid a row above and below: no sweep looks where it stands.
struct GridPotential::Level {
  int64_t width = 0, height = 0, stride = 0;
  std::vector<float> right, down, anchor,
      inverse;  // inverse of the diagonal, 0 where there is none
  std::vector<float> u, b, r;

  Level(int64_t w, int64_t h) : width(w), height(h), stride(w + 2) {
    const auto count = static_cast<size_t>(stride * (h + 2));
    for (auto* plane : {&right, &down, &anchor, &inverse, &u, &b, &r}) plane->assign(count, 0);
  }
  size_t at(int64_t x, int64_t y) const { return static_cast<size_t>((y + 1) * stride + x + 1); }
  void ForRows(const std::function<void(int64_t)>& row) {
    ParallelRows(height, kBandRows, [&](int64_t y0, int64_t y1) {
      for (int64_t y = y0; y < y1; ++y) row(y);
    });
  }
  void FindDiagonal() {
    ForRows([&](int64_t y) {
      for (int64_t x = 0; x < width; ++x) {
        const size_t i = at(x, y);
        const float d =
            right[i] + right[i - 1] + down[i] + down[i - static_cast<size_t>(stride)] + anchor[i];
        inverse[i] = d > 0 ? 1 / d : 0;
      }
    });
  }
  // Weights from those of the level that is twice as fine.
  void JoinBlocks(const Level& fine) {
    ForRows([&](int64_t y) {
      for (int64_t x = 0; x < width; ++x) {
        float across = 0, along = 0, sum = 0;
        for (int64_t k = 0; k < 2; ++k) {
          const bool row = 2 * y + k < fine.height, column = 2 * x + k < fine.width;
          if (row && 2 * x + 1 < fine.width) across += fine.right[fine.at(2 * x + 1, 2 * y + k)];
          if (column && 2 * y + 1 < fine.height) along += fine.down[fine.at(2 * x + k, 2 * y + 1)];
          for (int64_t j = 0; row && j < 2 && 2 * x + j < fine.width; ++j) {
            sum += fine.anchor[fine.at(2 * x + j, 2 * y + k)];
          }
        }
        const size_t i = at(x, y);
        right[i] = across / 2;
        down[i] = along / 2;
        anchor[i] = sum;
      }
    });
    FindDiagonal();
  }
  float Neighbours(const float* v, size_t i) const {
    const auto s = static_cast<size_t>(stride);
    return right[i] * v[i + 1] + right[i - 1] * v[i - 1] + down[i] * v[i + s] +
           down[i - s] * v[i - s];
  }
  // Pixels with x + y of the given parity.
  void Sweep(int64_t parity) {
    ForRows([&](int64_t y) {
      for (int64_t x = (y + parity) & 1; x < width; x += 2) {
        const size_t i = at(x, y);
        u[i] = (b[i] + Neighbours(u.data(), i)) * inverse[i];
      }
    });
  }
  // to = A from.
  void Apply(const std::vector<float>& from, std::vector<float>& to) {
    ForRows([&](int64_t y) {
      for (int64_t x = 0; x < width; ++x) {
        const size_t i = at(x, y);
        to[i] = inverse[i] > 0 ? from[i] / inverse[i] - Neighbours(from.data(), i) : 0;
      }
    });
  }
  void FindResidual() {
    ForRows([&](int64_t y) {
      for (int64_t x = 0; x < width; ++x) {
        const size_t i = at(x, y);
        r[i] = inverse[i] > 0 ? b[i] + Neighbours(u.data(), i) - u[i] / inverse[i] : 0;
      }
    });
  }
  double Dot(const std::vector<float>& p, const std::vector<float>& q) const {
    return SumOverRows(height, [&](int64_t y) {
      double sum = 0;
      const size_t first = at(0, y);
      for (size_t i = first; i < first + static_cast<size_t>(width); ++i) {
        sum += double{p[i]} * double{q[i]};
      }
      return sum;
    });
  }
};

GridPotential::GridPotential(SizePx size) {
  WHEATPASTE_CHECK_OP(size.area(), >=, 1);
  levels_.emplace_back(size.width, size.height);
  while (std::max(levels_.back().width, levels_.back().height) > kCoarsestSide) {
    levels_.emplace_back((levels_.back().width + 1) / 2, (levels_.back().height + 1) / 2);
  }
  for (auto* plane : {&x_, &rest_, &p_, &q_}) plane->assign(levels_.front().u.size(), 0);
}

void GridPotential::SetWeights(const GridEdges& weight, const std::vector<float>& anchor) {
  Level& finest = levels_.front();
  const auto count = static_cast<size_t>(finest.width * finest.height);
  WHEATPASTE_CHECK(weight.right.size() == count && weight.down.size() == count);
  WHEATPASTE_CHECK(anchor.empty() || anchor.size() == count);
  finest.ForRows([&](int64_t y) {
    for (int64_t x = 0; x < finest.width; ++x) {
      const size_t from = At(finest.width, x, y), to = finest.at(x, y);
      finest.right[to] = x + 1 < finest.width ? weight.right[from] : 0;
      finest.down[to] = y + 1 < finest.height ? weight.down[from] : 0;
      finest.anchor[to] = anchor.empty() ? 0 : anchor[from];
    }
  });
  finest.FindDiagonal();
  for (size_t level = 1; level < levels_.size(); ++level)
    levels_[level].JoinBlocks(levels_[level - 1]);
}

GridPotential::~GridPotential() = default;
GridPotential::GridPotential(GridPotential&&) noexcept = default;

// Solves roughly for the level's b, from u = 0.
void GridPotential::Cycle(size_t level) {
  Level& fine = levels_[level];
  std::fill(fine.u.begin(), fine.u.end(), 0.0f);
  if (level + 1 == levels_.size()) {
    for (int i = 0; i < kCoarsestSweeps; ++i) fine.Sweep(0), fine.Sweep(1);
    for (int i = 0; i < kCoarsestSweeps; ++i) fine.Sweep(1), fine.Sweep(0);
    return;
  }
  fine.Sweep(0);
  fine.Sweep(1);
  fine.FindResidual();
  Level& coarse = levels_[level + 1];
  coarse.ForRows([&](int64_t y) {
    for (int64_t x = 0; x < coarse.width; ++x) {
      const size_t i = fine.at(2 * x, 2 * y);
      const auto s = static_cast<size_t>(fine.stride);
      // Outside the grid the residual is 0.
      float sum = fine.r[i] + fine.r[i + 1];
      if (2 * y + 1 < fine.height) sum += fine.r[i + s] + fine.r[i + s + 1];
      coarse.b[coarse.at(x, y)] = sum;
    }
  });
  Cycle(level + 1);
  fine.ForRows([&](int64_t y) {
    for (int64_t x = 0; x < fine.width; ++x) {
      const size_t i = fine.at(x, y);
      if (fine.inverse[i] > 0) fine.u[i] += coarse.u[coarse.at(x / 2, y / 2)];
    }
  });
  fine.Sweep(1);
  fine.Sweep(0);
}

int GridPotential::Solve(const GridEdges& step, const std::vector<float>& target, double tolerance,
                         int most_steps, std::vector<float>& u) {
  Level& fine = levels_.front();
  WHEATPASTE_CHECK(u.size() == static_cast<size_t>(fine.width * fine.height));
  const auto s = static_cast<size_t>(fine.stride);
  std::vector<float>&x = x_, &rest = rest_, &p = p_, &q = q_;
  std::fill(p.begin(), p.end(), 0.0f);
  fine.ForRows([&](int64_t y) {
    for (int64_t i = 0; i < fine.width; ++i) {
      const size_t at = fine.at(i, y), from = At(fine.width, i, y);
      x[at] = fine.inverse[at] > 0 ? u[from] : 0;
      float b = target.empty() ? 0 : fine.anchor[at] * target[from];
      b -= fine.right[at] * step.right[from] + fine.down[at] * step.down[from];
      if (i > 0) b += fine.right[at - 1] * step.right[from - 1];
      if (y > 0) b += fine.down[at - s] * step.down[from - static_cast<size_t>(fine.width)];
      rest[at] = b;
    }
  });
  const double enough = tolerance * tolerance * fine.Dot(rest, rest);
  fine.Apply(x, q);
  fine.ForRows([&](int64_t y) {
    for (size_t i = fine.at(0, y); i < fine.at(fine.width, y); ++i) rest[i] -= q[i];
  });
  double rz = 0;
  int steps = 0;
  while (steps < most_steps && fine.Dot(rest, rest) > enough) {
    fine.b = rest;
    Cycle(0);
    const double next = fine.Dot(rest, fine.u);
    const auto beta = static_cast<float>(steps == 0 ? 0 : next / rz);
    rz = next;
    fine.ForRows([&](int64_t y) {
      for (size_t i = fine.at(0, y); i < fine.at(fine.width, y); ++i) {
        p[i] = fine.u[i] + beta * p[i];
      }
    });
    fine.Apply(p, q);
    const double pq = fine.Dot(p, q);
    if (!(pq > 0)) break;
    const auto alpha = static_cast<float>(rz / pq);
    fine.ForRows([&](int64_t y) {
      for (size_t i = fine.at(0, y); i < fine.at(fine.width, y); ++i) {
        x[i] += alpha * p[i];
        rest[i] -= alpha * q[i];
      }
    });
    ++steps;
  }
  fine.ForRows([&](int64_t y) {
    for (int64_t i = 0; i < fine.width; ++i) {
      const size_t at = fine.at(i, y);
      if (fine.inverse[at] > 0) u[At(fine.width, i, y)] = x[at];
    }
  });
  return steps;
}

}  // namespace wheatpaste

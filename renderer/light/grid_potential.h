// grid_potential.h - the field on a grid of pixels whose differences come nearest to given ones.
//
// Model   u minimises   sum over edges of w_e (u_b - u_a - g_e)^2 + sum over pixels of a_i (u_i - t_i)^2
//         over the edges between right-hand and lower neighbours. An edge of weight 0 is no edge: regions that
//         only such edges join never see each other, and their border is free (the natural boundary condition).
//         A part without any a_i is known up to a constant, which stays what `u` held on entry, on average.
// Method  conjugate gradients, preconditioned by one multigrid V-cycle: 2 x 2 pixels join into one, edge weights
//         between blocks halved (which makes the coarse equation that of the doubled grid), a red-black
//         Gauss-Seidel sweep before and its mirror after, so that the preconditioner is symmetric.
// Source  Briggs, Henson, McCormick 2000, A Multigrid Tutorial, 2nd ed., chapters 3 and 7 (from memory); the halved
//         weights are Braess 1995, Computing 55, 379-393 (from memory). Held against a dense solution and a closed
//         form in tests/light/grid_potential_test.cc.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include <vector>

#include "base/rect.h"

namespace wheatpaste {

// One value a pixel or edge, row by row.
struct GridEdges {
  std::vector<float> right;  // between (x, y) and (x + 1, y); 0 in the last column
  std::vector<float> down;   // between (x, y) and (x, y + 1); 0 in the last row
};

class GridPotential {
 public:
  // size  of the grid, at least 1 x 1.
  explicit GridPotential(SizePx size);
  ~GridPotential();
  GridPotential(GridPotential&&) noexcept;

  // weight  of the edges, 0 or more.
  // anchor  a_i, 0 or more; empty: none.
  void SetWeights(const GridEdges& weight, const std::vector<float>& anchor);

  // step       g_e.
  // target     t_i; empty without anchors.
  // u          start and result.
  // tolerance  stops when the residual is below this share of the one that u = 0 leaves.
  // returns    steps taken, at most `most_steps`.
  int Solve(const GridEdges& step, const std::vector<float>& target, double tolerance,
            int most_steps, std::vector<float>& u);

 private:
  struct Level;
  void Cycle(size_t level);
  std::vector<Level> levels_;
  std::vector<float> x_, rest_, p_, q_;  // of conjugate gradients, laid out as the finest level
};

}  // namespace wheatpaste

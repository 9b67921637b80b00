// shard.h - a part of a batch's jobs, for one of several machines.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "base/error.h"

namespace wheatpaste {

struct Shard {
  int part = 1, parts = 1;  // part from 1; 1 of 1: the whole batch
};

// "2/4", parts 1 to 10000.
// errors  at `text`.
Result<Shard> ReadShard(const Placed<std::string>& text);

// The name of a shard's own manifest; kManifestName where there is one part.
std::string ManifestNameOf(const Shard& shard);

// The jobs of the shard, by number: each job in exactly one part, the same in every run.
// Model   parts are neighbours in the plan's order, even by estimated cost: what is found once for a scene and a size is
//         found in as few parts as may be.
// costs   of all jobs, above 0; any unit.
std::vector<size_t> JobsOf(const Shard& shard, const std::vector<double>& costs);

}  // namespace wheatpaste

// merge_batches.h - the records of shards, and their pictures where those lie in folders of their own, joined into one batch.
//
// Model   every manifest of every folder is read: manifest.json and those of shards, manifest-PART-of-PARTS.json. Where two
//         know one file, the later picture counts, and one that is done before one that failed. Pictures of other folders
//         are copied; each is held to the digest in its record first. At the end the first folder, or `out`, has one
//         manifest.json, in the order of the plan, and no shards' manifests any more. Other folders stay as they are.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"

namespace wheatpaste {

struct MergeResult {
  size_t pictures = 0, failed = 0, copied = 0;
  std::vector<std::string>
      missing;  // in plain words: parts that no folder has, pictures that are not as recorded
};

// folders  at least one.
// errors   no manifest in a folder; manifests of different run sheets; another run at work in `out`; cannot write.
Result<MergeResult> MergeBatches(const std::vector<std::string>& folders, const std::string& out);

}  // namespace wheatpaste

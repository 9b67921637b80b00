// row_maker.h - finished rows for an encoder, made as they are asked for, in the file's depth and profile.
//
// Model   in the photo's own profile the compositor's codes are handed on as they are, 16 bits to 8 where the file
//         holds no more. In another, every pixel is decoded to the working space and encoded again: relative
//         colorimetric, with black-point compensation for a press. What the photo's profile could not hold is lost before.
#pragma once

#include <memory>
#include <vector>

#include "colour/profile.h"
#include "composite/render_scene.h"
#include "composite/strips.h"
#include "output/vision_rows.h"

namespace wheatpaste {

class RowMaker {
 public:
  // rendered  outlives the maker.
  // depth     of the file: 8, or 16 where the picture has as much.
  // target    of the file, able to encode; none: the photo's own.
  // vision    how the rows are seen; none: as they are.
  RowMaker(const RenderedScene& rendered, int depth, const Profile* target,
           const VisionRows* vision);

  // Rows [y0, y1), tightly packed, valid until the next call; null where they cannot be made. Of a large picture asked
  // for in order, or strips are made again.
  const uint8_t* Rows(int64_t y0, int64_t y1);
  // Why rows could not be made: artwork of a large picture is drawn as it is needed.
  const Errors& errors() const { return errors_; }

 private:
  bool Composite();
  void Narrow();
  void Convert();

  const RenderedScene& rendered_;
  std::unique_ptr<StripMaker> strips_;  // of a large picture
  Errors errors_;
  int depth_;
  const VisionRows* vision_;
  int channels_ = 3;
  int64_t band_rows_ = 0, first_ = 0, last_ = 0;
  std::vector<uint8_t> band_;       // as composited
  std::vector<uint8_t> converted_;  // where there is a target
  std::unique_ptr<const WorkingFromCodes> decode_;
  std::unique_ptr<const CodesFromWorking> encode_;
};

}  // namespace wheatpaste

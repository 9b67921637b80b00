// One photograph of a wall warped by a published homography, against the second photograph of that wall.

#include <catch2/catch.hpp>

#include <cmath>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "geometry/coords.h"
#include "image/polygon_coverage.h"
#include "image/read_bitmap.h"
#include "output/write_picture.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr SizePx kPhoto{800, 640};

Bitmap Read(const std::string& path) {
  auto bitmap = ReadBitmap({path, {}, ""});
  if (!bitmap) throw std::runtime_error(FormatErrors(bitmap.errors()));
  return std::move(*bitmap);
}

double GrayAt(const Bitmap& picture, int64_t x, int64_t y) {
  const uint8_t* pixel = picture.row(y) + x * picture.channels();
  const int colours = ChannelCount(picture.model);
  return colours == 1 ? pixel[0] : 0.299 * pixel[0] + 0.587 * pixel[1] + 0.114 * pixel[2];
}

double Correlation(const Bitmap& a, const Bitmap& b, const Image<Coverage>& inside) {
  double n = 0, sa = 0, sb = 0, saa = 0, sbb = 0, sab = 0;
  for (int64_t y = 0; y < kPhoto.height; ++y) {
    for (int64_t x = 0; x < kPhoto.width; ++x) {
      if (inside.row(0, y)[x] < 1) continue;
      const double va = GrayAt(a, x, y), vb = GrayAt(b, x, y);
      n += 1;
      sa += va;
      sb += vb;
      saa += va * va;
      sbb += vb * vb;
      sab += va * vb;
    }
  }
  REQUIRE(n > 100000);
  return (sab - sa * sb / n) / std::sqrt((saa - sa * sa / n) * (sbb - sb * sb / n));
}

// Source  opencv/opencv samples/data: graf1.png, graf3.png, H1to3p.xml (Oxford VGG "graf"). The matrix
//         counts pixel centres as whole numbers; photo px count the outer corner, half a px more.
// Limit   correlation 0.868 of encoded gray inside the overlap, what a plain warp by the same matrix reaches.
TEST_CASE("Program: graf1 through the published matrix lies on graf3", "[ref][reference]") {
  Eigen::Matrix3d h;
  h << 0.76285898, -0.29922929, 225.67123,  //
      0.33443473, 1.0143901, -76.999973,    //
      3.4663091e-4, -1.4364524e-5, 1;
  const Map<PhotoPx, ArtworkPx> third_from_first(h);
  const std::string artwork = SourcePath("assets-open/homography/graf1.png");
  const TempFolder folder;
  std::vector<uint8_t> white(static_cast<size_t>(3 * kPhoto.area()), 255);
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = kPhoto;
  facts.profile = &srgb;
  REQUIRE(WritePicture(folder / "blank.png", PictureFormat::kPng, facts,
                       [&](int64_t, int64_t) { return white.data(); }));

  std::vector<Eigen::Vector2d> outline;
  std::string corners;
  for (const ArtworkPx& corner :
       {ArtworkPx{-0.5, -0.5}, {799.5, -0.5}, {799.5, 639.5}, {-0.5, 639.5}}) {
    const PhotoPx p = third_from_first(corner);
    outline.emplace_back(p.x + 0.5, p.y + 0.5);
    corners += fmt::format("[{:.6f}, {:.6f}],", p.x + 0.5, p.y + 0.5);
  }
  WriteText(folder / "graf.toml",
            "[photo]\nfile = \"blank.png\"\n[[surface]]\nname = \"wall\"\nshape = \"plane\"\n"
            "size = [800, 640]\ncorners = [" +
                corners +
                "]\n"
                "[[placement]]\nsurface = \"wall\"\nartwork = \"first\"\nfit = \"stretch\"\n");
  const RunResult run = Run(fmt::format(
      "WHEATPASTE_DATA='{0}' '{1}' render '{2}' --artwork 'first={3}' --out '{4}'", SourcePath(""),
      WHEATPASTE_PROGRAM, folder / "graf.toml", artwork, folder / "warped.png"));
  INFO(run.err);
  REQUIRE(run.status == 0);

  const Image<Coverage> inside = PolygonCoverage(outline, WholeOf(kPhoto));
  const Bitmap warped = Read(folder / "warped.png");
  const Bitmap third = Read(SourcePath("assets-open/homography/graf3.png"));
  const Bitmap first = Read(artwork);
  CHECK(Correlation(warped, third, inside) >= 0.868);
  CHECK(Correlation(first, third, inside) < 0.2);  // unwarped, the two have little in common
}

}  // namespace
}  // namespace wheatpaste

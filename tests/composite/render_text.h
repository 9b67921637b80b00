// render_text.h - a scene given as text, on a photo given as codes, ready to be composited.
#pragma once

#include <catch2/catch.hpp>

#include <optional>
#include <string>

#include "composite/render_scene.h"
#include "output/write_picture.h"
#include "scene/read_scene.h"
#include "support.h"

namespace wheatpaste::test {

// codes  height x width x 3, sRGB, tightly packed, 8 or 16 bits in native order.
inline void WriteSrgbPng(const std::string& path, SizePx size, int depth, const void* codes) {
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = size;
  facts.depth = depth;
  facts.profile = &srgb;
  const int64_t row = size.width * 3 * (depth / 8);
  const auto written = WritePicture(path, PictureFormat::kPng, facts, [&](int64_t y0, int64_t) {
    return static_cast<const uint8_t*>(codes) + y0 * row;
  });
  REQUIRE(written.ok());
}

// The scene's files lie in `folder`.
inline RenderedScene RenderText(const TempFolder& folder, const std::string& text,
                                std::optional<SizePx> size) {
  auto scene = ParseScene(text, folder / "scene.toml", {WHEATPASTE_SOURCE_DIR, {}});
  if (!scene) FAIL(FormatErrors(scene.errors()));
  const auto artworks = ReadArtworks(*scene, {}, false);
  if (!artworks) FAIL(FormatErrors(artworks.errors()));
  auto rendered = RenderScene(std::move(*scene), *artworks, PictureWish{size, {}, false});
  if (!rendered) FAIL(FormatErrors(rendered.errors()));
  return std::move(*rendered);
}

inline Bytes WholePicture(const RenderedScene& rendered) {
  const BasePicture& base = rendered.scene->base;
  Bytes codes(static_cast<size_t>(base.row_bytes() * base.size.height));
  rendered.compositor->CompositeBand(0, base.size.height, codes.data());
  return codes;
}

}  // namespace wheatpaste::test

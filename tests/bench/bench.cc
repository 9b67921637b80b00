// bench.cc - how fast, as ratios within one run on one machine. Nothing here passes or fails.
//
// What    the budgets of the program's design: the 3840 x 2160 composite against OpenCV's bilinear warp and
//         against a scripted ImageMagick chain, two threads against one, a cold render of a 12-megapixel
//         photograph, a hundred artworks on one scene, and the start of the program.
// Use     ./build.sh bench; the table of ratios follows Google Benchmark's own.

#include <benchmark/benchmark.h>

#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <random>
#include <string>

#include <sys/resource.h>

#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "batch/row_maker.h"
#include "composite/render_scene.h"
#include "output/write_picture.h"
#include "ref/ray_traced_shapes.h"
#include "scene/read_scene.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::TempFolder;

// A photograph-like picture: slopes, a shadow, noise.
void WritePhoto(const std::string& path, PictureFormat format, SizePx size) {
  std::mt19937 random(3);
  const Profile srgb = Profile::Srgb();
  PictureFacts facts;
  facts.size = size;
  facts.profile = &srgb;
  Bytes row(static_cast<size_t>(size.width * 3));
  const auto written = WritePicture(path, format, facts, [&](int64_t y0, int64_t y1) {
    row.resize(static_cast<size_t>(size.width * 3 * (y1 - y0)));
    for (int64_t i = 0; i < size.width * (y1 - y0); ++i) {
      const int64_t x = i % size.width, y = y0 + i / size.width;
      const int64_t shade = 120 + 100 * x / size.width - 40 * y / size.height;
      const int64_t value = (x + y > size.width ? shade * 3 / 4 : shade) + random() % 5;
      for (int64_t c = 0; c < 3; ++c)
        row[static_cast<size_t>(3 * i + c)] = static_cast<uint8_t>(value);
    }
    return row.data();
  });
  if (!written) std::fputs(FormatErrors(written.errors()).c_str(), stderr), std::exit(2);
}

// Corners that enclose about half of a 16 : 9 frame.
std::string SceneText(const std::string& photo, SizePx size, const std::string& ink) {
  const auto x = [&](double share) { return std::to_string(share * double(size.width)); };
  const auto y = [&](double share) { return std::to_string(share * double(size.height)); };
  return "title = \"bench\"\n[photo]\nfile = \"" + photo + "\"\n[[surface]]\nname = \"wall\"\n" +
         "shape = \"plane\"\nsize = [1200, 800]\ncorners = [[" + x(0.14) + ", " + y(0.10) + "], [" +
         x(0.90) + ", " + y(0.18) + "], [" + x(0.88) + ", " + y(0.80) + "], [" + x(0.17) + ", " +
         y(0.90) + "]]\nsubstrate = \"plaster wall\"\n[[placement]]\nsurface = \"wall\"\n" +
         "artwork = \"mark\"\nfit = \"stretch\"\nink = \"" + ink + "\"\n";
}

SlotFiles PosterInSlot() {
  Placed<std::string> file;
  file.value = test::SourcePath("assets-open/quillwort/poster.svg");
  file.place.file = "bench";
  return {{"mark", file}};
}

RenderedScene Prepare(const TempFolder& folder, SizePx size, const std::string& ink) {
  const std::string photo = "photo.png";
  WritePhoto(folder / photo, PictureFormat::kPng, size);
  auto scene =
      ParseScene(SceneText(photo, size, ink), folder / "scene.toml", {WHEATPASTE_SOURCE_DIR, {}});
  if (!scene) std::fputs(FormatErrors(scene.errors()).c_str(), stderr), std::exit(2);
  const auto artworks = ReadArtworks(*scene, PosterInSlot(), false);
  if (!artworks) std::fputs(FormatErrors(artworks.errors()).c_str(), stderr), std::exit(2);
  auto rendered = RenderScene(std::move(*scene), *artworks, {});
  if (!rendered) std::fputs(FormatErrors(rendered.errors()).c_str(), stderr), std::exit(2);
  return std::move(*rendered);
}

constexpr SizePx k4k{3840, 2160};

void Warp4k(benchmark::State& state) {
  cv::setNumThreads(static_cast<int>(state.range(0)));
  const cv::Mat source(k4k.height, k4k.width, CV_8UC4, cv::Scalar(90, 120, 200, 255));
  const cv::Mat map = (cv::Mat_<double>(3, 3) << 0.9, 0.05, 120, -0.03, 0.92, 90, 1e-5, 2e-5, 1);
  cv::Mat out(source.size(), source.type());
  for (auto _ : state) {
    cv::warpPerspective(source, out, map, out.size(), cv::INTER_LINEAR);
    benchmark::DoNotOptimize(out.data);
  }
}
BENCHMARK(Warp4k)->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMillisecond);

void Composite4k(benchmark::State& state, const std::string& ink) {
  const TempFolder folder;
  const RenderedScene rendered = Prepare(folder, k4k, ink);
  const ThreadLimit limit(static_cast<int>(state.range(0)));
  const BasePicture& base = rendered.scene->base;
  Bytes codes(static_cast<size_t>(base.row_bytes() * base.size.height));
  for (auto _ : state) {
    rendered.compositor->CompositeRows(0, base.size.height, codes.data());
    benchmark::DoNotOptimize(codes.data());
  }
}
BENCHMARK_CAPTURE(Composite4k, transparent, std::string("transparent"))
    ->Arg(1)
    ->Arg(2)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Composite4k, opaque, std::string("opaque"))
    ->Arg(1)
    ->Arg(2)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);

BENCHMARK_CAPTURE(Composite4k, process_inks, std::string("process inks"))
    ->Arg(2)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Composite4k, screen_ink, std::string("screen ink"))
    ->Arg(2)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);

// The other shapes at 4K, covering between a third and a half of the frame; the counter says how much.
test::ShapeStage ShapeOf(const std::string& name) {
  const auto pose = test::PoseBody(35, 14, 2, {0, -85, 760});
  if (name == "cylinder") return test::RoundStage(300, 300, 170, 20, pose, 5200, k4k);
  if (name == "cone") return test::RoundStage(300, 240, 170, 20, pose, 5200, k4k);
  if (name == "box") {
    return test::BoxStage(240, 170, 180, test::PoseBody(35, 20, 2, {-150, -90, 760}), 5200, k4k);
  }
  // 224 x 224 cells: 100 352 triangles.
  return test::WavyStage(280, 200, test::PoseBody(20, 10, 2, {0, 0, 700}), 5200, k4k, 224);
}

RenderedScene PrepareShape(const TempFolder& folder, const test::ShapeStage& stage) {
  WritePhoto(folder / "photo.png", PictureFormat::kPng, k4k);
  if (stage.write_files) stage.write_files(folder.path());
  std::string text = "title = \"bench\"\n[photo]\nfile = \"photo.png\"\nfocal_px = 5200\n" +
                     ("[[surface]]\nname = \"body\"\n" + stage.surface);
  for (const test::PrintedPart& part : stage.printed) {
    text += "[[placement]]\n" + part.placement + "artwork = \"mark\"\n";
  }
  auto scene = ParseScene(text, folder / "scene.toml", {WHEATPASTE_SOURCE_DIR, {}});
  if (!scene) std::fputs(FormatErrors(scene.errors()).c_str(), stderr), std::exit(2);
  const auto artworks = ReadArtworks(*scene, PosterInSlot(), false);
  auto rendered = RenderScene(std::move(*scene), *artworks, {});
  if (!rendered) std::fputs(FormatErrors(rendered.errors()).c_str(), stderr), std::exit(2);
  return std::move(*rendered);
}

double CoveredMegapixels(const RenderedScene& rendered) {
  double sum = 0;
  for (const PreparedSurface& surface : rendered.scene->surfaces) {
    for (const PreparedChart& chart : surface.charts) {
      const Image<Coverage>& seen = chart.picture.seen;
      for (int64_t y = 0; y < seen.height(); ++y) {
        for (int64_t x = 0; x < seen.width(); ++x) sum += double{seen.row(0, y)[x]};
      }
    }
  }
  return sum / 1e6;
}

void CompositeRendered(benchmark::State& state, const RenderedScene& rendered) {
  const BasePicture& base = rendered.scene->base;
  Bytes codes(static_cast<size_t>(base.row_bytes() * base.size.height));
  for (auto _ : state) {
    rendered.compositor->CompositeRows(0, base.size.height, codes.data());
    benchmark::DoNotOptimize(codes.data());
  }
  state.counters["covered_Mpx"] = CoveredMegapixels(rendered);
}

void Shape4k(benchmark::State& state, const std::string& name) {
  const TempFolder folder;
  CompositeRendered(state, PrepareShape(folder, ShapeOf(name)));
}
void Plane4k(benchmark::State& state) {
  const TempFolder folder;
  CompositeRendered(state, Prepare(folder, k4k, "transparent"));
}
BENCHMARK(Plane4k)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Shape4k, cylinder, std::string("cylinder"))
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Shape4k, cone, std::string("cone"))->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Shape4k, box, std::string("box"))->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Shape4k, mesh, std::string("mesh"))->UseRealTime()->Unit(benchmark::kMillisecond);

// The surface map itself, once per scene and size.
void Map4k(benchmark::State& state, const std::string& name) {
  const TempFolder folder;
  const RenderedScene rendered = PrepareShape(folder, ShapeOf(name));
  for (auto _ : state) {
    for (const Face& face : rendered.scene->solved.surfaces[0].faces) {
      for (const auto& chart : face.charts) {
        benchmark::DoNotOptimize(chart->Picture(rendered.scene->frame).region);
      }
    }
  }
}
BENCHMARK_CAPTURE(Map4k, cylinder, std::string("cylinder"))
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(Map4k, mesh, std::string("mesh"))->UseRealTime()->Unit(benchmark::kMillisecond);

// One more artwork on a scene that is already analysed, to an encoded JPEG at 1920 x 1080.
void AnotherArtwork(benchmark::State& state) {
  const TempFolder folder;
  const RenderedScene rendered = Prepare(folder, {1920, 1080}, "transparent");
  const ThreadLimit limit(static_cast<int>(state.range(0)));
  const BasePicture& base = rendered.scene->base;
  PictureFacts facts;
  facts.size = base.size;
  facts.profile = &base.profile;
  Bytes codes(static_cast<size_t>(base.row_bytes() * base.size.height));
  for (auto _ : state) {
    const auto artworks = ReadArtworks(rendered.scene->solved.scene, PosterInSlot(), false);
    const auto drawn = PrepareArtworks(*rendered.scene, *artworks);
    const Compositor compositor(*rendered.scene, *drawn);
    compositor.CompositeRows(0, base.size.height, codes.data());
    const auto written =
        WritePicture(folder / "out.jpg", PictureFormat::kJpeg, facts,
                     [&](int64_t y0, int64_t) { return codes.data() + y0 * base.row_bytes(); });
    if (!written) state.SkipWithError("cannot write");
  }
}
BENCHMARK(AnotherArtwork)->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMillisecond);

// Many artworks on one scene of the examples, analysed once at 1920 x 1080, each to a JPEG: its SVG is read from
// memory, a colour of it another every time.
class ManyArtworksJob {
 public:
  explicit ManyArtworksJob(const std::string& scene_name) {
    auto scene =
        ReadScene(test::SourcePath("scenes/" + scene_name + ".toml"), {WHEATPASTE_SOURCE_DIR, {}});
    if (!scene) std::fputs(FormatErrors(scene.errors()).c_str(), stderr), std::exit(2);
    auto solved = SolveScene(std::move(*scene));
    if (!solved) std::fputs(FormatErrors(solved.errors()).c_str(), stderr), std::exit(2);
    auto prepared = PrepareScene(std::move(*solved), {SizePx{1920, 1080}}, WantedFaces::kPlaced);
    if (!prepared) std::fputs(FormatErrors(prepared.errors()).c_str(), stderr), std::exit(2);
    scene_ = std::make_shared<const PreparedScene>(*std::move(prepared));
    for (const Placement& placement : scene_->solved.scene.placements) {
      const std::string& name = placement.artwork.value;
      drawings_[name] = test::ReadText(test::SourcePath("scenes/" + name));
    }
  }

  // The picture of artwork number `number`; false where it fails.
  bool Make(int64_t number) const {
    ArtworkByName artworks;
    for (const auto& [name, drawing] : drawings_) {
      const Placed<std::string> path{name, {"bench", 0, 0}, ""};
      std::string text = drawing;
      const size_t at = text.find("\"#") + 2;
      const std::string colour = text.substr(at, 6);
      char other[7];
      std::snprintf(other, sizeof(other), "%04x%02x", 0x1234, static_cast<unsigned>(number % 256));
      for (size_t k = at; k != std::string::npos; k = text.find(colour, k)) {
        text.replace(k, colour.size(), other);
      }
      auto art = DecodeArtwork(Bytes(text.begin(), text.end()), path);
      if (!art) return false;
      artworks[name] = std::move(*art);
    }
    const auto rendered = RenderScene(scene_, artworks);
    if (!rendered) return false;
    const BasePicture& base = scene_->base;
    PictureFacts facts;
    facts.size = base.size;
    facts.profile = &base.profile;
    RowMaker maker(*rendered, 8, nullptr, nullptr);
    return WritePicture(folder_ / (std::to_string(number) + ".jpg"), PictureFormat::kJpeg, facts,
                        [&](int64_t y0, int64_t y1) { return maker.Rows(y0, y1); })
        .ok();
  }

 private:
  TempFolder folder_;
  std::shared_ptr<const PreparedScene> scene_;
  std::map<std::string, std::string> drawings_;
};

// Seconds of processor that this program and its ended children have had.
double ProcessorSeconds() {
  double seconds = 0;
  for (const int who : {RUSAGE_SELF, RUSAGE_CHILDREN}) {
    rusage use{};
    getrusage(who, &use);
    seconds += static_cast<double>(use.ru_utime.tv_sec + use.ru_stime.tv_sec) +
               1e-6 * static_cast<double>(use.ru_utime.tv_usec + use.ru_stime.tv_usec);
  }
  return seconds;
}

// range(0) threads, range(1) jobs at once.
void ManyArtworks(benchmark::State& state, const std::string& scene_name) {
  const ManyArtworksJob job(scene_name);
  const ThreadLimit limit(static_cast<int>(state.range(0)));
  const int64_t at_once = state.range(1);
  int64_t made = 0;
  const double before = ProcessorSeconds();
  for (auto _ : state) {
    std::atomic<bool> well = true;
    ParallelFor(at_once, [&](int64_t i) { well = job.Make(made + i) && well; });
    if (!well) state.SkipWithError("cannot be made");
    made += at_once;
  }
  state.SetItemsProcessed(made);
  state.counters["cpu_ms_each"] =
      1000 * (ProcessorSeconds() - before) / static_cast<double>(std::max<int64_t>(1, made));
}
void OneAndTwo(benchmark::internal::Benchmark* bench) {
  bench->Args({1, 1})->Args({2, 1})->Args({2, 2})->UseRealTime()->Unit(benchmark::kMillisecond);
}
BENCHMARK_CAPTURE(ManyArtworks, seed_carton, std::string("seed_carton"))->Apply(OneAndTwo);
BENCHMARK_CAPTURE(ManyArtworks, stair_poster, std::string("stair_poster"))->Apply(OneAndTwo);
BENCHMARK_CAPTURE(ManyArtworks, tote_bag, std::string("tote_bag"))->Apply(OneAndTwo);

// All that is read of the light in a 12 megapixel photo for a picture of 1920 x 1080, geometry solved and photo decoded:
// keys of the surface, or none, say what. Half of the frame is surface, under ink that covers.
void AnalyseLight12Mp(benchmark::State& state, const std::string& keys) {
  const TempFolder folder;
  constexpr SizePx kPhoto{4000, 2250};
  WritePhoto(folder / "photo.png", PictureFormat::kPng, {4000, 3000});
  std::string text = SceneText("photo.png", kPhoto, "opaque");
  const std::string substrate = "substrate = \"plaster wall\"\n";
  text.replace(text.find(substrate), substrate.size(), keys + "\n");
  for (auto _ : state) {
    state.PauseTiming();
    auto scene = ParseScene(text, folder / "scene.toml", {WHEATPASTE_SOURCE_DIR, {}});
    if (!scene) std::fputs(FormatErrors(scene.errors()).c_str(), stderr), std::exit(2);
    auto solved = SolveScene(std::move(*scene));
    if (!solved) std::fputs(FormatErrors(solved.errors()).c_str(), stderr), std::exit(2);
    state.ResumeTiming();
    const auto prepared =
        PrepareScene(std::move(*solved), {SizePx{1920, 1080}}, WantedFaces::kPlaced);
    if (!prepared) state.SkipWithError("cannot be analysed");
  }
}
BENCHMARK_CAPTURE(AnalyseLight12Mp, matt, std::string("substrate = \"plaster wall\""))
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(AnalyseLight12Mp, gloss_and_relief,
                  std::string("substrate = \"coated paper\"\nrelief = \"photo\""))
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(AnalyseLight12Mp, old_print,
                  std::string("substrate = \"photo\"\nold_print = \"remove\""))
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);

void ColdRender12Mp(benchmark::State& state) {
  const TempFolder folder;
  WritePhoto(folder / "photo.jpg", PictureFormat::kJpeg, {4000, 3000});
  test::WriteText(folder / "scene.toml", SceneText("photo.jpg", {4000, 3000}, "transparent"));
  const std::string command = "render '" + folder / "scene.toml" + "' --artwork mark='" +
                              PosterInSlot().at("mark").value + "' --size 1920x1080 --out '" +
                              folder / "out.jpg" + "'";
  for (auto _ : state) {
    if (test::RunWheatpaste(command).status != 0) state.SkipWithError("render failed");
  }
}
BENCHMARK(ColdRender12Mp)->UseRealTime()->Unit(benchmark::kMillisecond);

void Start(benchmark::State& state) {
  for (auto _ : state) {
    if (std::system("'" WHEATPASTE_PROGRAM "' --version > /dev/null") != 0) {
      state.SkipWithError("does not start");
    }
  }
}
BENCHMARK(Start)->UseRealTime()->Unit(benchmark::kMillisecond);

// The chain that a script would use: enlarge the frame, distort, multiply, write.
void ImageMagickChain4k(benchmark::State& state) {
  const TempFolder folder;
  WritePhoto(folder / "photo.png", PictureFormat::kPng, k4k);
  const std::string art = folder / "art.png";
  if (test::Run("rsvg-convert -w 2600 -h 1600 '" + PosterInSlot().at("mark").value + "' -o '" +
                art + "'")
          .status != 0) {
    state.SkipWithError("rsvg-convert failed");
    return;
  }
  const std::string command =
      "convert '" + folder / "photo.png" + "' \\( '" + art +
      "' -alpha set -virtual-pixel transparent -background none -extent 3840x2160 -distort "
      "Perspective '0,0 537,216 2600,0 3456,388 2600,1600 3379,1728 0,1600 652,1944' \\) -compose "
      "multiply -composite '" +
      folder / "out.png" + "'";
  for (auto _ : state) {
    if (test::Run(command).status != 0) state.SkipWithError("convert failed");
  }
}
BENCHMARK(ImageMagickChain4k)->UseRealTime()->Iterations(1)->Unit(benchmark::kMillisecond);

// Google Benchmark's own table, and every time kept for the ratios.
class Keeper : public benchmark::ConsoleReporter {
 public:
  void ReportRuns(const std::vector<Run>& runs) override {
    for (const Run& run : runs) {
      if (run.error_occurred) continue;
      times_[run.benchmark_name()] = run.GetAdjustedRealTime();
      const auto covered = run.counters.find("covered_Mpx");
      if (covered == run.counters.end()) continue;
      times_[run.benchmark_name() + " per Mpx"] = run.GetAdjustedRealTime() / covered->second;
    }
    ConsoleReporter::ReportRuns(runs);
  }

  void PrintRatios() const {
    std::puts(
        "\nratios of this run                                              measured    budget");
    Ratio("4K composite / OpenCV warp, transparent, 2 threads",
          "Composite4k/transparent/2/real_time", "Warp4k/2/real_time", "<= 4");
    Ratio("4K composite / OpenCV warp, opaque, 2 threads", "Composite4k/opaque/2/real_time",
          "Warp4k/2/real_time", "<= 4");
    Ratio("4K composite, clear film / plain transparent ink",
          "Composite4k/process_inks/2/real_time", "Composite4k/transparent/2/real_time", "1");
    Ratio("4K composite, covering film / plain opaque ink", "Composite4k/screen_ink/2/real_time",
          "Composite4k/opaque/2/real_time", "1");
    Ratio("ImageMagick chain / 4K composite, 2 threads",
          "ImageMagickChain4k/iterations:1/real_time", "Composite4k/transparent/2/real_time",
          ">= 40");
    Ratio("4K composite, 1 thread / 2 threads", "Composite4k/transparent/1/real_time",
          "Composite4k/transparent/2/real_time", ">= 1.8");
    const std::string plane = "Plane4k/real_time per Mpx";
    for (const char* shape : {"cylinder", "cone", "box", "mesh"}) {
      Ratio((shape + std::string(" / plane, for the same covered area")).c_str(),
            "Shape4k/" + std::string(shape) + "/real_time per Mpx", plane,
            shape == std::string("mesh") ? "<= 3" : "<= 1.5");
    }
    Value("cold render, 12 megapixels to 1920x1080 JPEG, s", "ColdRender12Mp/real_time", 1e-3,
          "<= 1.5");
    Value("start and --version, ms", "Start/real_time", 1, "<= 60");
    Inverse("artworks a second on one scene, 1920x1080 JPEG, 2 threads",
            "AnotherArtwork/2/real_time", ">= 8");
    for (const std::string scene : {"seed_carton", "stair_poster", "tote_bag"}) {
      const std::string name = "ManyArtworks/" + scene;
      const double one = Time(name + "/1/1/real_time"), two = Time(name + "/2/2/real_time");
      if (one <= 0 || two <= 0) continue;
      Line((scene + ": artworks a second, two jobs at once").c_str(), 2000 / two, ">= 8");
      Line((scene + ": two jobs at once against one").c_str(), 2 * one / two, ">= 1.8");
    }
  }

 private:
  double Time(const std::string& name) const {
    const auto found = times_.find(name);
    return found == times_.end() ? 0 : found->second;
  }
  static void Line(const char* what, double value, const char* budget) {
    if (value > 0) std::printf("%-64s %8.2f    %s\n", what, value, budget);
  }
  void Ratio(const char* what, const std::string& a, const std::string& b,
             const char* budget) const {
    if (Time(b) > 0) Line(what, Time(a) / Time(b), budget);
  }
  void Value(const char* what, const char* a, double scale, const char* budget) const {
    Line(what, Time(a) * scale, budget);
  }
  void Inverse(const char* what, const char* a, const char* budget) const {
    if (Time(a) > 0) Line(what, 1000 / Time(a), budget);
  }
  std::map<std::string, double> times_;
};

}  // namespace
}  // namespace wheatpaste

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  wheatpaste::Keeper keeper;
  benchmark::RunSpecifiedBenchmarks(&keeper);
  keeper.PrintRatios();
  return 0;
}

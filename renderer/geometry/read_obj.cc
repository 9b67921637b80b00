#include "geometry/read_obj.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <exception>
#include <istream>
#include <optional>
#include <streambuf>
#include <utility>

#include <Eigen/Geometry>
#include <fmt/format.h>
#include <tiny_obj_loader.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

// Longer tokens are no number and no index.
constexpr size_t kMaxTokenBytes = 64;
// uv may stray from the square by rounding.
constexpr double kUvSlack = 1e-3;
// Below this share of the squared extent a triangle has no area.
constexpr double kLeastArea = 1e-14;

struct Counts {
  int64_t vertices = 0, uvs = 0, triangles = 0;
};

// What the file says, line by line, before triangles are made.
struct Draft {
  Mesh mesh;
  std::string checked;              // the faces, written anew for the library
  std::vector<int64_t> face_lines;  // of each face, from 1
  std::vector<int64_t> uv_lines;
};

// The next token of `line`, taken off it; empty at its end.
std::string_view TakeToken(std::string_view& line) {
  constexpr std::string_view kBlank = " \t\r\v\f";
  const size_t from = line.find_first_not_of(kBlank);
  if (from == std::string_view::npos) return line = {};
  const size_t to = std::min(line.find_first_of(kBlank, from), line.size());
  const std::string_view token = line.substr(from, to - from);
  line.remove_prefix(to);
  return token;
}

template <typename Work>  // work(line, number) returns false to stop
void ForEachLine(std::string_view text, Work work) {
  for (int64_t number = 1; !text.empty(); ++number) {
    const size_t end = std::min(text.find('\n'), text.size());
    if (!work(text.substr(0, end), number)) return;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
}

std::optional<double> NumberOf(std::string_view token) {
  if (token.size() > kMaxTokenBytes) return std::nullopt;
  if (token.starts_with('+')) token.remove_prefix(1);
  double value = 0;
  const auto [end, fault] = std::from_chars(token.data(), token.data() + token.size(), value);
  if (fault == std::errc::result_out_of_range) value = 0;  // judged below by its size
  if ((fault != std::errc() && fault != std::errc::result_out_of_range) ||
      end != token.data() + token.size() || token.empty()) {
    return std::nullopt;
  }
  if (fault == std::errc::result_out_of_range && token.find("e-") == std::string_view::npos &&
      token.find("E-") == std::string_view::npos) {
    return std::nullopt;
  }
  return value;
}

class ObjReader {
 public:
  ObjReader(std::string_view text, const Placed<std::string>& path) : text_(text), path_(path) {}

  Result<Mesh> Read(double mm_per_unit);

 private:
  Error At(int64_t line, const std::string& message) const {
    return Whole(fmt::format("its line {}: {}", line, message));
  }
  Error Whole(const std::string& message) const {
    return {path_.place, fmt::format("{} = \"{}\"", path_.key, PrintableText(path_.value)),
            message};
  }
  std::optional<Error> Count();
  std::optional<Error> Scan(double mm_per_unit);
  std::optional<Error> AddFace(std::string_view line, int64_t number);
  std::optional<Error> MakeTriangles();
  std::optional<Error> DropFlat();

  std::string_view text_;
  const Placed<std::string>& path_;
  Counts counts_;
  Draft draft_;
  std::vector<int64_t> triangle_lines_;
};

std::optional<Error> ObjReader::Count() {
  std::optional<Error> error;
  ForEachLine(text_, [&](std::string_view line, int64_t number) {
    const std::string_view word = TakeToken(line);
    if (word == "v") ++counts_.vertices;
    if (word == "vt") ++counts_.uvs;
    if (word == "f") {
      int64_t corners = 0;
      while (!TakeToken(line).empty()) ++corners;
      if (corners < 3 || corners > kMaxFaceCorners) {
        error = At(number,
                   fmt::format("a face of {} corners; expected 3 to {}", corners, kMaxFaceCorners));
        return false;
      }
      counts_.triangles += corners - 2;
    }
    return true;
  });
  if (error) return error;
  if (counts_.triangles == 0)
    return Whole("has no faces; expected a mesh of triangles or polygons");
  if (counts_.triangles > kMaxObjTriangles) {
    return Whole(
        fmt::format("has {} triangles, expected at most {}", counts_.triangles, kMaxObjTriangles));
  }
  if (counts_.uvs == 0) {
    return Whole("has no uv (vt lines); expected a mesh with its flat pattern, exported with uv");
  }
  if (std::max(counts_.vertices, counts_.uvs) > kMaxObjVertices) {
    return Whole(fmt::format("has {} vertices and {} uv, expected at most {} of each",
                             counts_.vertices, counts_.uvs, kMaxObjVertices));
  }
  return std::nullopt;
}

// An index as the file has it, made to count from 0; nothing where it leads nowhere.
std::optional<int32_t> IndexOf(std::string_view token, size_t count) {
  int64_t value = 0;
  const auto [end, fault] = std::from_chars(token.data(), token.data() + token.size(), value);
  if (fault != std::errc() || end != token.data() + token.size() || value == 0) return std::nullopt;
  const auto many = static_cast<int64_t>(count);
  if (value < -many || value > many) return std::nullopt;
  return static_cast<int32_t>(value > 0 ? value - 1 : many + value);
}

std::optional<Error> ObjReader::AddFace(std::string_view line, int64_t number) {
  Mesh& mesh = draft_.mesh;
  // Smoothing groups come out of the library as they went in, one for each triangle: here they carry the
  // number of the face.
  draft_.face_lines.push_back(number);
  draft_.checked += fmt::format("s {}\nf", draft_.face_lines.size());
  for (std::string_view token = TakeToken(line); !token.empty(); token = TakeToken(line)) {
    const size_t slash = std::min(token.find('/'), token.size());
    const std::string_view rest = token.substr(std::min(slash + 1, token.size()));
    const std::string_view uv = rest.substr(0, std::min(rest.find('/'), rest.size()));
    if (uv.empty()) {
      return At(number, fmt::format("the corner \"{}\" has no uv; expected vertex/uv",
                                    PrintableText(token, kMaxTokenBytes)));
    }
    const auto vertex = IndexOf(token.substr(0, slash), mesh.vertices.size());
    if (!vertex) {
      return At(number, fmt::format("the corner \"{}\" names no vertex; expected 1 to {}, those "
                                    "listed before it",
                                    PrintableText(token, kMaxTokenBytes), mesh.vertices.size()));
    }
    const auto flat = IndexOf(uv, mesh.uvs.size());
    if (!flat) {
      return At(number, fmt::format("the corner \"{}\" names no uv; expected 1 to {}, those listed "
                                    "before it",
                                    PrintableText(token, kMaxTokenBytes), mesh.uvs.size()));
    }
    const Eigen::Vector2d& at = mesh.uvs[static_cast<size_t>(*flat)];
    if (!(at.minCoeff() >= -kUvSlack && at.maxCoeff() <= 1 + kUvSlack)) {
      return At(draft_.uv_lines[static_cast<size_t>(*flat)],
                fmt::format("uv = {:g} {:g}: expected a flat pattern within the square 0 to 1, not "
                            "a repeated tile",
                            at.x(), at.y()));
    }
    draft_.checked += fmt::format(" {}/{}", *vertex + 1, *flat + 1);
  }
  draft_.checked += '\n';
  return std::nullopt;
}

std::optional<Error> ObjReader::Scan(double mm_per_unit) {
  Mesh& mesh = draft_.mesh;
  mesh.vertices.reserve(static_cast<size_t>(counts_.vertices));
  mesh.uvs.reserve(static_cast<size_t>(counts_.uvs));
  std::optional<Error> error;
  ForEachLine(text_, [&](std::string_view line, int64_t number) {
    const std::string_view word = TakeToken(line);
    if (word == "f") {
      error = AddFace(line, number);
      return !error;
    }
    if (word != "v" && word != "vt") return true;
    const int count = word == "v" ? 3 : 2;
    std::array<double, 3> values{};
    for (int i = 0; i < count; ++i) {
      const std::string_view token = TakeToken(line);
      const auto value = NumberOf(token);
      if (!value || !(std::abs(*value) <= kMaxObjCoordinate)) {
        error =
            At(number, fmt::format("{} = {}: expected {} numbers, none beyond {:g}", word,
                                   token.empty() ? "nothing" : PrintableText(token, kMaxTokenBytes),
                                   count, kMaxObjCoordinate));
        return false;
      }
      values[static_cast<size_t>(i)] = *value;
    }
    if (word == "v") {
      mesh.vertices.emplace_back(Eigen::Vector3d(values[0], -values[1], -values[2]) * mm_per_unit);
    } else {
      mesh.uvs.emplace_back(values[0], values[1]);
      draft_.uv_lines.push_back(number);
    }
    return true;
  });
  return error;
}

// Text in memory as a stream, without a copy.
class TextBuffer : public std::streambuf {
 public:
  explicit TextBuffer(std::string& text) {
    setg(text.data(), text.data(), text.data() + text.size());
  }
};

std::optional<Error> ObjReader::MakeTriangles() {
  Mesh& mesh = draft_.mesh;
  std::string text;
  for (const Eigen::Vector3d& v : mesh.vertices) {
    text += fmt::format("v {:.9g} {:.9g} {:.9g}\n", v.x(), v.y(), v.z());
  }
  for (const Eigen::Vector2d& uv : mesh.uvs)
    text += fmt::format("vt {:.9g} {:.9g}\n", uv.x(), uv.y());
  text += draft_.checked;
  draft_.checked = {};
  TextBuffer buffer(text);
  std::istream stream(&buffer);
  tinyobj::attrib_t numbers;
  std::vector<tinyobj::shape_t> shapes;
  std::vector<tinyobj::material_t> materials;
  std::string warning, fault;
  bool read = false;
  try {
    read =
        tinyobj::LoadObj(&numbers, &shapes, &materials, &warning, &fault, &stream, nullptr, true);
  } catch (const std::exception& exception) {
    fault = exception.what();
  }
  if (!read) return Whole(fmt::format("cannot be read: {}", PrintableText(fault)));
  for (const tinyobj::shape_t& shape : shapes) {
    const auto& part = shape.mesh;
    for (size_t i = 0; i + 2 < part.indices.size(); i += 3) {
      std::array<int32_t, 3> vertices, uvs;
      for (size_t k = 0; k < 3; ++k) {
        vertices[k] = part.indices[i + k].vertex_index;
        uvs[k] = part.indices[i + k].texcoord_index;
      }
      mesh.triangles.push_back(vertices);
      mesh.uv_triangles.push_back(uvs);
      triangle_lines_.push_back(draft_.face_lines[part.smoothing_group_ids[i / 3] - 1]);
    }
  }
  return std::nullopt;
}

std::optional<Error> ObjReader::DropFlat() {
  Mesh& mesh = draft_.mesh;
  Eigen::AlignedBox3d extent;
  for (const auto& triangle : mesh.triangles) {
    for (const int32_t i : triangle) extent.extend(mesh.vertices[static_cast<size_t>(i)]);
  }
  const double least = mesh.triangles.empty() ? 0 : kLeastArea * extent.diagonal().squaredNorm();
  size_t kept = 0;
  int64_t first_line = 0;
  const size_t count = mesh.triangles.size();
  for (size_t i = 0; i < count; ++i) {
    const auto vertex = [&](int k) {
      return mesh.vertices[static_cast<size_t>(mesh.triangles[i][k])];
    };
    const auto uv = [&](int k) { return mesh.uvs[static_cast<size_t>(mesh.uv_triangles[i][k])]; };
    const double area = (vertex(1) - vertex(0)).cross(vertex(2) - vertex(0)).norm() / 2;
    const Eigen::Vector2d a = uv(1) - uv(0), b = uv(2) - uv(0);
    const double flat = std::abs(a.x() * b.y() - a.y() * b.x()) / 2;
    if (!(area > least) || !(flat > kLeastArea)) {
      if (first_line == 0) first_line = triangle_lines_[i];
      continue;
    }
    mesh.triangles[kept] = mesh.triangles[i];
    mesh.uv_triangles[kept++] = mesh.uv_triangles[i];
  }
  mesh.triangles.resize(kept);
  mesh.uv_triangles.resize(kept);
  const size_t dropped = count - kept;
  if (static_cast<double>(dropped) > kMostFlatShare * static_cast<double>(count) || kept == 0) {
    return Whole(
        fmt::format("{} of its {} triangles have no area, in space or in uv, the first from "
                    "its line {}; expected at most 1 in 100",
                    dropped, count, first_line));
  }
  if (dropped > 0) {
    mesh.warnings.push_back(fmt::format(
        "{} of the mesh's {} triangles have no area, the first from its line {}; they are "
        "left out",
        dropped, count, first_line));
  }
  return std::nullopt;
}

Result<Mesh> ObjReader::Read(double mm_per_unit) {
  if (auto error = Count()) return *error;
  if (auto error = Scan(mm_per_unit)) return *error;
  if (auto error = MakeTriangles()) return *error;
  if (auto error = DropFlat()) return *error;
  FindIslands(draft_.mesh);
  return std::move(draft_.mesh);
}

}  // namespace

Result<Mesh> ParseObj(std::string_view text, const Placed<std::string>& path, double mm_per_unit) {
  return ObjReader(text, path).Read(mm_per_unit);
}

Result<Mesh> ReadObj(const Placed<std::string>& path, double mm_per_unit) {
  const auto bytes = ReadWholeFile(path, kMaxObjBytes);
  if (!bytes) return bytes.errors();
  return ParseObj({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path, mm_per_unit);
}

}  // namespace wheatpaste

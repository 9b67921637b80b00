#include "scene/read_rows.h"

namespace wheatpaste {

std::vector<PhotoPx> ReadPoints(const TomlNode& node, const std::string& label,
                                const std::string& subject, Mistakes& mistakes) {
  std::vector<PhotoPx> points;
  for (size_t i = 0; i < node.items.size(); ++i) {
    std::array<double, 2> xy;
    if (ReadRow(node.items[i], fmt::format("{} {}", label, i + 1), "[x, y] in photo px", subject,
                mistakes, xy)) {
      points.push_back({xy[0], xy[1]});
    }
  }
  return points;
}

std::vector<std::vector<PhotoPx>> ReadLines(TableReader& table, std::string_view key,
                                            const LinesRule& rule) {
  std::vector<std::vector<PhotoPx>> lines;
  const TomlNode* node = table.Find(key);
  if (!node) return lines;
  if (node->kind != TomlKind::kArray || node->items.size() > rule.most_lines) {
    table.Refuse(
        key, *node,
        fmt::format("expected at most {} {}s, each {}", rule.most_lines, rule.line, rule.example));
    return lines;
  }
  const std::string subject = table.SubjectOf(key, *node);
  for (size_t i = 0; i < node->items.size(); ++i) {
    const TomlNode& line = node->items[i];
    const std::string label = fmt::format("{} {}", rule.line, i + 1);
    if (line.kind != TomlKind::kArray || line.items.size() < rule.fewest ||
        line.items.size() > rule.most) {
      table.mistakes().Add(line, subject,
                           fmt::format("{}: expected {} to {} points [x, y] in photo px", label,
                                       rule.fewest, rule.most));
      continue;
    }
    lines.push_back(ReadPoints(line, label + ", point", subject, table.mistakes()));
  }
  return lines;
}

}  // namespace wheatpaste

#include "present/contact_sheet.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "base/files.h"
#include "output/write_picture.h"
#include "output/xmp.h"
#include "present/caption.h"
#include "present/contact_sheet_look.h"
#include "present/contact_sheet_pictures.h"
#include "present/contact_sheet_plan.h"
#include "present/page_bitmap.h"
#include "present/pdf_pages.h"

namespace wheatpaste {
namespace {

constexpr SizeMm kDefaultPage{297, 210};
constexpr double kColumnMm = 45;            // of a page with many pictures
constexpr double kPictureColumnMm = 62;     // of a picture that is as wide as suits
constexpr double kPictureShape = 1.5;       // width by height that it comes near
constexpr size_t kLeastPictureColumns = 3;  // room for the title
constexpr int kCaptionLines = 2;            // of name and facts each, at most
constexpr double kLeastColumnMm = 12;

struct Group {
  std::string title;
  std::vector<const JobRecord*> records;
};

// What is said below a picture.
struct Caption {
  std::string name, facts;
};

struct Sheet {
  std::string title, below;
  std::vector<Group> groups;
  std::vector<const JobRecord*> records;  // of all groups
  std::vector<Caption> captions;
};

std::string ColourwayOf(const JobRecord& record) { return record.colourway.value_or("as drawn"); }

std::vector<Group> GroupsOf(const PreviewSet& set, SheetOrder order) {
  std::vector<Group> groups;
  std::map<std::string, size_t> index;
  for (const PreviewScene& scene : set.scenes) {
    for (const Preview& preview : scene.previews) {
      const JobRecord& record = *preview.shown;
      const std::string key = order == SheetOrder::kScene     ? scene.name
                              : order == SheetOrder::kArtwork ? record.artwork
                                                              : ColourwayOf(record);
      const auto [found, is_new] = index.try_emplace(key, groups.size());
      if (is_new) groups.push_back({order == SheetOrder::kScene ? TitleOf(scene) : key, {}});
      groups[found->second].records.push_back(&record);
    }
  }
  return groups;
}

// Of a caption under its group's heading; `alone`: there are no headings.
std::string CaptionName(const JobRecord& record, SheetOrder order, bool alone) {
  const std::string& scene = SceneTitleOf(record);
  switch (order) {
    case SheetOrder::kScene:
      return alone ? scene + ": " + NameOf(record) : NameOf(record);
    case SheetOrder::kArtwork:
      return alone ? NameOf(record) + ": " + scene
                   : scene + (record.colourway ? ", " + *record.colourway : "");
    case SheetOrder::kColourway:
      break;
  }
  return (alone ? NameOf(record) : record.artwork) + ": " + scene;
}

Sheet SheetOf(const PreviewSet& set, SheetOrder order) {
  Sheet sheet;
  sheet.title = TitleOf(set.manifest);
  sheet.groups = GroupsOf(set, order);
  for (const Group& group : sheet.groups) {
    sheet.records.insert(sheet.records.end(), group.records.begin(), group.records.end());
  }
  const JobRecord& first = *sheet.records.front();
  const bool one_condition = std::all_of(
      sheet.records.begin(), sheet.records.end(),
      [&](const JobRecord* record) { return record->print_condition == first.print_condition; });
  const bool alone = sheet.groups.size() == sheet.records.size();
  for (const JobRecord* const record : sheet.records) {
    std::string facts = SizesOf(*record);
    if (!one_condition) {
      if (!facts.empty()) facts += "; ";
      facts += record->print_condition.empty() ? "colours as on screen" : record->print_condition;
    }
    sheet.captions.push_back({CaptionName(*record, order, alone), std::move(facts)});
  }
  sheet.below = fmt::format("{} in {}", Counted(sheet.records.size(), "picture", "pictures"),
                            Counted(set.scenes.size(), "scene", "scenes"));
  if (one_condition) sheet.below += "; " + ConditionOf(first);
  return sheet;
}

// Type that is as wide as the widest column would have it, measured.
struct Measures {
  double name = 0, facts = 0, heading = 0;
};

Measures MeasuresOf(const Page& ruler, const SheetLook& look, const Sheet& sheet, double width) {
  Measures measures;
  TextStyle name = look.Name();
  TextStyle facts = look.Facts();
  name.most_lines = facts.most_lines = kCaptionLines;
  for (const Caption& caption : sheet.captions) {
    measures.name = std::max(measures.name, PageText(ruler, caption.name, name, width).height());
    measures.facts =
        std::max(measures.facts, PageText(ruler, caption.facts, facts, width).height());
  }
  measures.heading = PageText(ruler, "H", look.Heading(), width).height();
  return measures;
}

// Gaps, mm at full size.
constexpr double kAboveCaption = 2.3, kAboveFacts = 1.6;
constexpr double kRuleToHeading = 3, kHeadingToPicture = 4;
constexpr double kRuleMm = 0.2;

SheetGrid GridOf(const Page& ruler, const SheetLook& look, const Sheet& sheet, double width) {
  const Measures measures = MeasuresOf(ruler, look, sheet, width);
  SheetGrid grid;
  grid.area = look.area();
  grid.column_gap = look.Scaled(5);
  grid.row_gap = look.Scaled(6.5);
  grid.caption = look.Scaled(kAboveCaption) + measures.name;
  if (measures.facts > 0) grid.caption += look.Scaled(kAboveFacts) + measures.facts;
  const bool headed = sheet.groups.size() < sheet.records.size() && sheet.groups.size() > 1;
  if (headed) {
    grid.heading = look.Scaled(kRuleToHeading + kHeadingToPicture) + measures.heading;
  }
  grid.first_head = DrawSheetTitle(nullptr, ruler, look, sheet.title, sheet.below);
  return grid;
}

void DrawHeadings(const Page& page, const SheetLook& look, const Sheet& sheet,
                  const SheetPage& what) {
  for (const SheetHeading& heading : what.headings) {
    page.Fill({heading.x, heading.top, heading.width, look.Scaled(kRuleMm)}, look.line());
    const PageTag tag(page, PageTag::kSubheading);
    const std::string& title = sheet.groups[heading.group].title;
    DrawText(page, heading.goes_on ? title + ", continued" : title, look.Heading(), heading.x,
             heading.top + look.Scaled(kRuleToHeading), heading.width);
  }
}

void DrawCell(const Page& page, const SheetLook& look, const Sheet& sheet, const SheetCell& cell,
              double width, const std::optional<JpegPicture>& picture) {
  DrawSheetPicture(page, look, picture, sheet.records[cell.picture]->sha256, cell.rect);
  const Caption& caption = sheet.captions[cell.picture];
  const PageTag tag(page, PageTag::kCaption);
  TextStyle name = look.Name();
  TextStyle facts = look.Facts();
  name.most_lines = facts.most_lines = kCaptionLines;
  double top = cell.rect.bottom() + look.Scaled(kAboveCaption);
  top += DrawText(page, caption.name, name, cell.column_x, top, width);
  DrawText(page, caption.facts, facts, cell.column_x, top + look.Scaled(kAboveFacts), width);
}

std::vector<std::vector<SizePx>> ShapesOf(const Sheet& sheet) {
  std::vector<std::vector<SizePx>> sizes;
  for (const Group& group : sheet.groups) {
    sizes.emplace_back();
    for (const JobRecord* const record : group.records) sizes.back().push_back(record->size);
  }
  return sizes;
}

// Columns as asked for, or as suit.
Result<SheetPlan> PlanOf(const Page& ruler, const SheetLook& look, const Sheet& sheet,
                         const ContactSheetOptions& options, bool endless) {
  const std::vector<std::vector<SizePx>> sizes = ShapesOf(sheet);
  // Captions wrap by the column's width, and the columns follow from the captions' height: two steps.
  SheetGrid grid = GridOf(ruler, look, sheet, look.Scaled(kColumnMm));
  grid.endless = endless;
  const size_t columns =
      options.columns ? *options.columns : ColumnsOf(sizes, grid, look.Scaled(kColumnMm));
  const double width = PlanSheet(sizes, grid, columns).column_width;
  if (width < kLeastColumnMm) {
    return Error{{"--columns " + std::to_string(columns)},
                 "",
                 fmt::format("expected columns of at least {} mm on this page", kLeastColumnMm)};
  }
  grid = GridOf(ruler, look, sheet, width);
  grid.endless = endless;
  return PlanSheet(sizes, grid, columns);
}

// Columns and page of a picture that is as wide as suits.
void SuitPicture(const Page& ruler, const Sheet& sheet, ContactSheetOptions& options) {
  // Type and gaps of a page of several columns.
  const SheetLook look(options.theme, {kDefaultPage.width, kDefaultPage.width});
  const SheetGrid grid = GridOf(ruler, look, sheet, kPictureColumnMm);
  if (!options.columns) {
    options.columns = ColumnsOfShape(ShapesOf(sheet), grid, kPictureColumnMm, kPictureShape,
                                     std::min(kMostSheetColumns, sheet.records.size()));
  }
  const auto count = static_cast<double>(std::max(*options.columns, kLeastPictureColumns));
  const auto& margins = options.theme.margins;
  const double width =
      count * kPictureColumnMm + (count - 1) * grid.column_gap + margins.left + margins.right;
  options.page = SizeMm{width, width};  // the height follows
}

// All cells of a page, some pictures in memory at a time.
void DrawCells(const Page& page, const SheetLook& look, const Sheet& sheet, const SheetPlan& plan,
               const SheetPage& what, SheetPictures& pictures) {
  constexpr size_t kAtOnce = 64;
  for (size_t first = 0; first < what.cells.size(); first += kAtOnce) {
    const size_t count = std::min(kAtOnce, what.cells.size() - first);
    std::vector<WantedPicture> wanted;
    for (size_t i = first; i < first + count; ++i) {
      const SheetCell& cell = what.cells[i];
      wanted.push_back({sheet.records[cell.picture], std::max(cell.rect.width, cell.rect.height)});
    }
    const auto read = pictures.Read(wanted);
    for (size_t i = 0; i < count; ++i) {
      DrawCell(page, look, sheet, what.cells[first + i], plan.column_width, read[i]);
    }
  }
}

Result<int64_t> WritePdf(const Sheet& sheet, const SheetLook& look, const SheetPlan& plan,
                         const std::string& program, const std::string& path,
                         SheetPictures& pictures) {
  auto pdf = PdfPages::Create(path, {sheet.title, kNotAProof, program});
  if (!pdf) return pdf.errors();
  for (size_t i = 0; i < plan.pages.size(); ++i) {
    const Page& page = pdf->NewPage(look.page());
    DrawSheetGround(page, look, sheet.title, i + 1, plan.pages.size());
    if (i == 0) DrawSheetTitle(&page, page, look, sheet.title, sheet.below);
    for (const SheetHeading& heading : plan.pages[i].headings) {
      if (!heading.goes_on) pdf->AddOutline(sheet.groups[heading.group].title);
    }
    DrawHeadings(page, look, sheet, plan.pages[i]);
    DrawCells(page, look, sheet, plan, plan.pages[i], pictures);
  }
  return pdf->Finish();
}

Result<int64_t> WriteOnePicture(const Sheet& sheet, const SheetLook& look, const SheetPlan& plan,
                                const ContactSheetOptions& options, PictureFormat format,
                                const std::string& path, SheetPictures& pictures) {
  auto bitmap = PageBitmap::Create(look.page(), options.ppi, {PrintableText(path)});
  if (!bitmap) return bitmap.errors();
  DrawSheetGround(bitmap->page(), look, sheet.title, 1, 1);
  DrawSheetTitle(&bitmap->page(), bitmap->page(), look, sheet.title, sheet.below);
  DrawHeadings(bitmap->page(), look, sheet, plan.pages.front());
  DrawCells(bitmap->page(), look, sheet, plan, plan.pages.front(), pictures);
  XmpFacts facts;
  facts.title = sheet.title;
  return bitmap->Write(path, format, MakeXmp(facts));
}

}  // namespace

Result<ContactSheetMade> WriteContactSheet(const PreviewSet& set, const ContactSheetOptions& asked,
                                           const std::string& path) {
  const auto format = PictureFormatOf(path);
  if (!format) return format.errors();
  const Sheet sheet = SheetOf(set, asked.order);
  const auto ruler = PageBitmap::Create({10, 10}, Ppi{kPointsPerInch}, {});
  if (!ruler) return ruler.errors();

  const bool endless = *format != PictureFormat::kPdf;
  ContactSheetOptions options = asked;
  if (endless && !options.page) SuitPicture(ruler->page(), sheet, options);
  const SheetLook look(options.theme, options.page.value_or(kDefaultPage));
  const auto plan = PlanOf(ruler->page(), look, sheet, options, endless);
  if (!plan) return plan.errors();

  SheetPictures pictures(set.folder, endless ? options.ppi : Ppi{kSheetPdfPpi});
  Result<int64_t> bytes = int64_t{0};
  if (endless) {
    const double below = look.page().height - look.area().bottom();
    const SheetLook high = look.WithHeight(plan->pages.front().bottom + below);
    bytes = WriteOnePicture(sheet, high, *plan, options, *format, path, pictures);
  } else {
    bytes = WritePdf(sheet, look, *plan, options.program, path, pictures);
  }
  if (!bytes) return bytes.errors();
  return ContactSheetMade{plan->pages.size(), sheet.records.size(), *bytes, pictures.TakeMissing()};
}

}  // namespace wheatpaste
